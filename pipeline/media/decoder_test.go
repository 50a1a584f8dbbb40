package media

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// halfTickS is half a tick of the coarsest time base below, that of Matroska.
const halfTickS = 0.0005

func TestTimes(t *testing.T) {
	t.Parallel()
	// The k-th frame of the variable clip is at k²/1000 s: every gap differs.
	square := func(n int) (out []float64) {
		for k := range n {
			out = append(out, float64(k*k)/1000)
		}
		return out
	}
	even := func(n int, from, fps float64) (out []float64) {
		for k := range n {
			out = append(out, from+float64(k)/fps)
		}
		return out
	}
	vfr := []string{
		"-f", "lavfi", "-i", "testsrc2=r=30:d=1:s=64x64", "-vf", "settb=1/90000,setpts=N*N*90",
		"-fps_mode", "passthrough", "-enc_time_base", "1:90000", "-video_track_timescale", "90000", "-c:v", "libx264", "-crf", "30",
	}
	tests := []struct {
		name string
		path string
		want []float64
		tol  float64
	}{
		{"constant", clip(t, "c.mp4", "64x64"), even(60, 0, 30), 1e-9},
		{"240 a second", render(t, "f.mp4", "-f", "lavfi", "-i", "testsrc2=r=240:d=0.5:s=64x64", "-c:v", "libx264"), even(120, 0, 240), 1e-9},
		{"variable", render(t, "v.mp4", vfr...), square(30), 1e-9},
		{"matroska", clip(t, "c.mkv", "64x64"), even(60, 0, 30), halfTickS},
		{"avi", render(t, "c.avi", "-f", "lavfi", "-i", "testsrc2=r=25:d=1:s=64x64", "-c:v", "mpeg4"), even(25, 0, 25), 1e-9},
		{"late start", clip(t, "l.mp4", "64x64", "-output_ts_offset", "0.5"), even(60, 0.5, 30), 1e-4},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			info, frames := mustDecode(t, tt.path, Options{})
			got := times(frames)
			if !near(got, tt.want, tt.tol) {
				t.Errorf("decoded times %v, want %v", got, tt.want)
			}
			for i, f := range frames {
				if f.Index != i {
					t.Fatalf("frame %d has index %d", i, f.Index)
				}
			}
			table, err := Times(t.Context(), tt.path, info, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(table, got) {
				t.Errorf("table %v, decoded %v", table, got)
			}
		})
	}
}

// An edit list that starts in the middle: what lies before is not shown.
func TestEditList(t *testing.T) {
	t.Parallel()
	whole := clip(t, "whole.mp4", "64x64")
	_, all := mustDecode(t, whole, Options{})
	cut := render(t, "cut.mp4", "-ss", "0.9", "-i", whole, "-c", "copy")
	info, got := mustDecode(t, cut, Options{})
	table, err := Times(t.Context(), cut, info, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(table, times(got)) {
		t.Errorf("table %v, decoded %v", table, times(got))
	}
	// Frame 27 is the first at or after 0.9 s.
	if len(got) != 33 || got[0].TimeS != 0 {
		t.Fatalf("got %d frames from %g s, want 33 from 0 s", len(got), got[0].TimeS)
	}
	if d := diff(got[0].Y, all[27].Y); d != 0 {
		t.Errorf("first frame differs from frame 27 by %g", d)
	}
}

func TestPart(t *testing.T) {
	t.Parallel()
	openGOP := []string{"-x264-params", "open-gop=1:keyint=15:bframes=3"}
	paths := map[string]string{
		"closed":     clip(t, "a.mp4", "64x64"),
		"open":       clip(t, "b.mp4", "64x64", openGOP...),
		"matroska":   clip(t, "c.mkv", "64x64"),
		"late start": clip(t, "d.mp4", "64x64", "-output_ts_offset", "0.5"),
		"hevc": render(t, "e.mp4", "-f", "lavfi", "-i", "testsrc2=r=30:d=2:s=64x64", "-c:v", "libx265",
			"-x265-params", "open-gop=1:keyint=15:bframes=3:log-level=error"),
	}
	for name, path := range paths {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			info, all := mustDecode(t, path, Options{})
			for _, span := range [][2]int{{0, 5}, {17, 17}, {31, 44}, {50, 59}} {
				o := Options{StartS: all[span[0]].TimeS, EndS: all[span[1]].TimeS}
				if span[0] == 31 {
					o.Times = times(all)
				}
				got, err := decodeAll(t.Context(), t, path, info, o)
				if err != nil {
					t.Fatal(err)
				}
				want := all[span[0] : span[1]+1]
				if len(got) != len(want) {
					t.Fatalf("span %v: got %d frames, want %d", span, len(got), len(want))
				}
				for i := range got {
					if got[i].Index != want[i].Index || got[i].TimeS != want[i].TimeS || diff(got[i].Y, want[i].Y) != 0 {
						t.Errorf("span %v: frame %d at %g s is not frame %d at %g s", span, got[i].Index, got[i].TimeS, want[i].Index, want[i].TimeS)
					}
				}
			}
		})
	}
}

