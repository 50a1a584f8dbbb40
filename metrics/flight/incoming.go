package flight

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"ashline/metrics/fit"
)

// Incoming fits the flight of a tracked ball: its position and velocity at its
// last sighting, with a drag and a lift that have priors. The zero value is a
// baseball at sea level.
type Incoming struct {
	// Ball thrown. Defaults to Baseball.
	Ball Ball
	// AirKgM3 is the air's density. Defaults to AirKgM3.
	AirKgM3 float64
	// Lift is the prior mean of C_L, positive upwards. Defaults to 0.
	Lift float64
	// LiftSD is the prior standard deviation of C_L about Lift. Defaults to 0.2,
	// so that values up to 0.4, the most published, lie within two of it.
	LiftSD float64
	// Robust gives less weight to sightings that lie far off, as if they scattered
	// by Student's t with 4 degrees of freedom. Defaults to equal trust.
	Robust bool
}

// minSightings is the least that a flight is fitted to.
const minSightings = 3

// Fit solves for the flight by Gauss-Newton. Sightings are in the plane of the
// pitch, m, with their covariances; those after contact must be left out.
func (c Incoming) Fit(seen []fit.Sample) (*Track, error) {
	if c.Ball.MassKg == 0 {
		c.Ball = Baseball
	}
	if c.LiftSD == 0 {
		c.LiftSD = 0.2
	}
	var use []fit.Sample
	ref := math.Inf(-1)
	for _, s := range seen {
		if !math.IsNaN(s.Pos[0]) && !math.IsNaN(s.Pos[1]) {
			use = append(use, s)
			ref = math.Max(ref, s.TimeS)
		}
	}
	if len(use) < minSightings {
		return nil, fmt.Errorf("%w: %d", ErrTooFew, len(use))
	}
	// Last first: the flight is followed backwards from the reference.
	sort.SliceStable(use, func(i, j int) bool { return use[i].TimeS > use[j].TimeS })
	white := make([][3]float64, len(use)) // l00, l10, l11 of each R⁻½
	for i, s := range use {
		a := math.Sqrt(s.Cov[0][0])
		b := s.Cov[1][0] / a
		d := math.Sqrt(s.Cov[1][1] - b*b)
		if !(a > 0) || !(d > 0) || math.IsInf(a, 0) || math.IsInf(d, 0) {
			return nil, fmt.Errorf("%w: covariance of the sighting at %g s", ErrNoFit, s.TimeS)
		}
		white[i] = [3]float64{1 / a, -b / (a * d), 1 / d}
	}
	t := &Track{ref: ref}
	start, err := startLine(use, ref)
	if err != nil {
		return nil, err
	}
	copy(t.theta[:4], start[:])
	p := c.Ball.PerM(c.AirKgM3)
	k, kSD := c.Ball.DragPerM(c.AirKgM3)
	t.theta[4], t.theta[5] = k, p*c.Lift
	f := &pursuit{seen: use, white: white, ref: ref, priors: [2][2]float64{{k, kSD}, {p * c.Lift, p * c.LiftSD}}, theta: t.theta, robust: c.Robust}
	if !(fit.Solver{Rounds: 30}).Descend(f) {
		return nil, fmt.Errorf("%w: does not settle", ErrNoFit)
	}
	if f.jac == nil {
		return nil, fmt.Errorf("%w: %d sightings do not determine it", ErrNoFit, len(use))
	}
	t.theta = f.theta
	return t.finish(f.jac, f.residual(f.theta), 2*len(use))
}

// pursuit is one fit: a task for the solver.
type pursuit struct {
	seen   []fit.Sample // last first
	white  [][3]float64
	ref    float64
	priors [2][2]float64 // mean and s.d. of drag and lift, per metre
	robust bool

	theta, before [unknowns]float64
	trust         []float64 // square roots of weights
	jac           *mat.Dense
	moved         float64
}

