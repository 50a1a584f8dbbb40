package metrics

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// ballPath is a ball's flight in the plane of the pitch: each axis a quadratic
// in time. Over the tenth of a second that a clip shows, drag and lift are
// constant to well under a millimetre, so their values enter as priors on the
// two accelerations and the sightings correct them.
type ballPath struct {
	t0  float64
	c   [6]float64 // x, vx, ax, z, vz, az at t0
	cov *mat.SymDense
	n   int
}

const (
	gravity = 9.80665 // m/s², standard gravity
	// airPerMass is ρ·A/(2m) of a baseball, 1/m: ρ 1.2 kg/m³, circumference
	// 9⅛ in, mass 5⅛ oz (middle of the official ranges).
	airPerMass = 0.01767
	dragC      = 0.37 // middle of the published 0.30–0.45
	dragSD     = 0.06
	// Most pitches and machines throw with backspin: seam-averaged lift
	// coefficients of 0.1 to 0.2 are usual and reach 0.3; topspin turns the sign.
	liftC    = 0.12
	liftSD   = 0.15
	looseAcc = 60.0 // m/s²: prior on what a hit ball does
)

// fitBall fits a flight to sightings in plane metres. loose drops the physics of
// a pitch, for a ball that has been hit. It needs two sightings.
func fitBall(t []float64, pos [][2]float64, sd []float64, loose bool) (ballPath, bool) {
	p := ballPath{n: len(t)}
	if len(t) < 2 {
		return p, false
	}
	for _, v := range t {
		p.t0 += v / float64(len(t))
	}
	span := t[len(t)-1] - t[0]
	if span <= 0 {
		return p, false
	}
	v := math.Hypot(pos[len(t)-1][0]-pos[0][0], pos[len(t)-1][1]-pos[0][1]) / span
	sign := -1.0
	if pos[len(t)-1][0] > pos[0][0] {
		sign = 1
	}
	priorX, priorZ := -sign*airPerMass*dragC*v*v, -gravity+airPerMass*liftC*v*v
	sdX := airPerMass*dragSD*v*v + 0.5
	sdZ := airPerMass*liftSD*v*v + 0.5
	if loose {
		priorX, priorZ, sdX, sdZ = 0, -gravity, looseAcc, looseAcc
	}
	weight := make([]float64, len(t))
	for i := range weight {
		weight[i] = 1
	}
	for range 6 {
		if !p.solve(t, pos, sd, weight, [2]float64{priorX, priorZ}, [2]float64{sdX, sdZ}) {
			return p, false
		}
		for i := range t {
			at, _ := p.At(t[i])
			r := math.Hypot(pos[i][0]-at[0], pos[i][1]-at[1]) / sd[i]
			// Student's t with 4 degrees of freedom on two axes.
			weight[i] = 6 / (4 + r*r)
		}
	}
	return p, true
}

func (p *ballPath) solve(t []float64, pos [][2]float64, sd, weight []float64, prior, priorSD [2]float64) bool {
	n := mat.NewSymDense(6, nil)
	b := mat.NewVecDense(6, nil)
	for i := range t {
		d := t[i] - p.t0
		row := [3]float64{1, d, d * d / 2}
		w := weight[i] / (sd[i] * sd[i])
		for axis := range 2 {
			for r := range 3 {
				for c := r; c < 3; c++ {
					n.SetSym(3*axis+r, 3*axis+c, n.At(3*axis+r, 3*axis+c)+w*row[r]*row[c])
				}
				b.SetVec(3*axis+r, b.AtVec(3*axis+r)+w*row[r]*pos[i][axis])
			}
		}
	}
	for axis := range 2 {
		w := 1 / (priorSD[axis] * priorSD[axis])
		k := 3*axis + 2
		n.SetSym(k, k, n.At(k, k)+w)
		b.SetVec(k, b.AtVec(k)+w*prior[axis])
	}
	var ch mat.Cholesky
	if !ch.Factorize(n) {
		return false
	}
	var x mat.VecDense
	if err := ch.SolveVecTo(&x, b); err != nil {
		return false
	}
	for i := range 6 {
		p.c[i] = x.AtVec(i)
	}
	p.cov = mat.NewSymDense(6, nil)
	return ch.InverseTo(p.cov) == nil
}

// At returns place and velocity at time t.
func (p ballPath) At(t float64) (pos, vel [2]float64) {
	d := t - p.t0
	for a := range 2 {
		pos[a] = p.c[3*a] + p.c[3*a+1]*d + p.c[3*a+2]*d*d/2
		vel[a] = p.c[3*a+1] + p.c[3*a+2]*d
	}
	return pos, vel
}

// draw returns the flight with a random error of its fit; nil rng returns the
// flight itself.
func (p ballPath) draw(rng *rand.Rand) ballPath {
	if rng == nil || p.cov == nil {
		return p
	}
	var ch mat.Cholesky
	if !ch.Factorize(p.cov) {
		return p
	}
	var l mat.TriDense
	ch.LTo(&l)
	e := make([]float64, 6)
	for i := range e {
		e[i] = rng.NormFloat64()
	}
	for i := range 6 {
		for j := 0; j <= i; j++ {
			p.c[i] += l.At(i, j) * e[j]
		}
	}
	return p
}

// turn is the time near t at which two flights come closest, to first order
// exact for an impact: the place is the same and the velocity jumps.
func turn(in, out ballPath, t float64) float64 {
	for range 20 {
		p, v := in.At(t)
		q, w := out.At(t)
		dv := [2]float64{v[0] - w[0], v[1] - w[1]}
		dp := [2]float64{p[0] - q[0], p[1] - q[1]}
		den := dv[0]*dv[0] + dv[1]*dv[1]
		if den < 1e-9 {
			return t
		}
		step := -(dp[0]*dv[0] + dp[1]*dv[1]) / den
		t += step
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	return t
}

// varAlong is the variance of the place at t along the flight, m².
func (p ballPath) varAlong(t float64) float64 {
	if p.cov == nil {
		return 0
	}
	_, v := p.At(t)
	s := math.Hypot(v[0], v[1])
	d := t - p.t0
	row := [6]float64{v[0] / s, v[0] / s * d, v[0] / s * d * d / 2, v[1] / s, v[1] / s * d, v[1] / s * d * d / 2}
	sum := 0.0
	for i := range 6 {
		for j := range 6 {
			sum += row[i] * p.cov.At(i, j) * row[j]
		}
	}
	return sum
}
