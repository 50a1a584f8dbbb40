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

// unknowns are x, z, vx, vz at the last sighting, drag and lift per metre.
const unknowns = 6

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
	k, kSD := c.Ball.DragPerM(c.AirKgM3)
	lift, liftSD := c.Ball.PerM(c.AirKgM3)*c.Lift, c.Ball.PerM(c.AirKgM3)*c.LiftSD
	t := &Track{ref: ref}
	start, err := startLine(use, ref)
	if err != nil {
		return nil, err
	}
	copy(t.theta[:4], start[:])
	t.theta[4], t.theta[5] = k, lift

	trust := make([]float64, len(use)) // square roots of weights
	for i := range trust {
		trust[i] = 1
	}
	rows := 2*len(use) + 2
	residual := func(th [unknowns]float64) []float64 {
		f := forcesOf(th)
		out := make([]float64, rows)
		y, at := [4]float64{th[0], th[1], th[2], th[3]}, ref
		for i, s := range use {
			y, at = f.fly(y, s.TimeS-at), s.TimeS
			dx, dz := s.Pos[0]-y[0], s.Pos[1]-y[1]
			out[2*i] = trust[i] * white[i][0] * dx
			out[2*i+1] = trust[i] * (white[i][1]*dx + white[i][2]*dz)
		}
		out[rows-2] = (k - th[4]) / kSD
		out[rows-1] = (lift - th[5]) / liftSD
		return out
	}
	for range 30 {
		r := residual(t.theta)
		jac := mat.NewDense(rows, unknowns, nil)
		for j := range unknowns {
			h := nudge[j]
			up, down := t.theta, t.theta
			up[j] += h
			down[j] -= h
			a, b := residual(up), residual(down)
			for i := range rows {
				jac.Set(i, j, (b[i]-a[i])/(2*h))
			}
		}
		var qr mat.QR
		qr.Factorize(jac)
		var step mat.VecDense
		if err := qr.SolveVecTo(&step, false, mat.NewVecDense(rows, r)); err != nil {
			return nil, fmt.Errorf("%w: %d sightings do not determine it", ErrNoFit, len(use))
		}
		var moved float64
		for j := range unknowns {
			t.theta[j] += step.AtVec(j)
			moved = math.Max(moved, math.Abs(step.AtVec(j))/nudge[j])
		}
		if math.IsNaN(moved) || math.IsInf(moved, 0) {
			break
		}
		if c.Robust && moved >= settledRobust {
			r := residual(t.theta)
			for i := range trust {
				q := math.Hypot(r[2*i], r[2*i+1]) / trust[i]
				trust[i] = math.Sqrt(6 / (4 + q*q))
			}
			continue
		}
		if moved < settled || c.Robust {
			return t.finish(jac, residual(t.theta), 2*len(use))
		}
	}
	return nil, fmt.Errorf("%w: does not settle", ErrNoFit)
}

// A fit has settled when no unknown moves by more than this share of its nudge.
// Weights settle slowly and need not be finer.
const (
	settled       = 1e-3
	settledRobust = 0.1
)

// nudge is the step of the numeric derivatives: m, m/s, per metre.
var nudge = [unknowns]float64{1e-4, 1e-4, 1e-3, 1e-3, 1e-6, 1e-6}

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

func forcesOf(th [unknowns]float64) forces {
	return forces{GravityMPS2, th[4], func(float64) float64 { return th[5] }}
}