func TestColours(t *testing.T) {
	t.Parallel()
	// Two steps: the encoder's loss and two roundings.
	const tol = 2
	tests := []struct {
		name   string
		matrix string // as tagged
		vf     string // how the test picture is made, away from the code under test
		space  ColourSpace
		codec  []string
	}{
		{"709 limited", "bt709", "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p", ColourSpace{"bt709", false}, nil},
		{"601 limited", "smpte170m", "scale=out_color_matrix=bt601:out_range=tv,format=yuv420p", ColourSpace{"bt601", false}, nil},
		{"2020 limited", "bt2020nc", "scale=out_color_matrix=bt2020:out_range=tv,format=yuv420p", ColourSpace{"bt2020", false}, nil},
		{"709 full", "bt709", "scale=out_color_matrix=bt709:out_range=pc,format=yuvj420p", ColourSpace{"bt709", true}, nil},
		{
			"709 limited, 10 bit HEVC", "bt709", "scale=out_color_matrix=bt709:out_range=tv,format=yuv420p10le",
			ColourSpace{"bt709", false},
			[]string{"-c:v", "libx265", "-x265-params", "log-level=error"},
		},
		{
			"709 full, 10 bit HEVC", "bt709", "scale=out_color_matrix=bt709:out_range=pc,format=yuv420p10le",
			ColourSpace{"bt709", true},
			[]string{"-c:v", "libx265", "-x265-params", "log-level=error", "-color_range", "pc"},
		},
		{"RGB", "rgb", "format=gbrp", ColourSpace{"bt709", false}, []string{"-c:v", "libx264rgb", "-crf", "5"}},
		{"4:4:4", "bt709", "scale=out_color_matrix=bt709:out_range=tv,format=yuv444p", ColourSpace{"bt709", false}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			codec := tt.codec
			if codec == nil {
				codec = []string{"-c:v", "libx264", "-crf", "5"}
			}
			args := append([]string{"-f", "lavfi", "-i", "color=c=0xff2d95:s=64x64:r=10:d=0.5,format=gbrp", "-vf", tt.vf, "-colorspace", tt.matrix}, codec...)
			info, frames := mustDecode(t, render(t, "c.mp4", args...), Options{})
			if info.Space() != tt.space {
				t.Errorf("got %+v, want %+v", info.Space(), tt.space)
			}
			f := frames[0]
			y, u, v := tt.space.YUV(0xff, 0x2d, 0x95)
			for i, pair := range [][2]uint8{{f.Y[0], y}, {f.U[0], u}, {f.V[0], v}} {
				if d := int(pair[0]) - int(pair[1]); d > tol || d < -tol {
					t.Errorf("plane %d: got %d, want %d", i, pair[0], pair[1])
				}
			}
		})
	}
}

