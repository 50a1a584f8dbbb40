package mark

import (
	"math"
	"sort"
)

// Siting finds from pictures where across the first chroma sample lies. Files tag
// it as left more often than they mean it: many encoders average two columns,
// which puts it half a pixel to the right. Where an edge shows in luma and in
// chroma, the shift between the two says which.
type Siting struct{ shifts []float64 }

const (
	siteSpan   = 16   // chroma samples of a row that are compared at a time
	siteSteep  = 20.0 // least step of both over two samples, 8-bit steps
	siteLike   = 0.9  // least correlation of the steps
	siteLeast  = 60   // comparisons, for an answer
	siteRows   = 2    // every how many rows
	siteCentre = 0.5
)

// Add compares one picture's planes.
func (s *Siting) Add(y, u, v Plane) {
	w := min(u.Width, y.Width/2)
	luma, steps, chroma := make([]float64, w), make([]float64, w), make([]float64, w)
	for row := 0; row < u.Height && 2*row+1 < y.Height; row += siteRows {
		a, b := y.Pix[2*row*y.Stride:], y.Pix[(2*row+1)*y.Stride:]
		for x := range luma {
			luma[x] = float64(int(a[2*x])+int(a[2*x+1])+int(b[2*x])+int(b[2*x+1])) / 4
		}
		slope(steps, func(x int) float64 { return luma[x] })
		for _, p := range []Plane{u, v} {
			line := p.Pix[row*p.Stride:]
			slope(chroma, func(x int) float64 { return float64(line[x]) })
			for x := siteSpan; x+2*siteSpan < w; x += siteSpan {
				if d, ok := shift(chroma[x:x+siteSpan], steps[x-1:x+siteSpan+1]); ok {
					s.shifts = append(s.shifts, d)
				}
			}
		}
	}
}

// X is the luma column of the first chroma sample, 0 to 0.5, or otherwise when
// too few edges were seen.
func (s *Siting) X(otherwise float64) float64 {
	if len(s.shifts) < siteLeast {
		return otherwise
	}
	sort.Float64s(s.shifts)
	return math.Max(0, math.Min(siteCentre+2*s.shifts[len(s.shifts)/2], siteCentre))
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
