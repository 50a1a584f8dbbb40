package ball

import (
	"math"

	"ashline/pipeline/track"
)

// Disc is a ball in a frame: a disc of known radius that moves by (DX, DY)
// during the exposure, lit from one side by an amount that the pixels tell.
type Disc struct {
	RadiusPx float64
	DX, DY   float64 // px over the exposure
}

const (
	discSteps = 8
	discMove  = 0.25 // px: step of the differences
	discLimit = 0.7  // of the radius from where a search starts: farther is another thing
	discLower = 0.35 // of the radius: how much lower a second search starts
	discSame  = 1.0  // px: starts as close as this are one
	discLeft  = 0.5  // of what differs from the background: more unexplained, and it is no disc
	// What a disc leaves unexplained (seams, shade, the codec's blocks) is alike
	// over some pixels, so that they count as one.
	discPatch = 16.0 // px
)

// Place is where a disc was found, at mid-exposure.
type Place struct {
	X, Y                float64 // px
	VarXX, VarXY, VarYY float64 // px²
	// Left is the share of what differs from the background that the disc does
	// not explain.
	Left float64
}

// Fit finds the disc's centre at mid-exposure by least squares over luma; it
// searches from each start, px. ok is false when all searches run away or explain
// little.
//
// A ball's underside may be as dark as what is behind it; the centre of what
// differs is then too high by a pixel or more, and differently before each
// background. The disc's outline is not. So a search begins at each start and,
// once more, lower.
func (d Disc) Fit(c *track.Crop, starts ...[2]float64) (p Place, ok bool) {
	best := math.Inf(1)
	for i, s := range starts {
		if i > 0 && math.Hypot(s[0]-starts[0][0], s[1]-starts[0][1]) < discSame {
			continue
		}
		for _, lower := range []float64{0, discLower * d.RadiusPx} {
			u, v, cost, flat := d.descend(c, s[0], s[1]+lower)
			if cost < best && cost < discLeft*flat && math.Hypot(u-s[0], v-s[1]) < math.Max(2, discLimit*d.RadiusPx) {
				best, ok = cost, true
				p = Place{X: u, Y: v, Left: cost / flat}
			}
		}
	}
	if ok {
		ok = d.spread(c, &p, best)
	}
	return p, ok
}

// spread sets the place's variances from how steeply the cost rises around it. It
// reports whether it rises all around.
func (d Disc) spread(c *track.Crop, p *Place, cost float64) bool {
	ux, uy, move := d.motion()
	n := 0
	for q, known := range c.Known {
		if a, _, _ := d.cover(float64(c.X0+q%c.W)-p.X, float64(c.Y0+q/c.W)-p.Y, ux, uy, move); known && a > 0 {
			n++
		}
	}
	xx, xy, yy := d.curvature(c, p.X, p.Y, cost)
	det := xx*yy - xy*xy
	if n < 8 || !(det > 0) || !(xx > 0) {
		return false
	}
	k := 2 * discPatch * cost / float64(n) / det
	p.VarXX, p.VarXY, p.VarYY = k*yy, -k*xy, k*xx
	return true
}

// curvature is the second derivatives of the cost.
func (d Disc) curvature(c *track.Crop, x, y, cost float64) (xx, xy, yy float64) {
	at := func(i, j float64) float64 {
		v, _ := d.cost(c, x+i*discMove, y+j*discMove)
		return v
	}
	xp, xm, yp, ym := at(1, 0), at(-1, 0), at(0, 1), at(0, -1)
	const h2 = discMove * discMove
	return (xp - 2*cost + xm) / h2, (at(1, 1) + at(-1, -1) - xp - xm - yp - ym + 2*cost) / (2 * h2), (yp - 2*cost + ym) / h2
}

// Streak finds how far a disc at p moved during the exposure, px, along (ux, uy),
// up to most.
func (d Disc) Streak(c *track.Crop, p Place, ux, uy, most float64) float64 {
	return least(0, most, func(l float64) float64 {
		v, _ := Disc{d.RadiusPx, l * ux, l * uy}.cost(c, p.X, p.Y)
		return v
	})
}

// Size finds the radius of a disc at p, px, between two bounds.
func (d Disc) Size(c *track.Crop, p Place, from, to float64) float64 {
	return least(from, to, func(r float64) float64 {
		v, _ := Disc{r, d.DX, d.DY}.cost(c, p.X, p.Y)
		return v
	})
}

