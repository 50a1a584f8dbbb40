package ball

import (
	"math"

	"ashline/pipeline/track"
)

// Disc is a ball in a frame: a disc of known radius that moves by (DX, DY)
// during the exposure, brighter at the top than at the bottom by an amount that
// the pixels tell.
type Disc struct {
	RadiusPx float64
	DX, DY   float64 // px over the exposure
}

const (
	discSteps = 8
	discMove  = 0.25 // px: step of the differences
	discLimit = 0.7  // of the radius from the first guess: farther is another thing
	discStart = 0.35 // of the radius: how much lower the second start is
)

// Fit finds the disc's centre at mid-exposure by least squares over luma,
// starting at (x, y). ok is false when it runs away or explains little.
//
// A ball's underside may be as dark as what is behind it; the centre of what
// differs is then too high by a pixel or more, and differently before each
// background. The disc's outline is not. So the search starts there and, once
// more, lower.
func (d Disc) Fit(c *track.Crop, x, y float64) (cx, cy float64, ok bool) {
	best := math.Inf(1)
	cx, cy = x, y
	for _, lower := range []float64{0, discStart * d.RadiusPx} {
		u, v, cost, flat := d.descend(c, x, y+lower)
		if cost < best && cost < 0.5*flat && math.Hypot(u-x, v-y) < math.Max(2, discLimit*d.RadiusPx) {
			best, cx, cy, ok = cost, u, v, true
		}
	}
	return cx, cy, ok
}

// descend walks from (x, y) to the nearest minimum of the cost.
func (d Disc) descend(c *track.Crop, x, y float64) (cx, cy, cost, flat float64) {
	cx, cy = x, y
	cost, flat = d.cost(c, cx, cy)
	damp := 1e-3
	for range discSteps {
		// The model is linear in its two shades, so only the centre is searched:
		// Newton steps on the cost with those solved.
		xp, _ := d.cost(c, cx+discMove, cy)
		xm, _ := d.cost(c, cx-discMove, cy)
		yp, _ := d.cost(c, cx, cy+discMove)
		ym, _ := d.cost(c, cx, cy-discMove)
		pp, _ := d.cost(c, cx+discMove, cy+discMove)
		mm, _ := d.cost(c, cx-discMove, cy-discMove)
		gx, gy := (xp-xm)/(2*discMove), (yp-ym)/(2*discMove)
		hxx := (xp - 2*cost + xm) / (discMove * discMove)
		hyy := (yp - 2*cost + ym) / (discMove * discMove)
		hxy := (pp + mm - xp - xm - yp - ym + 2*cost) / (2 * discMove * discMove)
		hxx, hyy = math.Max(hxx, 1e-9)*(1+damp), math.Max(hyy, 1e-9)*(1+damp)
		det := hxx*hyy - hxy*hxy
		if det <= 0 {
			hxy, det = 0, hxx*hyy
		}
		sx, sy := -(hyy*gx-hxy*gy)/det, -(hxx*gy-hxy*gx)/det
		if l := math.Hypot(sx, sy); l > 1 {
			sx, sy = sx/l, sy/l
		}
		next, _ := d.cost(c, cx+sx, cy+sy)
		if next > cost {
			damp = math.Max(10*damp, 1)
			if damp > 1e3 {
				break
			}
			continue
		}
		cx, cy, cost = cx+sx, cy+sy, next
		if math.Hypot(sx, sy) < 0.005 {
			break
		}
	}
	return cx, cy, cost, flat
}

// cost is the sum of squares of what the disc at (cx, cy) leaves unexplained with
// its best shades, and of what there is to explain.
func (d Disc) cost(c *track.Crop, cx, cy float64) (left, flat float64) {
	// Now − Back = α·(F0 − Back) + α·((y − cy)/R)·F1, linear in F0 and F1.
	var aa, ab, bb, ar, br float64
	for j := range c.H {
		for i := range c.W {
			q := j*c.W + i
			if !c.Known[q] {
				continue
			}
			x, y := float64(c.X0+i)-cx, float64(c.Y0+j)-cy
			a := d.cover(x, y)
			back := float64(c.Back[q])
			r := float64(c.Now[q]) - back
			flat += r * r
			r += a * back
			b := a * y / d.RadiusPx
			aa += a * a
			ab += a * b
			bb += b * b
			ar += a * r
			br += b * r
			left += r * r
		}
	}
	det := aa*bb - ab*ab
	if det < 1e-9 {
		return flat, flat
	}
	f0, f1 := (bb*ar-ab*br)/det, (aa*br-ab*ar)/det
	return left - f0*ar - f1*br, flat
}

// cover is the share of the exposure during which the disc covers the pixel at
// (x, y) from its mean centre, softened over a pixel at the outline.
func (d Disc) cover(x, y float64) float64 {
	move := math.Hypot(d.DX, d.DY)
	ux, uy := 1.0, 0.0
	if move > 0 {
		ux, uy = d.DX/move, d.DY/move
	}
	along, across := x*ux+y*uy, x*uy-y*ux
	if move < 1 {
		return ramp(d.RadiusPx - math.Hypot(x, y))
	}
	if math.Abs(across) > d.RadiusPx+0.5 {
		return 0
	}
	half := math.Sqrt(math.Max(0.25, d.RadiusPx*d.RadiusPx-across*across))
	lo, hi := math.Max(along-half, -move/2), math.Min(along+half, move/2)
	return math.Max(0, hi-lo) / move * ramp(d.RadiusPx-math.Abs(across))
}

func ramp(d float64) float64 { return math.Min(1, math.Max(0, d+0.5)) }
