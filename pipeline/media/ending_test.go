package media

import (
	"bytes"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/pipeline/bounds"
)

// A clip that was cut off is told so, or that it may have been: never is it taken
// for whole.
func TestEndings(t *testing.T) {
	t.Parallel()
	read := func(path string) []byte {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	lastOf := func(data []byte, part string) []byte { return data[:bytes.LastIndex(data, []byte(part))] }
	join := func(data []byte, more string) []byte { return append(bytes.Clone(data), more...) }
	box := func(data []byte, name string) []byte {
		return lastOf(data, name)[:bytes.LastIndex(data, []byte(name))-4]
	}

	whole := read(clip(t, "w.mp4", "128x96"))
	tabled := read(clip(t, "t.mp4", "128x96", "-movflags", "faststart")) // its frames come last
	fragments := read(clip(t, "f.mp4", "128x96", "-movflags", "frag_keyframe+empty_moov"))
	matroska := read(clip(t, "m.mkv", "128x96"))
	live := read(clip(t, "l.mkv", "128x96", "-f", "matroska", "-live", "1", "-cluster_time_limit", "200"))
	avi := read(render(t, "a.avi", "-f", "lavfi", "-i", "testsrc2=r=30:d=2:s=128x96", "-c:v", "mpeg4"))
	open := bytes.Clone(avi)
	copy(open[4:], "\x00\x00\x00\x00") // as of a camera that lost its power
	sized := func(size int) []byte {
		out := bytes.Clone(avi)
		binary.LittleEndian.PutUint32(out[4:], uint32(size))
		return out
	}
	zeros := make([]byte, 100)
	note := []byte("made by no camera in particular") // "made" as a length is 1.8 GB

	for name, c := range map[string]struct {
		data    []byte
		endless bool
		cut     bool
	}{
		"MP4":                         {whole, false, false},
		"MP4, cut":                    {whole[:len(whole)-1], false, true},
		"MP4, cut in its frames":      {tabled[:len(tabled)-1], false, true},
		"MP4, cut in its table":       {whole[:bytes.LastIndex(whole, []byte("moov"))+9], false, true},
		"MP4, a box beyond the end":   {join(whole, "\x00\x00\x10\x00free"), false, true},
		"MP4, frames cut in the head": {join(whole, "\x00\x00\x00\x01mdat\x00\x00"), false, true},
		"MP4, frames of a long size":  {join(whole, "\x00\x00\x00\x01mdat\x00\x00\x01\x00\x00\x00\x00\x00"), false, true},
		"MP4, zeros after":            {join(whole, string(zeros)), false, false},
		"MP4, a note after":           {join(whole, string(note)), false, false},
		"MP4, a long note after":      {join(whole, "\x00\x00\x00\x01note\x00\x00\x00\x00\x00\x00\x00\x01"), false, false},
		"MP4, frames last, note":      {join(tabled, string(note)), false, false},
		"fragments, zeros after":      {join(fragments, string(zeros)), false, false},
		"fragments, a note after":     {join(fragments, string(note)), false, false},
		"fragments, no index, zeros":  {join(box(fragments, "mfra"), string(zeros)), true, false},
		"fragments, no index, note":   {join(box(fragments, "mfra"), string(note)), true, false},
		"fragments, cut in the index": {fragments[:len(fragments)-1], false, true},
		"fragments":                   {fragments, false, false},
		"fragments, cut":              {fragments[:len(fragments)/2], false, true},
		"fragments, without index":    {box(fragments, "mfra"), true, false},
		"fragments, last one missing": {box(fragments, "moof"), true, false},
		"Matroska":                    {matroska, false, false},
		"Matroska, cut":               {matroska[:len(matroska)-1], false, true},
		"Matroska, clusters missing":  {lastOf(matroska, "\x1f\x43\xb6\x75"), false, true},
		"Matroska, live":              {live, true, false},
		"Matroska, live, cut":         {lastOf(live, "\x1f\x43\xb6\x75"), true, false},
		"AVI":                         {avi, false, false},
		"AVI, cut":                    {avi[:len(avi)/2], false, true},
		"AVI, without index":          {lastOf(avi, "idx1"), false, true},
		"AVI, never ended":            {open, true, false},
		"AVI, its head counted too":   {sized(len(avi)), false, false},
		"AVI, a byte cut":             {avi[:len(avi)-1], false, true},
		"AVI, said to be longer":      {sized(len(avi) + 1), false, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := write(t, filepath.Join(t.TempDir(), "clip"), c.data)
			info, err := Probe(t.Context(), path, Limits{})
			if cut := errors.Is(err, ErrBroken) && strings.Contains(err.Error(), "cut off"); cut != c.cut || err != nil && !cut {
				t.Fatalf("got %v; want cut off: %v", err, c.cut)
			}
			if err != nil {
				return
			}
			if info.Endless != c.endless {
				t.Errorf("got endless %v, want %v", info.Endless, c.endless)
			}
			// The demuxer has the last word: what it thinks ended must be all there.
			if frames, err := decodeAll(t.Context(), t, path, info, Options{}); !c.endless && (err != nil || len(frames) != 60) {
				t.Errorf("got %d frames and %v, want 60", len(frames), err)
			}
		})
	}
}

// No first bytes of whatever kind may make the walk over them run off.
func FuzzCheckEnd(f *testing.F) {
	for _, seed := range []string{
		"\x00\x00\x00\x10ftypisom0000\x00\x00\x00\x00mdat", "\x00\x00\x00\x01mdat\x00\x00\x00\x00\x00\x00\x00\x11x",
		"\x00\x00\x00\x18ftypisom\x00\x00\x00\x00", "\x00\x00\x00\x01moof\xff\xff\xff\xff\xff\xff\xff\xff",
		"\x1a\x45\xdf\xa3\x80\x18\x53\x80\x67\x01\xff\xff\xff\xff\xff\xff\xff", "\x1a\x45\xdf\xa3\x01\xff", "RIFF\xff\xff\xff\xffAVI ",
		"\x00\x00\x00\x10ftypisom0000made by no camera", "\x00\x00\x00\x08mfra\x00\x00\x00\x00\x00\x00\x00\x00\x00", "\x00\x00\x00\x01note\x00\x00\x00\x00\x00\x00\x00\x01",
		"RIFF\x0c\x00\x00\x00AVI ", "\x00\x00\x00\x01mdat\xff",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, demuxer := range []string{"mov", "matroska", "avi"} {
			var err error
			bounds.Limit{Bytes: 1 << 20, CPU: time.Second}.Call(t, func() { _, err = checkEnd(bytes.NewReader(data), int64(len(data)), demuxer) })
			if err != nil && !errors.Is(err, ErrBroken) {
				t.Errorf("%s: %v", demuxer, err)
			}
		}
	})
}
