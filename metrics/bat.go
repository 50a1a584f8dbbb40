package metrics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// bat is the motion of the bat in space: where the middle of the hands is and which
// way the barrel points from it, each three cubic splines in time. It is the one
// description that barrel's mark, hands' mark, the size and the shape of the
// barrel's band, the length of the bat and the ball's depth at contact all have
// to agree with.
type bat struct {
	sight  sight
	leverM float64 // from the middle of the hands to the barrel's mark, along the axis
	markM  float64 // from the middle of the hands to the hands' mark, likewise
	knots  fit.Knots
	// x holds the unknowns, six for each basis function: hands x, y, z, then the
	// direction to the barrel, whose length is held at 1.
	x []float64
	// slipM is how far towards the barrel the middle of what is seen of the hands'
	// mark lies off the mark's middle: fingers cover some of it.
	slipM  float64
	normal *fit.Normal // at x
	rows   rows
	// equations are the rows at x.
	equations []equation
}

// equation is one row: its size, and its gradient in the unknowns from first on and
// in the slip.
type equation struct {
	first    int
	gradient []float64
	common   float64
	is       float64
}

// batUnknowns is the number of unknowns a basis function carries.
const batUnknowns = 6

// pose is the bat at one instant.
type pose struct {
	Hands, Dir   geom.World // Dir has length 1
	HandsV, DirV geom.World // per second
	HandsA, DirA geom.World // per second squared
	lengthOfDir  float64
}

// Barrel is the place of the barrel's mark on the bat's axis.
func (p pose) Barrel(leverM float64) geom.World {
	return geom.Along(p.Hands, leverM, p.Dir)
}

// at is the pose at t, at the instant of contact on one side of it. Before and
// after what was seen it is that of the end: a cubic would leave at once.
func (b *bat) at(t float64, side fit.Side) pose {
	from, to := b.knots.Span()
	t = math.Max(from, math.Min(t, to))
	return poseOf(b.x, b.knots.At(t, side))
}

func poseOf(x []float64, s fit.Basis) pose {
	var d [3][batUnknowns]float64
	for j := range s.D[0] {
		at := batUnknowns * (s.First + j)
		for k := range batUnknowns {
			for o := range d {
				d[o][k] += s.D[o][j] * x[at+k]
			}
		}
	}
	w := func(o, k int) geom.World { return geom.World{X: d[o][k], Y: d[o][k+1], Z: d[o][k+2]} }
	p := pose{Hands: w(0, 0), HandsV: w(1, 0), HandsA: w(2, 0), Dir: w(0, 3), DirV: w(1, 3), DirA: w(2, 3)}
	p.lengthOfDir = math.Sqrt(r3.Dot(p.Dir, p.Dir))
	p.Dir = geom.Unit(p.Dir)
	return p
}

// barrelAt is the barrel's place on the axis.
func (b *bat) barrelAt(t float64, side fit.Side) geom.World { return b.at(t, side).Barrel(b.leverM) }

// axis moves a sighting of a band's middle, averaged over the exposure, to the bat's
// axis at mid-exposure, and gives the depth there.
func (b *bat) axis(s Sample) (geom.Point, float64) {
	p := b.at(s.TimeS, fit.Before)
	w := p.Barrel(b.leverM)
	px, on, seen := s.lit(), b.sight.eye.Project(w), b.sight.of(s).barrel(p, b.leverM)
	return geom.Point{px[0] + on[0] - seen[0], px[1] + on[1] - seen[1]}, w.Y
}