func TestOddSizes(t *testing.T) {
	t.Parallel()
	path := render(t, "odd.mp4", "-f", "lavfi", "-i", "testsrc=r=30:d=0.2:s=65x49", "-pix_fmt", "yuv444p", "-c:v", "libx264", "-qp", "0")
	_, frames := mustDecode(t, path, Options{})
	f := frames[len(frames)-1]
	if f.W != 65 || f.H != 49 || len(f.Y) != 65*49 || len(f.U) != 33*25 || len(frames) != 6 {
		t.Errorf("got %d frames of %d × %d, %d chroma samples", len(frames), f.W, f.H, len(f.U))
	}
	setMatrix(t, path, 0, 1, -1, 0)
	_, turned := mustDecode(t, path, Options{})
	g := turned[len(turned)-1]
	if g.W != 49 || g.H != 65 || len(g.U) != 25*33 || len(turned) != 6 {
		t.Fatalf("turned: got %d frames of %d × %d", len(turned), g.W, g.H)
	}
	if want := shown(f, 0, 1, -1, 0); diff(g.Y, want.Y) != 0 {
		t.Errorf("turned: luma differs by %g", diff(g.Y, want.Y))
	}
}

func TestWidePixelsBecomeSquare(t *testing.T) {
	t.Parallel()
	info, frames := mustDecode(t, clip(t, "w.mp4", "72x58", "-vf", "setsar=16/11"), Options{})
	if info.Width != 105 || info.Height != 58 || frames[0].W != 105 || info.CodedWidth != 72 {
		t.Errorf("got %+v", info)
	}
}

func TestCutOff(t *testing.T) {
	t.Parallel()
	// Fragments and Matroska carry no outer size that would give the cut away.
	for _, tt := range []struct{ name, file, flags string }{
		{"fragmented", "f.mp4", "frag_keyframe+empty_moov+default_base_moof"},
		{"matroska", "m.mkv", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			var more []string
			if tt.flags != "" {
				more = []string{"-movflags", tt.flags}
			}
			path := clip(t, tt.file, "128x96", more...)
			info := probe(t, path)
			whole, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for _, part := range []float64{0.9, 0.6, 0.4} {
				cut := write(t, filepath.Join(t.TempDir(), tt.file), whole[:int(float64(len(whole))*part)])
				frames, err := decodeAll(t.Context(), t, cut, info, Options{})
				if !errors.Is(err, ErrBroken) || len(frames) >= 60 {
					t.Errorf("cut at %g: got %d frames and %v, want fewer than 60 and ErrBroken", part, len(frames), err)
				}
			}
		})
	}
}

func TestDamaged(t *testing.T) {
	t.Parallel()
	path := clip(t, "d.mp4", "128x96", "-movflags", "+faststart")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := len(data) / 2; i < len(data)/2+400; i++ {
		data[i] = 0xff
	}
	write(t, path, data)
	frames, err := decodeAll(t.Context(), t, path, probe(t, path), Options{})
	if !errors.Is(err, ErrBroken) {
		t.Fatalf("got %d frames and %v, want ErrBroken", len(frames), err)
	}
	if text := err.Error(); strings.Contains(text, "0x") || strings.Contains(text, path) {
		t.Errorf("error holds an address or the path: %q", text)
	}
}

func TestAwkwardNames(t *testing.T) {
	t.Parallel()
	src := clip(t, "src.mp4", "64x64")
	data, err := os.ReadFile(src)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"-x.mp4", "a:b.mp4", "http:x.mp4", "%03d.mp4", "a'b,c[0];d.mp4", "säsong 1.mp4"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := write(t, filepath.Join(t.TempDir(), name), data)
			if _, frames := mustDecode(t, path, Options{}); len(frames) != 60 {
				t.Errorf("got %d frames, want 60", len(frames))
			}
			out := path + ".out.mp4"
			encode(t, out, 64, 64, 3)
			if _, frames := mustDecode(t, out, Options{}); len(frames) != 3 {
				t.Errorf("encoded: got %d frames, want 3", len(frames))
			}
		})
	}
}

