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
	inside := func(x float64) float64 { // share of [x-1, x+1] that a bar covers
		sum := 0.0
		for k := range 20 {
			p := x - 0.95 + 0.1*float64(k)
			if math.Mod(p+4000, 37.37) < 14 {
				sum += 0.05
			}
		}
		return sum
	}
	for r := range h {
		for x := range w {
			y.Pix[r*w+x] = uint8(60 + 90*inside(float64(x)))
		}
	}
	for r := range h / 2 {
		for x := range w / 2 {
			c := inside(2*float64(x) + site)
			u.Pix[r*w/2+x] = uint8(128 - 50*c)
			v.Pix[r*w/2+x] = uint8(128 + 70*c)
		}
	}
	return y, u, v
}

func TestSitingIsFound(t *testing.T) {
	t.Parallel()
	const tolerance = 0.1 // px
	for _, want := range []float64{0, 0.25, 0.5, 1} {
		var s Siting
		s.Add(bars(640, 120, want))
		if got := s.Site(Site{9, 9}); math.Abs(got.X-want) > tolerance || got.Y != 9 {
			t.Errorf("first chroma sample at %.2f px, want %.2f across and nothing known down", got, want)
		}
		var turned Siting
		y, u, v := bars(640, 120, want)
		turned.Add(clockwise(y), clockwise(u), clockwise(v))
		if got := turned.Site(Site{9, 9}); got.X != 9 || math.Abs(got.Y-want) > tolerance {
			t.Errorf("turned: first chroma sample at %.2f px, want %.2f down and nothing known across", got, want)
		}
	}
}

func TestSitingNeedsEdges(t *testing.T) {
	t.Parallel()
	var s Siting
	grey := Plane{Pix: make([]uint8, 320*90), Width: 160, Height: 90, Stride: 160}
	s.Add(Plane{Pix: make([]uint8, 320*180), Width: 320, Height: 180, Stride: 320}, grey, grey)
	if got := s.Site(Site{0.25, 0.5}); got != (Site{0.25, 0.5}) {
		t.Errorf("a grey picture says %.2f", got)
	}
}

// clockwise turns a plane by a quarter.
func clockwise(p Plane) Plane {
	q := Plane{Pix: make([]uint8, len(p.Pix)), Width: p.Height, Height: p.Width, Stride: p.Height}
	for y := range p.Height {
		for x := range p.Width {
			q.Pix[x*q.Stride+p.Height-1-y] = p.Pix[y*p.Stride+x]
		}
	}
	return q
}

// The luma about a chroma sample is a mean over two columns wherever the sample
// lies, and its middle is there.
func TestSharesLieAboutTheSample(t *testing.T) {
	t.Parallel()
	for _, site := range []float64{0, 0.25, 0.5, 0.75, 1} {
		sum, at := 0.0, 0.0
		for i, w := range shares(site) {
			sum, at = sum+w, at+w*float64(i-1)
		}
		if math.Abs(sum-1) > 1e-12 || math.Abs(at-site) > 1e-12 {
			t.Errorf("site %g: shares add to %g about %g", site, sum, at)
		}
	}
}
