package band

import "math"

// Candidate is one patch of one frame that may be a mark.
type Candidate struct {
	X, Y float64 // centroid of the coverage, luma px
	// Evidence is the sum of its pixels' log-likelihood ratios, band against what else
	// they may be.
	Evidence float64
	// Mass is the sum of coverage, in luma px.
	Mass float64
	// Sxx, Sxy, Syy are central second moments, px².
	Sxx, Sxy, Syy float64
	// Tone is the mean code of Y, Cb and Cr of its most saturated pixels, in the light
	// of the clip's background.
	Tone [3]float64
	// Mean is the mean coverage of its pixels, 0..1.
	Mean float64
	// Still is 1 when the background explains it, else 0.
	Still float64
	// Edge is set when the patch touches the picture's border.
	Edge bool
}

// toneShare is the share of the largest colour from which a pixel counts for the tone.
const toneShare = 0.8

// sums are the moments of a weight.
type sums struct{ w, x, y, xx, xy, yy float64 }

func (s *sums) add(w, x, y float64) {
	s.w += w
	s.x, s.y = s.x+w*x, s.y+w*y
	s.xx, s.xy, s.yy = s.xx+w*x*x, s.xy+w*x*y, s.yy+w*y*y
}

// central are the centroid and the central second moments.
func (s sums) central() (x, y, xx, xy, yy float64) {
	if s.w <= 0 {
		return 0, 0, 0, 0, 0
	}
	x, y = s.x/s.w, s.y/s.w
	return x, y, s.xx/s.w - x*x, s.xy/s.w - x*y, s.yy/s.w - y*y
}

// measure weighs a patch by its colour alone.
func (f *Finder) measure(l *layer, k patch, m Model) Candidate {
	s := &f.shot
	c := Candidate{Evidence: k.evidence, Edge: k.x0 == 0 || k.y0 == 0 || k.x1 == s.w || k.y1 == s.h}
	var cover sums
	n, top := 0.0, 0.0
	each := func(do func(p int, x, y float64)) {
		for _, i := range k.runs {
			r := l.runs[i]
			for j := range r.weight {
				do(r.y*s.w+r.x+j, float64(r.x+j), float64(r.y))
			}
		}
	}
	each(func(p int, x, y float64) {
		share := m.share(s.u[p], s.v[p])
		n, top = n+1, math.Max(top, share)
		cover.add(math.Min(1, share/fullShare), x, y)
	})
	tones := 0.0
	each(func(p int, _, _ float64) {
		if m.share(s.u[p], s.v[p]) >= toneShare*top {
			tones++
			c.Tone[0], c.Tone[1], c.Tone[2] = c.Tone[0]+float64(s.y[p]), c.Tone[1]+float64(s.u[p]), c.Tone[2]+float64(s.v[p])
		}
	})
	for i := range c.Tone {
		c.Tone[i] /= tones
	}
	x, y, xx, xy, yy := cover.central()
	c.X, c.Y, c.Mass, c.Mean = 2*x+f.site.X, 2*y+f.site.Y, 4*cover.w, cover.w/n
	c.Sxx, c.Sxy, c.Syy = 4*xx, 4*xy, 4*yy
	return c
}