func TestCancelEndsTheChild(t *testing.T) {
	t.Parallel()
	path := clip(t, "c.mp4", "320x240")
	info := probe(t, path)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	d, err := Open(ctx, path, info, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	pid := d.child.cmd.Process.Pid
	var f Frame
	if err := d.Next(&f); err != nil {
		t.Fatal(err)
	}
	cancel()
	for err == nil {
		err = d.Next(&f)
	}
	// What was in the pipe may still come; then the cancellation shows.
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want context.Canceled", err)
	}
	if err := unix.Kill(pid, 0); !errors.Is(err, unix.ESRCH) {
		t.Errorf("the child is still there: %v", err)
	}
}

func TestCloseEarly(t *testing.T) {
	t.Parallel()
	path := clip(t, "c.mp4", "320x240")
	d, err := Open(t.Context(), path, probe(t, path), Options{})
	if err != nil {
		t.Fatal(err)
	}
	pid := d.child.cmd.Process.Pid
	for range 2 {
		if err := d.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if err := unix.Kill(pid, 0); !errors.Is(err, unix.ESRCH) {
		t.Errorf("the child is still there: %v", err)
	}
	if err := d.Next(&Frame{}); !errors.Is(err, os.ErrClosed) {
		t.Errorf("got %v, want os.ErrClosed", err)
	}
}

func TestEndStaysEnd(t *testing.T) {
	t.Parallel()
	path := clip(t, "c.mp4", "64x64", "-frames:v", "2")
	d, err := Open(t.Context(), path, probe(t, path), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	var f Frame
	for range 2 {
		if err := d.Next(&f); err != nil {
			t.Fatal(err)
		}
	}
	for range 3 {
		if err := d.Next(&f); !errors.Is(err, io.EOF) {
			t.Errorf("got %v, want io.EOF", err)
		}
	}
}

func TestFenceHolds(t *testing.T) {
	t.Parallel()
	path := clip(t, "c.mp4", "640x480")
	info := probe(t, path)
	// The libraries load in 200 MiB, the pictures no longer fit.
	frames, err := decodeAll(t.Context(), t, path, info, Options{Limits: Limits{MemoryBytes: 250 << 20}})
	if err == nil {
		t.Errorf("got %d frames in too little memory, want an error", len(frames))
	}
	d, err := Open(t.Context(), path, info, Options{Limits: Limits{CPUSeconds: 7, MemoryBytes: 900 << 20}})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if err := d.Next(&Frame{}); err != nil { // the limits stand before the tool begins
		t.Fatal(err)
	}
	// Its account may be another, of which the kernel tells this much.
	limits, err := os.ReadFile(fmt.Sprintf("/proc/%d/limits", d.child.cmd.Process.Pid))
	if err != nil {
		t.Fatal(err)
	}
	for what, want := range map[string]int{"Max address space": 900 << 20, "Max cpu time": 7, "Max file size": 0, "Max core file size": 0} {
		_, rest, _ := strings.Cut(string(limits), what)
		var soft, hard int
		if _, err := fmt.Sscan(rest, &soft, &hard); err != nil || soft != want || hard != want {
			t.Errorf("%s: got %d, %d, %v, want %d", what, soft, hard, err, want)
		}
	}
	if pgid, err := unix.Getpgid(d.child.cmd.Process.Pid); err != nil || pgid != d.child.cmd.Process.Pid {
		t.Errorf("got process group %d, %v, want its own", pgid, err)
	}
}

// A header may lie about the number of frames, so they are counted as they come.
func TestDecodeStopsAtTooManyFrames(t *testing.T) {
	t.Parallel()
	path := clip(t, "x.mp4", "128x96")
	info := probe(t, path)
	info.FramesHint = 3
	frames, err := decodeAll(t.Context(), t, path, info, Options{Limits: Limits{MaxFrames: 59}})
	if !errors.Is(err, ErrTooLarge) || len(frames) != 59 {
		t.Errorf("got %d frames and %v, want 59 and ErrTooLarge", len(frames), err)
	}
}
