package metrics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// draw is the bat as it may also have been, seen by view v with n wrong: to first
// order the unknowns move by what the changed equations ask for, and by noise of
// the size that the equations' own s.d. allow.
func (b *bat) draw(v geom.View, n nuisance) *bat {
	out := *b
	out.sight = b.sight.through(v)
	out.sight.radiusM *= 1 + n.radius
	out.leverM += n.apart
	r := b.rows
	r.seen.contactY, r.plain = n.depth, true
	b.normal.ClearGradient()
	k := 0
	r.each(&out, func(_ int, _ []float64, _, is float64) {
		e := b.equations[k]
		b.normal.AddGradient(e.first, e.gradient, e.common, is-e.is+n.rng.NormFloat64())
		k++
	})
	d, slip, ok := b.normal.Step()
	if !ok {
		return b
	}
	out.x = append([]float64(nil), b.x...)
	out.slipM += slip
	for i := range out.x {
		out.x[i] += d[i]
	}
	return &out
}

// onAxis is where the barrel's axis is in the picture at t; false outside of what was
// seen.
func (b *bat) onAxis(t float64) (geom.Point, bool) {
	if b == nil {
		return geom.Point{}, false
	}
	if from, to := b.knots.Span(); t < from || t > to {
		return geom.Point{}, false
	}
	return b.sight.eye.Project(b.barrelAt(t, fit.Before)), true
}

// place is onAxis with the larger variance of it, px².
func (b *bat) place(t float64) (geom.Point, float64, bool) {
	p, ok := b.onAxis(t)
	if !ok {
		return geom.Point{}, 0, false
	}
	return p, b.pxVar(t), true
}

// pxVar is the larger variance of the barrel's place in the picture, px².
func (b *bat) pxVar(t float64) float64 {
	x := b.variance(t, func(w geom.World) float64 { return b.sight.eye.Project(w)[0] })
	y := b.variance(t, func(w geom.World) float64 { return b.sight.eye.Project(w)[1] })
	return math.Max(x, y)
}

// variance is that of a function of the barrel's place at t.
func (b *bat) variance(t float64, f func(geom.World) float64) float64 {
	s := b.knots.At(t, fit.Before)
	p := poseOf(b.x, s)
	w := p.Barrel(b.leverM)
	const h = 1e-4
	at := f(w)
	gx, gy, gz := (f(r3.Add(w, geom.World{X: h}))-at)/h, (f(r3.Add(w, geom.World{Y: h}))-at)/h, (f(r3.Add(w, geom.World{Z: h}))-at)/h
	// The direction keeps its length: only what is square to it counts.
	k := r3.Dot(p.Dir, geom.World{X: gx, Y: gy, Z: gz})
	l := b.leverM / p.lengthOfDir
	g := [batUnknowns]float64{gx, gy, gz, l * (gx - k*p.Dir.X), l * (gy - k*p.Dir.Y), l * (gz - k*p.Dir.Z)}
	return b.normal.Variance(batUnknowns*s.First, through(s, 0, g))
}

// strayHandSD is how many s.d. off the fitted bat a sighting of the hands' mark is
// that is of another thing.
const strayHandSD = 5.0

// strayHands are the frames in which what was taken for the hands' mark is not on
// the bat.
func (b *bat) strayHands() map[int]bool {
	out := map[int]bool{}
	for i, v := range b.rows.offs(b).hand {
		if v > strayHandSD*strayHandSD {
			out[b.rows.seen.hands[i].Frame] = true
		}
	}
	return out
}
