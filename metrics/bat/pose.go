package bat

import (
	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// Pose is a bat at one instant.
type Pose struct {
	Hands, Dir   geom.World // Dir has length 1
	HandsV, DirV geom.World // per second
	HandsA, DirA geom.World // per second squared
	lengthOfDir  float64
}

// At is the place on the axis that lies m from the middle of the hands.
func (p Pose) At(m float64) geom.World { return geom.Along(p.Hands, m, p.Dir) }

// Vel is the velocity of that place, m/s.
func (p Pose) Vel(m float64) geom.World { return geom.Along(p.HandsV, m, p.DirV) }

// Acc is its acceleration, m/s².
func (p Pose) Acc(m float64) geom.World { return geom.Along(p.HandsA, m, p.DirA) }

// unknowns is the number of unknowns that a basis function carries.
const unknowns = 6

func poseOf(x []float64, s fit.Basis) Pose {
	var d [3][unknowns]float64
	for j := range s.D[0] {
		at := unknowns * (s.First + j)
		for k := range unknowns {
			for o := range d {
				d[o][k] += s.D[o][j] * x[at+k]
			}
		}
	}
	w := func(o, k int) geom.World { return geom.World{X: d[o][k], Y: d[o][k+1], Z: d[o][k+2]} }
	u, v, a := w(0, 3), w(1, 3), w(2, 3)
	p := Pose{Hands: w(0, 0), HandsV: w(1, 0), HandsA: w(2, 0), Dir: geom.Unit(u), lengthOfDir: r3.Norm(u)}
	// The direction is the unknowns' without their length l, and so are its rates: u = l·e,
	// u′ = l·e′ + l′·e, u″ = l·e″ + 2·l′·e′ + l″·e, and e·e″ = −e′·e′.
	over, rate := 1/p.lengthOfDir, r3.Dot(p.Dir, v)
	p.DirV = r3.Scale(over, geom.Along(v, -rate, p.Dir))
	bend := geom.Along(a, -2*rate, p.DirV)
	bend = r3.Scale(over, geom.Along(bend, -r3.Dot(p.Dir, bend), p.Dir))
	p.DirA = geom.Along(bend, -r3.Dot(p.DirV, p.DirV), p.Dir)
	return p
}

// through turns a gradient in the six unknowns, or in a derivative of them, at one time
// into one in the coefficients.
func through(s fit.Basis, order int, g [unknowns]float64) []float64 {
	out := make([]float64, unknowns*len(s.D[0]))
	for j, v := range s.D[order] {
		for k := range unknowns {
			out[unknowns*j+k] = v * g[k]
		}
	}
	return out
}

// startPose is a first guess of the bat at one time.
type startPose struct {
	TimeS      float64
	Hands, Dir geom.World
}
