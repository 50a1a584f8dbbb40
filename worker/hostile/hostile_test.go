package hostile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"ashline/worker/job"
)

func madeBox(kind string, body ...[]byte) []byte {
	all := bytes.Join(body, nil)
	return append(binary.BigEndian.AppendUint32(nil, uint32(8+len(all))), append([]byte(kind), all...)...)
}

// tiny has the boxes of a clip and nothing to see.
func tiny() *source {
	table := func(kind string) []byte { return madeBox(kind, make([]byte, 32)) }
	stbl := madeBox("stbl", madeBox("stsd", make([]byte, 64)), table("stts"), table("stsz"))
	trak := madeBox("trak", madeBox("tkhd", make([]byte, 84)), madeBox("mdia", table("mdhd"), madeBox("minf", stbl)))
	mp4 := bytes.Join([][]byte{madeBox("ftyp", []byte("isom\x00\x00\x02\x00")), madeBox("mdat", make([]byte, 100)), madeBox("moov", table("mvhd"), trak)}, nil)
	parts := bytes.Join([][]byte{mp4, madeBox("moof", make([]byte, 30)), madeBox("mdat", make([]byte, 30)), madeBox("mfra")}, nil)
	return &source{mp4: mp4, mkv: bytes.Repeat([]byte{7}, 90), avi: bytes.Repeat([]byte{8}, 90), parts: parts, wide: []byte("wide"), long: []byte("long"), canary: "/c.mp4"}
}

func TestBoxes(t *testing.T) {
	t.Parallel()
	var got string
	for _, b := range boxes(tiny().mp4) {
		got += fmt.Sprint(b.depth, b.kind, " ")
	}
	if want := "0ftyp 0mdat 0moov 1mvhd 1trak 2tkhd 2mdia 3mdhd 3minf 4stbl 5stsd 5stts 5stsz "; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// The same seed spoils in the same way, other seeds in others, and no kind changes
// what it spoils.
func TestKindsAreSeeded(t *testing.T) {
	t.Parallel()
	for _, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel()
			s, whole := tiny(), tiny()
			made := map[string]bool{}
			for seed := range uint64(200) {
				one := k.make(s, rand.New(rand.NewPCG(seed, 5)))
				two := k.make(s, rand.New(rand.NewPCG(seed, 5)))
				if !bytes.Equal(one, two) {
					t.Fatalf("seed %d: two results", seed)
				}
				made[string(one)] = true
			}
			if !bytes.Equal(s.mp4, whole.mp4) || !bytes.Equal(s.mkv, whole.mkv) || !bytes.Equal(s.wide, whole.wide) {
				t.Error("the clip itself was changed")
			}
			fixed := k.name == "untouched" || k.name == "too many frames"
			if (len(made) == 1) != fixed {
				t.Errorf("got %d different clips", len(made))
			}
			if k.rule == never && made[string(whole.mp4)] {
				t.Error("a clip that must be refused is whole")
			}
		})
	}
}

func TestJudge(t *testing.T) {
	t.Parallel()
	result := filepath.Join(t.TempDir(), "metrics.json")
	if err := os.WriteFile(result, []byte("{}"), 0o600); err != nil {
		t.Fatal(err)
	}
	noted := filepath.Join(t.TempDir(), "metrics.json")
	if err := os.WriteFile(noted, []byte(`{"quality": {"notes": ["whether the clip was cut off cannot be told"]}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		err  error
		rule rule
		file string
		s    float64
		want Verdict
		bad  bool
	}{
		{"measured", nil, maybe, result, 3, Measured, false},
		{"measured though cut off", nil, never, result, 3, Measured, true},
		{"measured, and told that some may be missing", nil, told, noted, 3, Measured, false},
		{"measured, and not told", nil, told, result, 3, Measured, true},
		{"measured without result", nil, maybe, result + "x", 3, Measured, true},
		{"refused", fmt.Errorf("%w: media: no video", job.ErrBadInput), never, "", 1, Refused, false},
		{"refused without reason", fmt.Errorf("%w: no reason given", job.ErrBadInput), never, "", 1, Refused, true},
		{"memory", fmt.Errorf("%w: the clip takes too much memory to measure", job.ErrBadInput), never, "", 1, Limited, false},
		{"stalled", fmt.Errorf("%w: the analysis made no progress", job.ErrTransient), never, "", 60, Limited, false},
		{"hung", fmt.Errorf("%w: the analysis made no progress", job.ErrTransient), never, "", 600, Limited, true},
		{"crashed", errors.New("worker: the analysis died of segmentation fault"), never, "", 1, Crashed, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			o := Outcome{Seconds: c.s}
			o.judge(c.err, c.rule, c.file)
			if o.Verdict != c.want || o.Bad() != c.bad {
				t.Errorf("got %s, bad %v; want %s, %v", o.Verdict, o.Bad(), c.want, c.bad)
			}
		})
	}
}

func TestChanged(t *testing.T) {
	t.Parallel()
	got := changed(map[string]string{"a": "1", "b": "1", "c": "1"}, map[string]string{"a": "1", "b": "2", "d": "1"})
	seen := map[string]bool{}
	for _, p := range got {
		seen[p] = true
	}
	if len(got) != 3 || !seen["b"] || !seen["c"] || !seen["d"] {
		t.Errorf("got %q, want b, c and d", got)
	}
}
