package media

import (
	"fmt"
	"testing"
)

// TestOrientation turns one coded picture by each of the eight matrices and
// compares the frames with a turn made here, sample by sample.
func TestOrientation(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name       string
		a, b, c, d int32
		deg        int
		mirrored   bool
	}{
		{"upright", 1, 0, 0, 1, 0, false},
		{"portrait", 0, 1, -1, 0, 90, false}, // what phones write when held upright
		{"upside down", -1, 0, 0, -1, 180, false},
		{"portrait, other way", 0, -1, 1, 0, 270, false},
		{"mirrored", -1, 0, 0, 1, 0, true},
		{"mirrored portrait", 0, 1, 1, 0, 90, true},
		{"mirrored upside down", 1, 0, 0, -1, 180, true},
		{"mirrored portrait, other way", 0, -1, -1, 0, 270, true},
	}
	const w, h = 96, 64
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			// Lossless and closed on itself: the plain decode is the reference.
			path := clip(t, "turn.mp4", fmt.Sprintf("%dx%d", w, h), "-qp", "0", "-frames:v", "3")
			_, plain := mustDecode(t, path, Options{})
			setMatrix(t, path, tt.a, tt.b, tt.c, tt.d)
			info, turned := mustDecode(t, path, Options{})
			if info.RotateDeg != tt.deg || info.Mirrored != tt.mirrored {
				t.Errorf("got turn %d° mirrored %v, want %d° %v", info.RotateDeg, info.Mirrored, tt.deg, tt.mirrored)
			}
			if len(turned) != len(plain) {
				t.Fatalf("got %d frames, want %d", len(turned), len(plain))
			}
			want := shown(plain[2], tt.a, tt.b, tt.c, tt.d)
			got := turned[2]
			if got.W != want.W || got.H != want.H {
				t.Fatalf("got %d × %d, want %d × %d", got.W, got.H, want.W, want.H)
			}
			if dy, du, dv := diff(got.Y, want.Y), diff(got.U, want.U), diff(got.V, want.V); dy != 0 || du != 0 || dv != 0 {
				t.Errorf("planes differ by %g, %g, %g, want none", dy, du, dv)
			}
		})
	}
}

// shown maps every sample through the matrix, shifted back into the picture.
func shown(f *Frame, a, b, c, d int32) *Frame {
	w, h := f.W, f.H
	if a == 0 {
		w, h = h, w
	}
	out := NewFrame(w, h)
	plane := func(dst, src []byte, sw, sh, dw, dh int) {
		for y := range sh {
			for x := range sw {
				px, py := int(a)*x+int(c)*y, int(b)*x+int(d)*y
				if a < 0 || c < 0 {
					px += dw - 1
				}
				if b < 0 || d < 0 {
					py += dh - 1
				}
				dst[py*dw+px] = src[y*sw+x]
			}
		}
	}
	plane(out.Y, f.Y, f.W, f.H, w, h)
	plane(out.U, f.U, f.ChromaW(), f.ChromaH(), out.ChromaW(), out.ChromaH())
	plane(out.V, f.V, f.ChromaW(), f.ChromaH(), out.ChromaW(), out.ChromaH())
	return out
}

func TestParseTurn(t *testing.T) {
	t.Parallel()
	good := "\n00000000:            0       65536           0\n00000001:       -65536           0           0\n00000002:            0           0  1073741824\n"
	got, err := parseTurn(good)
	if err != nil || got != (turn{90, false}) {
		t.Errorf("got %v, %v, want a clockwise quarter turn", got, err)
	}
	for _, bad := range []string{"", "00000000: 1 2", "0: a b c\n1: 0 0 0\n2: 0 0 0"} {
		if _, err := parseTurn(bad); err == nil {
			t.Errorf("parseTurn(%q) gave no error", bad)
		}
	}
	if got := turnOf(0, 0, 0, 0); got != (turn{}) {
		t.Errorf("a matrix of zeros gives %v, want no turn", got)
	}
}
