package mark

import (
	"math"
	"sort"
)

// Site is the luma column and row of the first chroma sample, each 0 to 1.
type Site struct{ X, Y float64 }

// Siting finds from pictures where the first chroma sample lies. Files tag it as
// left more often than they mean it: many encoders average two columns, which puts
// it half a pixel to the right; and a picture that was turned has it elsewhere again.
// Where an edge shows in luma and in chroma, the shift between the two says where.
type Siting struct{ across, down []float64 }

const (
	siteSpan   = 16   // chroma samples of a row that are compared at a time
	siteSteep  = 20.0 // least step of both over two samples, 8-bit steps
	siteLike   = 0.9  // least correlation of the steps
	siteLeast  = 60   // comparisons, for an answer
	siteRows   = 2    // every how many rows and columns
	siteCentre = 0.5
)

// Add compares one picture's planes.
func (s *Siting) Add(y, u, v Plane) {
	w, h := min(u.Width, y.Width/2), min(u.Height, y.Height/2)
	luma := func(x, row int) float64 {
		a, b := y.Pix[2*row*y.Stride+2*x:], y.Pix[(2*row+1)*y.Stride+2*x:]
		return float64(int(a[0])+int(a[1])+int(b[0])+int(b[1])) / 4
	}
	for _, p := range []Plane{u, v} {
		chroma := func(x, row int) float64 { return float64(p.Pix[row*p.Stride+x]) }
		for row := 0; row < h; row += siteRows {
			s.across = compare(s.across, w,
				func(x int) float64 { return luma(x, row) }, func(x int) float64 { return chroma(x, row) })
		}
		for x := 0; x < w; x += siteRows {
			s.down = compare(s.down, h,
				func(row int) float64 { return luma(x, row) }, func(row int) float64 { return chroma(x, row) })
		}
	}
}

// compare appends the shifts along one line of n samples.
func compare(to []float64, n int, luma, chroma func(int) float64) []float64 {
	steps, colour := make([]float64, n), make([]float64, n)
	slope(steps, luma)
	slope(colour, chroma)
	for x := siteSpan; x+2*siteSpan < n; x += siteSpan {
		if d, ok := shift(colour[x:x+siteSpan], steps[x-1:x+siteSpan+1]); ok {
			to = append(to, d)
		}
	}
	return to
}

// Settled tells whether edges enough were seen along both axes.
func (s *Siting) Settled() bool { return len(s.across) >= siteLeast && len(s.down) >= siteLeast }

// Site is where the first chroma sample lies, or otherwise along an axis along which
// too few edges were seen.
func (s *Siting) Site(otherwise Site) Site {
	at := func(shifts []float64, otherwise float64) float64 {
		if len(shifts) < siteLeast {
			return otherwise
		}
		sort.Float64s(shifts)
		return math.Max(0, math.Min(siteCentre+2*shifts[len(shifts)/2], 1))
	}
	return Site{at(s.across, otherwise.X), at(s.down, otherwise.Y)}
}

// slope fills out with the difference of both neighbours.
func slope(out []float64, at func(int) float64) {
	for x := 1; x+1 < len(out); x++ {
		out[x] = at(x+1) - at(x-1)
	}
}

// shift is by how many samples c matches y better a little to the right; y has one
// sample more on each side.
func shift(c, y []float64) (float64, bool) {
	var top, r [3]float64
	most, cc := 0.0, 0.0
	for i := range c {
		most = math.Max(most, math.Abs(c[i]))
		cc += c[i] * c[i]
	}
	if most < siteSteep {
		return 0, false
	}
	for k := range r {
		yy := 0.0
		for i := range c {
			r[k] += c[i] * y[i+k]
			yy += y[i+k] * y[i+k]
			top[k] = math.Max(top[k], math.Abs(y[i+k]))
		}
		if yy == 0 {
			return 0, false
		}
		r[k] /= math.Sqrt(cc * yy)
	}
	sign := 1.0
	if r[1] < 0 {
		sign = -1
	}
	l, m, n := sign*r[0], sign*r[1], sign*r[2]
	if top[1] < siteSteep || m < siteLike || m < l || m < n || l+n >= 2*m {
		return 0, false
	}
	return (l - n) / (2 * (l - 2*m + n)), true
}