// least is where f is least between lo and hi, by golden section.
func least(lo, hi float64, f func(float64) float64) float64 {
	const golden = 0.381966
	a, b := lo+golden*(hi-lo), hi-golden*(hi-lo)
	fa, fb := f(a), f(b)
	for hi-lo > 0.05 {
		if fa < fb {
			hi, b, fb = b, a, fa
			a = lo + golden*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = hi - golden*(hi-lo)
			fb = f(b)
		}
	}
	return (lo + hi) / 2
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
		gx, gy := (xp-xm)/(2*discMove), (yp-ym)/(2*discMove)
		hxx, hxy, hyy := d.curvature(c, cx, cy, cost)
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
// its best shades, and of what there is to explain. The disc's light is f0 at its
// centre and changes by f1 and f2 a radius along and across its motion: the sun or
// a lamp stands to one side.
func (d Disc) cost(c *track.Crop, cx, cy float64) (left, flat float64) {
	// Now − Back + a·Back = a·f0 + b·f1 + e·f2.
	ux, uy, move := d.motion()
	var aa, ab, ae, bb, be, ee, ar, br, er float64
	for j := range c.H {
		for i := range c.W {
			q := j*c.W + i
			if !c.Known[q] {
				continue
			}
			back := light[c.Back[q]]
			r := light[c.Now[q]] - back
			flat += r * r
			a, u, w := d.cover(float64(c.X0+i)-cx, float64(c.Y0+j)-cy, ux, uy, move)
			if a == 0 {
				left += r * r
				continue
			}
			r += a * back
			b, e := a*u/d.RadiusPx, a*w/d.RadiusPx
			aa += a * a
			ab += a * b
			ae += a * e
			bb += b * b
			be += b * e
			ee += e * e
			ar += a * r
			br += b * r
			er += e * r
			left += r * r
		}
	}
	// Cholesky of the three by three, with f1 and f2 held a little.
	bb, ee = bb+discHeld*aa, ee+discHeld*aa
	if aa < 1e-9 {
		return flat, flat
	}
	l0 := math.Sqrt(aa)
	l1, l2, y0 := ab/l0, ae/l0, ar/l0
	m1 := math.Sqrt(bb - l1*l1)
	m2, y1 := (be-l2*l1)/m1, (br-l1*y0)/m1
	n2 := math.Sqrt(ee - l2*l2 - m2*m2)
	y2 := (er - l2*y0 - m2*y1) / n2
	return left - y0*y0 - y1*y1 - y2*y2, flat
}

// discHeld keeps the two slopes of light small where the picture does not tell
// them.
const discHeld = 1e-4

// cover is the share of the exposure during which the disc covers the pixel at
// (x, y) from its mean centre, softened over a pixel at the outline, and where on
// the disc the pixel then is, along and across its motion. (ux, uy) is the unit
// vector of a motion of move px.
func (d Disc) cover(x, y, ux, uy, move float64) (share, along, across float64) {
	along, across = x*ux+y*uy, x*uy-y*ux
	if math.Abs(across) > d.RadiusPx+0.5 || math.Abs(along) > d.RadiusPx+move/2+0.5 {
		return 0, 0, 0
	}
	if move < 1 {
		return ramp(d.RadiusPx - math.Sqrt(x*x+y*y)), along, across
	}
	half := math.Sqrt(math.Max(0.25, d.RadiusPx*d.RadiusPx-across*across))
	lo, hi := math.Max(along-half, -move/2), math.Min(along+half, move/2)
	if hi <= lo {
		return 0, 0, 0
	}
	return (hi - lo) / move * ramp(d.RadiusPx-math.Abs(across)), along - (lo+hi)/2, across
}

// motion is the direction and the length of the disc's motion.
func (d Disc) motion() (ux, uy, move float64) {
	move = math.Sqrt(d.DX*d.DX + d.DY*d.DY)
	if move == 0 {
		return 1, 0, 0
	}
	return d.DX / move, d.DY / move, move
}

// light is the light that makes a luma step, in steps at full light. An exposure
// adds light, not luma: in luma the faint ends of a streak look longer than they
// are. Cameras differ in their curves; 2.2 is the usual one.
var light = func() (l [256]float64) {
	for i := range l {
		l[i] = 219 * math.Pow(math.Max(0, float64(i-16))/219, 2.2)
	}
	return l
}()

func ramp(d float64) float64 { return math.Min(1, math.Max(0, d+0.5)) }
