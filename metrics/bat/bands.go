package bat

import (
	"math"

	"ashline/metrics/fit"
)

// barrelBand is one sighting of the barrel's band: its place, and where they were seen
// its light, its covariance and how it bulges. They are one term because all follow
// from one look at the band. A weight is the square root of that of a square.
type barrelBand struct {
	at      fit.Basis
	seen    Sighting // with what its look takes from it
	whole   float64  // light of the whole band; 0 unknown
	shapeSD float64  // of a band's variance, px²

	place, look, bulge float64 // weights
}

func (t barrelBand) rows(b *Bat, plain bool, add row) {
	whiten := whitening(t.seen, batPx)
	at, lit := t.seen.lit(), b.sight.of(t.seen)
	local(b, t.at, plain, add, func(p Pose) []float64 {
		q := lit.barrel(p, b.leverM)
		out := whiten(q[0]-at[0], q[1]-at[1], t.place)
		if !t.shaped() {
			return out
		}
		l := b.sight.look(p, b.leverM)
		looks := t.looks(l, t.look)
		out = append(out, looks[:]...)
		if t.seen.Shape.Skewed {
			for _, v := range b.sight.bulges(l, t.seen.Shape) {
				out = append(out, t.bulge*v)
			}
		}
		return out
	}, nil)
}

func (t barrelBand) shaped() bool { return t.seen.Shape.Mass > 0 && t.whole > 0 }

// looks are how far light and covariance are off what they should be, in s.d., times a
// weight. A covariance stands twice in its tensor.
func (t barrelBand) looks(l look, w float64) [4]float64 {
	s := t.seen.Shape
	return [4]float64{
		w * (l.area - s.Mass/t.whole) / (areaSD * (1 + l.area)),
		w * (l.xx - s.SXX) / t.shapeSD, w * math.Sqrt2 * (l.xy - s.SXY) / t.shapeSD, w * (l.yy - s.SYY) / t.shapeSD,
	}
}

// off is the sum of squares of each kind of residual at b.
func (t barrelBand) off(b *Bat) (place, look, bulge float64) {
	p := poseOf(b.x, t.at)
	q, at := b.sight.of(t.seen).barrel(p, b.leverM), t.seen.lit()
	place = squares(whitening(t.seen, batPx)(q[0]-at[0], q[1]-at[1], 1)...)
	if t.shaped() {
		l := b.sight.look(p, b.leverM)
		d := t.looks(l, 1)
		look = squares(d[:]...)
		if t.seen.Shape.Skewed {
			d := b.sight.bulges(l, t.seen.Shape)
			bulge = squares(d[:]...)
		}
	}
	return place, look, bulge
}

// handsBand is one sighting of the hands' band.
type handsBand struct {
	at     fit.Basis
	seen   Sighting
	weight float64
}

func (t handsBand) rows(b *Bat, plain bool, add row) {
	whiten := whitening(t.seen, handsPx)
	at, lit := t.seen.lit(), b.sight.of(t.seen)
	off := func(p Pose, slipM float64) []float64 {
		q := lit.hands(p, b.markM+slipM)
		return whiten(q[0]-at[0], q[1]-at[1], t.weight)
	}
	local(b, t.at, plain, add,
		func(p Pose) []float64 { return off(p, b.slipM) },
		func(more float64) []float64 { return off(poseOf(b.x, t.at), b.slipM+more) })
}

// off is the sum of squares at b.
func (t handsBand) off(b *Bat) float64 {
	q, at := b.sight.of(t.seen).hands(poseOf(b.x, t.at), b.markM+b.slipM), t.seen.lit()
	return squares(whitening(t.seen, handsPx)(q[0]-at[0], q[1]-at[1], 1)...)
}

func squares(d ...float64) float64 {
	s := 0.0
	for _, v := range d {
		s += v * v
	}
	return s
}

// whitening returns a function that divides an offset by a sighting's s.d., by the
// Cholesky factor of its covariance.
func whitening(s Sighting, floorPx float64) func(dx, dy, w float64) []float64 {
	xx, xy, yy := s.VarXX+floorPx*floorPx, s.VarXY, s.VarYY+floorPx*floorPx
	a := math.Sqrt(xx)
	c := xy / a
	d := math.Sqrt(math.Max(yy-c*c, 1e-9))
	return func(dx, dy, w float64) []float64 {
		u := dx / a
		return []float64{w * u, w * (dy - c*u) / d}
	}
}
