package contrast

import (
	"errors"
	"image"
	"image/color"
	"math"
	"testing"

	"gocv.io/x/gocv"
)

// picture paints a magenta square with its corner at x, y on a textured ground.
func picture(t *testing.T, x, y int) gocv.Mat {
	t.Helper()
	m := gocv.NewMatWithSize(240, 320, gocv.MatTypeCV8UC3)
	t.Cleanup(func() { m.Close() })
	for j := 0; j < 240; j += 8 {
		for i := 0; i < 320; i += 8 {
			v := uint8(60 + (i*7+j*13)%90)
			gocv.Rectangle(&m, image.Rect(i, j, i+8, j+8), color.RGBA{R: v, G: v, B: v}, -1)
		}
	}
	gocv.Rectangle(&m, image.Rect(x, y, x+30, y+30), color.RGBA{R: 255, G: 45, B: 149}, -1)
	gocv.Rectangle(&m, image.Rect(x+8, y+8, x+20, y+24), color.RGBA{R: 40, G: 200, B: 40}, -1)
	return m
}

func TestTrackersFollowASlowSquare(t *testing.T) {
	t.Parallel()
	for _, kind := range Kinds() {
		t.Run(string(kind), func(t *testing.T) {
			t.Parallel()
			tr, err := New(kind)
			if err != nil {
				t.Fatal(err)
			}
			defer tr.Close()
			if err := tr.Init(picture(t, 100, 80), image.Rect(98, 78, 132, 112)); err != nil {
				t.Fatal(err)
			}
			for i := 1; i <= 8; i++ {
				box, found, err := tr.Update(picture(t, 100+3*i, 80+2*i))
				if err != nil || !found {
					t.Fatalf("step %d: found %v, %v", i, found, err)
				}
				x, y := Centre(box)
				// A third of the square: the trackers are coarse, MIL most.
				if e := math.Hypot(x-(114.5+3*float64(i)), y-(94.5+2*float64(i))); e > 10 {
					t.Errorf("step %d: %.1f px off", i, e)
				}
			}
		})
	}
}

func TestTrackersRefuse(t *testing.T) {
	t.Parallel()
	grey := gocv.NewMatWithSize(240, 320, gocv.MatTypeCV8UC1)
	t.Cleanup(func() { grey.Close() })
	empty := gocv.NewMat()
	t.Cleanup(func() { empty.Close() })
	good := image.Rect(10, 10, 40, 40)
	for _, kind := range Kinds() {
		tests := []struct {
			name string
			mat  gocv.Mat
			box  image.Rectangle
			want error
		}{
			{"grey", grey, good, ErrPicture},
			{"empty picture", empty, good, ErrPicture},
			{"empty box", picture(t, 10, 10), image.Rectangle{}, ErrBox},
			{"box over the edge", picture(t, 10, 10), image.Rect(300, 10, 330, 40), ErrBox},
		}
		for _, tt := range tests {
			t.Run(string(kind)+" "+tt.name, func(t *testing.T) {
				tr, err := New(kind)
				if err != nil {
					t.Fatal(err)
				}
				defer tr.Close()
				if _, _, err := tr.Update(tt.mat); !errors.Is(err, ErrState) {
					t.Errorf("update before init: got %v, want %v", err, ErrState)
				}
				if err := tr.Init(tt.mat, tt.box); !errors.Is(err, tt.want) {
					t.Errorf("got %v, want %v", err, tt.want)
				}
			})
		}
	}
	if _, err := New("none"); !errors.Is(err, ErrKind) {
		t.Errorf("got %v, want %v", err, ErrKind)
	}
}

// TestExceptionBecomesError shows a started tracker a picture that ends before
// the box's place. OpenCV answers with an exception in CSRT and with a loss in KCF.
func TestExceptionBecomesError(t *testing.T) {
	t.Parallel()
	small := gocv.NewMatWithSize(4, 4, gocv.MatTypeCV8UC3)
	t.Cleanup(func() { small.Close() })
	for kind, want := range map[Kind]error{CSRT: ErrNative, KCF: nil} {
		t.Run(string(kind), func(t *testing.T) {
			tr, err := New(kind)
			if err != nil {
				t.Fatal(err)
			}
			defer tr.Close()
			if err := tr.Init(picture(t, 100, 80), image.Rect(98, 78, 132, 112)); err != nil {
				t.Fatal(err)
			}
			if _, found, err := tr.Update(small); found || !errors.Is(err, want) {
				t.Errorf("got found %v, %v, want %v", found, err, want)
			}
		})
	}
	if _, err := newNative(99); !errors.Is(err, ErrNative) {
		t.Errorf("got %v, want %v", err, ErrNative)
	}
}

func TestCloseTwice(t *testing.T) {
	t.Parallel()
	for _, kind := range Kinds() {
		tr, err := New(kind)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(tr.Close(), tr.Close()); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
		if err := tr.Init(picture(t, 1, 1), image.Rect(0, 0, 30, 30)); !errors.Is(err, ErrState) {
			t.Errorf("%s: init after close: got %v", kind, err)
		}
	}
}

func TestCentre(t *testing.T) {
	t.Parallel()
	if x, y := Centre(image.Rect(0, 0, 1, 1)); x != 0 || y != 0 {
		t.Errorf("one pixel: got %g, %g", x, y)
	}
	if x, y := Centre(image.Rect(10, 20, 14, 26)); x != 11.5 || y != 22.5 {
		t.Errorf("got %g, %g, want 11.5, 22.5", x, y)
	}
}
