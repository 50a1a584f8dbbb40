package mark

import "math"

// Candidate is one patch of one frame that may be a mark.
type Candidate struct {
	X, Y float64 // centroid of the coverage, luma px
	// Evidence is the sum of its pixels' log-likelihood ratios, band against what else
	// they may be.
	Evidence float64
	// Mass is the sum of coverage, in luma px.
	Mass float64
	// Colour is the sum of the mark's light, luma px of full light: unlike Mass it
	// does not grow when a thin patch is spread over pixels that it only partly
	// covers. CXX, CXY, CYY are its second moments. Covered says that what lies
	// behind is taken out of both, and shading out of the centroid; LitX, LitY then
	// lead from the centroid to that of the light, and Third are the light's central
	// third moments xxx, xxy, xyy, yyy, px³.
	Colour        float64
	CXX, CXY, CYY float64
	Third         [4]float64
	LitX, LitY    float64
	Covered       bool
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

// Axes returns the patch's half-lengths along and across its long direction
// (square roots of the moments' eigenvalues) and that direction.
func (c Candidate) Axes() (along, across, dirRad float64) {
	tr, d := (c.Sxx+c.Syy)/2, math.Hypot((c.Sxx-c.Syy)/2, c.Sxy)
	return math.Sqrt(math.Max(0, tr+d)), math.Sqrt(math.Max(0, tr-d)), 0.5 * math.Atan2(2*c.Sxy, c.Sxx-c.Syy)
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

// weighed measures a patch by its colour alone.
func (f *Finder) weighed(l *layer, k patch, m Model) Candidate {
	s := &f.shot
	c := Candidate{Evidence: k.evidence, Edge: k.x0 == 0 || k.y0 == 0 || k.x1 == s.w || k.y1 == s.h}
	var cover, colour sums
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
		colour.add(share, x, y)
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
	site := f.matte.site
	c.X, c.Y, c.Mass, c.Mean = 2*x+site.X, 2*y+site.Y, 4*cover.w, cover.w/n
	c.Sxx, c.Sxy, c.Syy = 4*xx, 4*xy, 4*yy
	_, _, xx, xy, yy = colour.central()
	c.Colour, c.CXX, c.CXY, c.CYY = 4*colour.w, 4*xx, 4*xy, 4*yy
	return c
}
