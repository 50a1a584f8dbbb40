package flight

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// Track is the fitted flight of a tracked ball, as if it were never hit.
type Track struct {
	ref   float64
	theta [unknowns]float64
	cov   [unknowns][unknowns]float64
	root  [unknowns][unknowns]float64 // R⁻¹: cov = root·rootᵀ

	// ChiSq is the sum of squared whitened residuals of the sightings, DoF their
	// number of scalars less four.
	ChiSq float64
	DoF   int
}

func (t *Track) finish(jac *mat.Dense, r []float64, scalars int) (*Track, error) {
	var qr mat.QR
	qr.Factorize(jac)
	var upper, inv mat.Dense
	qr.RTo(&upper)
	if err := inv.Inverse(upper.Slice(0, unknowns, 0, unknowns)); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoFit, err)
	}
	for i := range unknowns {
		for j := range unknowns {
			t.root[i][j] = inv.At(i, j)
		}
	}
	for i := range unknowns {
		for j := range unknowns {
			for l := range unknowns {
				t.cov[i][j] += t.root[i][l] * t.root[j][l]
			}
		}
	}
	for _, v := range r[:scalars] {
		t.ChiSq += v * v
	}
	t.DoF = scalars - 4
	return t, nil
}

func (t *Track) fly(th [unknowns]float64, at float64) [4]float64 {
	return forcesOf(th).fly([4]float64{th[0], th[1], th[2], th[3]}, at-t.ref)
}

// LastS is the time of the last sighting.
func (t *Track) LastS() float64 { return t.ref }

// At is position and velocity at time t.
func (t *Track) At(at float64) (pos, vel [2]float64) {
	y := t.fly(t.theta, at)
	return [2]float64{y[0], y[1]}, [2]float64{y[2], y[3]}
}

// State is the state at time t and the covariance of (x, z, vx, vz).
func (t *Track) State(at float64) (State, [4][4]float64) {
	var jac [4][unknowns]float64
	for j := range unknowns {
		up, down := t.theta, t.theta
		up[j] += nudge[j]
		down[j] -= nudge[j]
		a, b := t.fly(up, at), t.fly(down, at)
		for i := range 4 {
			jac[i][j] = (a[i] - b[i]) / (2 * nudge[j])
		}
	}
	var cov [4][4]float64
	for i := range 4 {
		for j := range 4 {
			for k := range unknowns {
				for l := range unknowns {
					cov[i][j] += jac[i][k] * t.cov[k][l] * jac[j][l]
				}
			}
		}
	}
	return unflat(at, t.fly(t.theta, at)), cov
}

// Descent is the descent at time t in degrees and its standard deviation.
func (t *Track) Descent(at float64) (deg, sdDeg float64) {
	s, c := t.State(at)
	vx, vz := s.VelMPS[0], s.VelMPS[1]
	v2 := vx*vx + vz*vz
	gx, gz := -vz/v2, vx/v2
	variance := gx*gx*c[2][2] + 2*gx*gz*c[2][3] + gz*gz*c[3][3]
	return s.DescentDeg(), math.Sqrt(variance) * 180 / math.Pi
}

// Speed is the speed at time t and its standard deviation.
func (t *Track) Speed(at float64) (mps, sd float64) {
	s, c := t.State(at)
	v := s.SpeedMPS()
	gx, gz := s.VelMPS[0]/v, s.VelMPS[1]/v
	return v, math.Sqrt(gx*gx*c[2][2] + 2*gx*gz*c[2][3] + gz*gz*c[3][3])
}

// Drag and lift per metre that the sightings and their priors settle on.
func (t *Track) Drag() (perM, sd float64) { return t.theta[4], math.Sqrt(t.cov[4][4]) }

// Lift per metre, positive upwards.
func (t *Track) Lift() (perM, sd float64) { return t.theta[5], math.Sqrt(t.cov[5][5]) }

// Draw is one flight at random from all those that the sightings allow. It
// states the same uncertainty as t.
func (t *Track) Draw(rng *rand.Rand) *Track {
	out := *t
	var e [unknowns]float64
	for i := range e {
		e[i] = rng.NormFloat64()
	}
	for i := range unknowns {
		for j := range unknowns {
			out.theta[i] += t.root[i][j] * e[j]
		}
	}
	return &out
}

// Table is a flight laid out in even steps, quick to ask many times.
type Table struct {
	from, step float64
	y          [][4]float64
}

// Table lays the flight out between two times.
func (t *Track) Table(fromS, toS float64) *Table {
	n := max(1, int(math.Ceil((toS-fromS)/stepS)))
	out := &Table{from: fromS, step: (toS - fromS) / float64(n)}
	f, y := forcesOf(t.theta), t.fly(t.theta, fromS)
	for range n + 1 {
		out.y = append(out.y, y)
		y = f.step(y, out.step)
	}
	return out
}

// At is position and velocity at time t; beyond the ends the nearest piece is
// carried on.
func (b *Table) At(t float64) (pos, vel [2]float64) {
	u := (t - b.from) / b.step
	i := min(max(int(math.Floor(u)), 0), len(b.y)-2)
	u -= float64(i)
	p, q, h := &b.y[i], &b.y[i+1], b.step
	for a := range 2 {
		d := q[a] - p[a]
		m0, m1 := p[2+a]*h, q[2+a]*h
		c2, c3 := 3*d-2*m0-m1, m0+m1-2*d
		pos[a] = p[a] + u*(m0+u*(c2+u*c3))
		vel[a] = (m0 + u*(2*c2+3*u*c3)) / h
	}
	return pos, vel
}

// unknowns are x, z, vx, vz at the last sighting, drag and lift per metre.
const unknowns = 6

// nudge is the step of the numeric derivatives: m, m/s, per metre.
var nudge = [unknowns]float64{1e-4, 1e-4, 1e-3, 1e-3, 1e-6, 1e-6}

func forcesOf(th [unknowns]float64) forces {
	return forces{GravityMPS2, th[4], func(float64) float64 { return th[5] }}
}
