package media

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/pipeline/bounds"
)

func TestProbeRefuses(t *testing.T) {
	t.Parallel()
	good := clip(t, "good.mp4", "128x96")
	whole, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	wide, err := os.ReadFile(render(t, "wide.avi", "-f", "lavfi", "-i", "color=s=1024x1024:d=0.1", "-c:v", "mpeg4"))
	if err != nil {
		t.Fatal(err)
	}
	sound := render(t, "sound.mp4", "-f", "lavfi", "-i", "sine=d=1", "-c:a", "aac")
	secret := clip(t, "secret.mp4", "128x96")
	tests := []struct {
		name   string
		file   string
		data   []byte
		limits Limits
		want   error
		says   string
	}{
		{"empty", "x.mp4", nil, Limits{}, ErrNotVideo, "empty"},
		{"playlist", "x.mp4", []byte("#EXTM3U\n#EXTINF:1,\n" + secret + "\n"), Limits{}, ErrNotVideo, "playlist"},
		{"concat list", "x.mp4", []byte("ffconcat version 1.0\nfile " + secret + "\n"), Limits{}, ErrNotVideo, "playlist"},
		{"text", "x.mp4", []byte("bats: right, throws: right\n"), Limits{}, ErrNotVideo, "text"},
		{"png", "x.mp4", []byte("\x89PNG\r\n\x1a\n0000000000000000"), Limits{}, ErrNotVideo, "picture"},
		{"heic", "x.mp4", []byte("\x00\x00\x00\x18ftypheic0000000000000000"), Limits{}, ErrNotVideo, "picture"},
		{"pdf", "x.mov", []byte("%PDF-1.7\n%0000000000000000"), Limits{}, ErrNotVideo, "PDF"},
		{"too many bytes", "x.mp4", whole, Limits{MaxBytes: 1000}, ErrTooLarge, "bytes"},
		{"too many pixels", "x.mp4", whole, Limits{MaxPixels: 128*96 - 1}, ErrTooLarge, "pixels"},
		{"far too many pixels", "x.avi", wide, Limits{MaxPixels: 128 * 96}, ErrTooLarge, "pixels"},
		{"too long", "x.mp4", whole, Limits{MaxDurationS: 1}, ErrTooLarge, "s long"},
		{"too many frames", "x.mp4", whole, Limits{MaxFrames: 59}, ErrTooLarge, "frames"},
		{"no index", "x.mp4", whole[:len(whole)/2], Limits{}, ErrBroken, "cut off"},
		{"name of a container only", "x.mp4", []byte("\x00\x00\x00\x18ftypisom0000000000000000"), Limits{}, ErrBroken, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			path := write(t, filepath.Join(t.TempDir(), tt.file), tt.data)
			_, err := Probe(t.Context(), path, tt.limits)
			if !errors.Is(err, tt.want) || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("got %v, want %v saying %q", err, tt.want, tt.says)
			}
			if err != nil && strings.Contains(err.Error(), path) {
				t.Errorf("error names the path: %v", err)
			}
		})
	}
	t.Run("sound only", func(t *testing.T) {
		t.Parallel()
		if _, err := Probe(t.Context(), sound, Limits{}); !errors.Is(err, ErrNotVideo) {
			t.Errorf("got %v, want ErrNotVideo", err)
		}
	})
	t.Run("folder", func(t *testing.T) {
		t.Parallel()
		if _, err := Probe(t.Context(), t.TempDir(), Limits{}); !errors.Is(err, ErrNotVideo) {
			t.Errorf("got %v, want ErrNotVideo", err)
		}
	})
	t.Run("missing", func(t *testing.T) {
		t.Parallel()
		_, err := Probe(t.Context(), filepath.Join(t.TempDir(), "none.mp4"), Limits{})
		if !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("got %v, want fs.ErrNotExist", err)
		}
	})
	t.Run("cancelled", func(t *testing.T) {
		t.Parallel()
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := Probe(ctx, good, Limits{}); !errors.Is(err, context.Canceled) {
			t.Errorf("got %v, want context.Canceled", err)
		}
	})
}

func TestProbeInfo(t *testing.T) {
	t.Parallel()
	path := clip(t, "slow.mp4", "160x120", "-movflags", "use_metadata_tags", "-metadata", "com.android.capture.fps=240.0",
		"-colorspace", "smpte170m", "-color_trc", "bt709")
	got := probe(t, path)
	if got.Width != 160 || got.Height != 120 || got.CodedWidth != 160 || got.CodedHeight != 120 {
		t.Errorf("got size %d × %d, coded %d × %d", got.Width, got.Height, got.CodedWidth, got.CodedHeight)
	}
	if got.CaptureFPS != 240 || got.FileFPS != 30 || got.DurationS != 2 || got.FramesHint != 60 {
		t.Errorf("got capture %g, file %g frames/s, %g s, %d frames", got.CaptureFPS, got.FileFPS, got.DurationS, got.FramesHint)
	}
	if got.Codec != "h264" || got.PixFmt != "yuv420p" || got.Matrix != "bt601" || got.Transfer != "bt709" || got.FullRange {
		t.Errorf("got %+v", got)
	}
	if st, err := os.Stat(path); err != nil || got.SizeBytes != st.Size() {
		t.Errorf("got %d bytes, want those of the file", got.SizeBytes)
	}
}

func TestMatrixOf(t *testing.T) {
	t.Parallel()
	tests := []struct {
		tag  string
		w, h int
		want string
	}{
		{"", 1920, 1080, "bt709"},
		{"unknown", 1280, 720, "bt709"},
		{"", 720, 1280, "bt709"},
		{"", 720, 576, "bt601"},
		{"bt709", 320, 240, "bt709"},
		{"bt470bg", 1920, 1080, "bt601"},
		{"smpte170m", 1920, 1080, "bt601"},
		{"bt2020nc", 1920, 1080, "bt2020"},
	}
	for _, tt := range tests {
		if got := matrixOf(tt.tag, tt.w, tt.h); got != tt.want {
			t.Errorf("matrixOf(%q, %d, %d) = %s, want %s", tt.tag, tt.w, tt.h, got, tt.want)
		}
	}
}

func FuzzSniff(f *testing.F) {
	for _, s := range []string{"", "#EXTM3U\n", "\x00\x00\x00\x18ftypisom", "RIFF0000AVI ", "\x1a\x45\xdf\xa3", "%PDF", "plain"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, head []byte) {
		var demuxer, what string
		bounds.Limit{Bytes: 1 << 20, CPU: time.Second}.Call(t, func() { demuxer, what = sniff(head) })
		if (demuxer == "") == (what == "") {
			t.Errorf("sniff(%q) = %q, %q: want one of the two", head, demuxer, what)
		}
	})
}
