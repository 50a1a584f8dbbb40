package media

import (
	"context"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// render runs ffmpeg on args, which may hold %out, and returns the new file.
func render(tb testing.TB, name string, args ...string) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), name)
	full := append([]string{"-v", "error", "-nostdin", "-y"}, args...)
	full = append(full, "file:"+path)
	cmd := exec.CommandContext(tb.Context(), "ffmpeg", full...)
	if out, err := cmd.CombinedOutput(); err != nil {
		tb.Fatalf("ffmpeg %s: %v\n%s", strings.Join(full, " "), err, out)
	}
	return path
}

// clip renders two seconds of ffmpeg's moving test picture at 30 frames/s.
func clip(tb testing.TB, name, size string, more ...string) string {
	args := []string{"-f", "lavfi", "-i", "testsrc2=r=30:d=2:s=" + size, "-c:v", "libx264", "-preset", "veryfast", "-g", "20"}
	return render(tb, name, append(args, more...)...)
}

func probe(tb testing.TB, path string) Info {
	tb.Helper()
	info, err := Probe(tb.Context(), path, Limits{})
	if err != nil {
		tb.Fatal(err)
	}
	return info
}

// decodeAll returns copies of all frames and the error that ended them.
func decodeAll(ctx context.Context, tb testing.TB, path string, info Info, o Options) ([]*Frame, error) {
	tb.Helper()
	d, err := Open(ctx, path, info, o)
	if err != nil {
		tb.Fatal(err)
	}
	defer d.Close()
	var frames []*Frame
	for f, err := range d.Frames() {
		if err != nil {
			return frames, err
		}
		g := &Frame{}
		g.CopyFrom(f)
		frames = append(frames, g)
	}
	return frames, nil
}

func mustDecode(tb testing.TB, path string, o Options) (Info, []*Frame) {
	tb.Helper()
	info := probe(tb, path)
	frames, err := decodeAll(tb.Context(), tb, path, info, o)
	if err != nil {
		tb.Fatal(err)
	}
	return info, frames
}

func write(tb testing.TB, path string, data []byte) string {
	tb.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		tb.Fatal(err)
	}
	return path
}

// setMatrix writes the display matrix (a b; c d) into every track header of an
// MP4 file, as a phone does, without the help of any tool under test. In the
// header of version 0 the matrix starts 40 bytes after the box's name.
func setMatrix(tb testing.TB, path string, a, b, c, d int32) {
	tb.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	at := strings.Index(string(data), "tkhd")
	if at < 0 || data[at+4] != 0 {
		tb.Fatal("no track header of version 0")
	}
	for i, v := range []int32{a, b, 0, c, d, 0, 0, 0} {
		binary.BigEndian.PutUint32(data[at+44+4*i:], uint32(v<<16))
	}
	write(tb, path, data)
}

// diff is the mean distance of two planes of equal length.
func diff(a, b []byte) float64 {
	if len(a) != len(b) || len(a) == 0 {
		return 255
	}
	sum := 0
	for i := range a {
		sum += max(int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return float64(sum) / float64(len(a))
}

func times(frames []*Frame) []float64 {
	var t []float64
	for _, f := range frames {
		t = append(t, f.TimeS)
	}
	return t
}

func near(a, b []float64, tol float64) bool {
	return slices.EqualFunc(a, b, func(x, y float64) bool { return x-y <= tol && y-x <= tol })
}