func (f *pursuit) residual(th [unknowns]float64) []float64 {
	air := forcesOf(th)
	n := 2 * len(f.seen)
	out := make([]float64, n+2)
	y, at := [4]float64{th[0], th[1], th[2], th[3]}, f.ref
	for i, s := range f.seen {
		y, at = air.fly(y, s.TimeS-at), s.TimeS
		dx, dz := s.Pos[0]-y[0], s.Pos[1]-y[1]
		out[2*i] = f.trust[i] * f.white[i][0] * dx
		out[2*i+1] = f.trust[i] * (f.white[i][1]*dx + f.white[i][2]*dz)
	}
	for k, prior := range f.priors {
		out[n+k] = (prior[0] - th[4+k]) / prior[1]
	}
	return out
}

// Reweigh trusts all alike at first; a robust fit trusts what lies off less.
func (f *pursuit) Reweigh(round int) {
	if round == 0 {
		f.trust = make([]float64, len(f.seen))
		for i := range f.trust {
			f.trust[i] = 1
		}
		return
	}
	if !f.robust {
		return
	}
	r := f.residual(f.theta)
	for i := range f.trust {
		q := math.Hypot(r[2*i], r[2*i+1]) / f.trust[i]
		f.trust[i] = math.Sqrt(fit.StudentWeight(q))
	}
}

// Cost is the sum of squares.
func (f *pursuit) Cost() float64 {
	sum := 0.0
	for _, v := range f.residual(f.theta) {
		sum += v * v
	}
	return sum
}

// Step moves the flight by QR, which loses no digits to squares.
func (f *pursuit) Step(damp float64) bool {
	r := f.residual(f.theta)
	rows := len(r)
	jac := mat.NewDense(rows, unknowns, nil)
	for j := range unknowns {
		h := nudge[j]
		up, down := f.theta, f.theta
		up[j] += h
		down[j] -= h
		a, b := f.residual(up), f.residual(down)
		for i := range rows {
			jac.Set(i, j, (b[i]-a[i])/(2*h))
		}
	}
	var qr mat.QR
	var step mat.VecDense
	if damp == 0 {
		qr.Factorize(jac)
	} else {
		qr.Factorize(damped(jac, damp))
		r = append(r, make([]float64, unknowns)...)
	}
	if err := qr.SolveVecTo(&step, false, mat.NewVecDense(len(r), r)); err != nil {
		return false
	}
	f.before, f.jac, f.moved = f.theta, jac, 0
	for j := range unknowns {
		f.theta[j] += step.AtVec(j)
		f.moved = math.Max(f.moved, math.Abs(step.AtVec(j))/nudge[j])
	}
	return true
}

// damped is jac with a row for each unknown that holds it back.
func damped(jac *mat.Dense, damp float64) *mat.Dense {
	rows, _ := jac.Dims()
	out := mat.NewDense(rows+unknowns, unknowns, nil)
	out.Slice(0, rows, 0, unknowns).(*mat.Dense).Copy(jac)
	for j := range unknowns {
		out.Set(rows+j, j, math.Sqrt(damp)*mat.Norm(jac.ColView(j), 2))
	}
	return out
}

// Undo takes the last step back.
func (f *pursuit) Undo() { f.theta = f.before }

// Settled reports that no unknown moved by more than its share of a nudge.
func (f *pursuit) Settled() bool {
	if f.robust {
		return f.moved < settledRobust
	}
	return f.moved < settled
}

// A fit has settled when no unknown moves by more than this share of its nudge.
// Weights settle slowly and need not be finer.
const (
	settled       = 1e-3
	settledRobust = 0.1
)

// startLine is a straight line through the sightings.
func startLine(use []fit.Sample, ref float64) (y [4]float64, err error) {
	var ts []float64
	var ys [2][]float64
	for _, s := range use {
		ts = append(ts, s.TimeS)
		ys[0], ys[1] = append(ys[0], s.Pos[0]), append(ys[1], s.Pos[1])
	}
	for a := range 2 {
		p, err := fit.Polynomial(ts, ys[a], nil, 1)
		if err != nil {
			return y, fmt.Errorf("%w: %w", ErrNoFit, err)
		}
		y[a], y[2+a] = p.At(ref), p.Deriv(ref, 1)
	}
	return y, nil
}
