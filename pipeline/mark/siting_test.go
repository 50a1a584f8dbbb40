package mark

import (
	"math"
	"testing"
)

// coloured bars whose edges lie at all places within a pixel, seen by a sensor of
// unit width in luma and averaged for chroma around the place that is asked for.
func bars(w, h int, site float64) (y, u, v Plane) {
	y = Plane{Pix: make([]uint8, w*h), Width: w, Height: h, Stride: w}
	u = Plane{Pix: make([]uint8, w*h/4), Width: w / 2, Height: h / 2, Stride: w / 2}
	v = Plane{Pix: make([]uint8, w*h/4), Width: w / 2, Height: h / 2, Stride: w / 2}
	inside := func(x float64, row int) float64 { // share of [x-1, x+1] that a bar covers
		sum := 0.0
		for k := range 20 {
			p := x - 0.95 + 0.1*float64(k) + 0.37*float64(row)
			if math.Mod(p+4000, 37) < 14 {
				sum += 0.05
			}
		}
		return sum
	}
	for r := range h {
		for x := range w {
			y.Pix[r*w+x] = uint8(60 + 90*inside(float64(x), r/2*2))
		}
	}
	for r := range h / 2 {
		for x := range w / 2 {
			c := inside(2*float64(x)+site, 2*r)
			u.Pix[r*w/2+x] = uint8(128 - 50*c)
			v.Pix[r*w/2+x] = uint8(128 + 70*c)
		}
	}
	return y, u, v
}

func TestSitingIsFound(t *testing.T) {
	t.Parallel()
	const tolerance = 0.1 // px
	for _, want := range []float64{0, 0.25, 0.5} {
		var s Siting
		s.Add(bars(640, 120, want))
		if got := s.X(9); math.Abs(got-want) > tolerance {
			t.Errorf("first chroma sample at %.2f px, want %.2f", got, want)
		}
	}
}

func TestSitingNeedsEdges(t *testing.T) {
	t.Parallel()
	var s Siting
	grey := Plane{Pix: make([]uint8, 320*90), Width: 160, Height: 90, Stride: 160}
	s.Add(Plane{Pix: make([]uint8, 320*180), Width: 320, Height: 180, Stride: 320}, grey, grey)
	if got := s.X(0.25); got != 0.25 {
		t.Errorf("a grey picture says %.2f", got)
	}
}
