package media

import (
	"context"
	"encoding/binary"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/unix"
)

// ramp is a smooth picture that moves with i.
func ramp(w, h, i int) *Frame {
	f := NewFrame(w, h)
	for y := range h {
		for x := range w {
			f.Y[y*w+x] = uint8(30 + (x+2*y+3*i)%180)
		}
	}
	cw := f.ChromaW()
	for j := range f.U {
		f.U[j] = uint8(60 + 2*(j%cw))
		f.V[j] = uint8(200 - 2*(j/cw))
	}
	return f
}

func encode(tb testing.TB, path string, w, h, n int) {
	tb.Helper()
	e, err := NewEncoder(tb.Context(), path, w, h, 60, EncodeOptions{CRF: 8})
	if err != nil {
		tb.Fatal(err)
	}
	defer e.Abort()
	for i := range n {
		if err := e.Write(ramp(w, h, i)); err != nil {
			tb.Fatal(err)
		}
	}
	if err := e.Close(); err != nil {
		tb.Fatal(err)
	}
}

func TestRoundTrip(t *testing.T) {
	t.Parallel()
	// At constant quality 8 the loss stays under one step on average, with
	// room for the sharp edge of the ramp.
	const tol = 1.5
	for _, tt := range []struct {
		name   string
		w, h   int
		o      EncodeOptions
		ew, eh int
		space  ColourSpace
	}{
		{"even", 96, 64, EncodeOptions{CRF: 8}, 96, 64, ColourSpace{"bt709", false}},
		{"odd", 97, 65, EncodeOptions{CRF: 8}, 96, 64, ColourSpace{"bt709", false}},
		{"full range", 96, 64, EncodeOptions{CRF: 8, FullRange: true}, 96, 64, ColourSpace{"bt709", true}},
		{"601", 96, 64, EncodeOptions{CRF: 8, Matrix: "bt601"}, 96, 64, ColourSpace{"bt601", false}},
		{"2020", 96, 64, EncodeOptions{CRF: 8, Matrix: "bt2020", Transfer: "arib-std-b67"}, 96, 64, ColourSpace{"bt2020", false}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "out.mp4")
			e, err := NewEncoder(t.Context(), path, tt.w, tt.h, 60, tt.o)
			if err != nil {
				t.Fatal(err)
			}
			defer e.Abort()
			for i := range 20 {
				if err := e.Write(ramp(tt.w, tt.h, i)); err != nil {
					t.Fatal(err)
				}
			}
			if err := e.Close(); err != nil {
				t.Fatal(err)
			}
			info, frames := mustDecode(t, path, Options{})
			if len(frames) != 20 || info.Width != tt.ew || info.Height != tt.eh || info.FileFPS != 60 || info.Codec != "h264" {
				t.Fatalf("got %d frames, %+v", len(frames), info)
			}
			if info.Space() != tt.space {
				t.Errorf("got %+v, want %+v", info.Space(), tt.space)
			}
			for i, f := range frames {
				want := ramp(tt.w, tt.h, i)
				cut := NewFrame(tt.ew, tt.eh)
				for y := range tt.eh {
					copy(cut.Y[y*tt.ew:][:tt.ew], want.Y[y*tt.w:])
				}
				for y := range cut.ChromaH() {
					copy(cut.U[y*cut.ChromaW():][:cut.ChromaW()], want.U[y*want.ChromaW():])
				}
				if dy, du := diff(f.Y, cut.Y), diff(f.U, cut.U); dy > tol || du > tol {
					t.Errorf("frame %d differs by %.2f, %.2f", i, dy, du)
				}
			}
			if !indexFirst(t, path) {
				t.Error("the index does not come first")
			}
		})
	}
}

// indexFirst walks the outermost boxes up to the index or the samples.
func indexFirst(t *testing.T, path string) bool {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for len(data) >= 8 {
		switch string(data[4:8]) {
		case "moov":
			return true
		case "mdat":
			return false
		}
		n := binary.BigEndian.Uint32(data)
		if n < 8 || int(n) > len(data) {
			return false
		}
		data = data[n:]
	}
	return false
}

func TestEncodingTwiceIsTheSame(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var got [2][]byte
	for i := range got {
		path := filepath.Join(dir, "out.mp4")
		encode(t, path, 64, 64, 5)
		var err error
		if got[i], err = os.ReadFile(path); err != nil {
			t.Fatal(err)
		}
	}
	if string(got[0]) != string(got[1]) {
		t.Error("two runs gave different files")
	}
}

func TestEncoderRefuses(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "out.mp4")
	if _, err := NewEncoder(t.Context(), path, 0, 64, 30, EncodeOptions{}); !errors.Is(err, ErrFrameSize) {
		t.Errorf("no width: got %v", err)
	}
	if _, err := NewEncoder(t.Context(), path, 64, 64, 0, EncodeOptions{}); err == nil {
		t.Error("no rate: got no error")
	}
	if _, err := NewEncoder(t.Context(), filepath.Join(path, "x", "y.mp4"), 64, 64, 30, EncodeOptions{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no folder: got %v", err)
	}
	e, err := NewEncoder(t.Context(), path, 64, 64, 30, EncodeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	defer e.Abort()
	if err := e.Write(NewFrame(64, 62)); !errors.Is(err, ErrFrameSize) {
		t.Errorf("other size: got %v", err)
	}
	if err := e.Write(&Frame{W: 64, H: 64}); !errors.Is(err, ErrFrameSize) {
		t.Errorf("no planes: got %v", err)
	}
}

func TestEncoderFails(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "out.mp4")
	e, err := NewEncoder(t.Context(), path, 64, 64, 30, EncodeOptions{Preset: "no-such-preset"})
	if err != nil {
		t.Fatal(err)
	}
	for err == nil {
		err = e.Write(NewFrame(64, 64))
	}
	if !errors.Is(err, ErrChild) {
		t.Errorf("got %v, want ErrChild", err)
	}
	if again := e.Close(); again == nil || again.Error() != err.Error() {
		t.Errorf("Close gave %v, want %v", again, err)
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file was left behind: %v", err)
	}
}

func TestDiskFull(t *testing.T) {
	t.Parallel()
	// Every write to this device fails as on a full disk.
	e, err := NewEncoder(t.Context(), "/dev/full", 64, 64, 30, EncodeOptions{})
	if err != nil {
		t.Skipf("no such device here: %v", err)
	}
	for i := 0; err == nil && i < 100; i++ {
		err = e.Write(ramp(64, 64, i))
	}
	if err == nil {
		err = e.Close()
	}
	_ = e.Close()
	if !errors.Is(err, ErrDiskFull) {
		t.Errorf("got %v, want ErrDiskFull", err)
	}
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Errorf("the device is gone: %v", err)
	}
}

func TestEncoderCancel(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	path := filepath.Join(t.TempDir(), "out.mp4")
	e, err := NewEncoder(ctx, path, 64, 64, 30, EncodeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	pid := e.child.cmd.Process.Pid
	if err := e.Write(NewFrame(64, 64)); err != nil {
		t.Fatal(err)
	}
	cancel()
	if err := e.Close(); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
	if err := unix.Kill(pid, 0); !errors.Is(err, unix.ESRCH) {
		t.Errorf("the child is still there: %v", err)
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file was left behind: %v", err)
	}
}
