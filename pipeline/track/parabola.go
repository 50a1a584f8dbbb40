package track

import "math"

// Parabola is a flight in the picture: each axis a quadratic in time whose
// second derivative has a prior (gravity down, nothing across), so that two
// points are enough to start and many overrule the prior.
type Parabola struct {
	T0     float64    // s, centre of the times
	X, Y   [3]float64 // px, px/s, px/s² (half the second derivative not taken)
	cov    [3][3]float64
	points int
}

// FitParabola fits points of equal s.d. sd; accSD is the s.d. of the prior on
// acceleration.
func FitParabola(t, x, y []float64, sd, gravity, accSD float64) Parabola {
	var p Parabola
	p.points = len(t)
	for _, v := range t {
		p.T0 += v
	}
	p.T0 /= float64(len(t))
	var n [3][3]float64
	var bx, by [3]float64
	for i := range t {
		dt := t[i] - p.T0
		row := [3]float64{1, dt, dt * dt / 2}
		for r := range 3 {
			for c := range 3 {
				n[r][c] += row[r] * row[c]
			}
			bx[r] += row[r] * x[i]
			by[r] += row[r] * y[i]
		}
	}
	w := sd * sd / (accSD * accSD)
	n[2][2] += w
	by[2] += w * gravity
	p.cov = invert3(n)
	for r := range 3 {
		for c := range 3 {
			p.X[r] += p.cov[r][c] * bx[c]
			p.Y[r] += p.cov[r][c] * by[c]
		}
	}
	return p
}

// At returns the place at time t.
func (p Parabola) At(t float64) (x, y float64) {
	dt := t - p.T0
	return p.X[0] + p.X[1]*dt + p.X[2]*dt*dt/2, p.Y[0] + p.Y[1]*dt + p.Y[2]*dt*dt/2
}

// Velocity is the velocity at time t, px/s.
func (p Parabola) Velocity(t float64) (x, y float64) {
	dt := t - p.T0
	return p.X[1] + p.X[2]*dt, p.Y[1] + p.Y[2]*dt
}

// SD is the s.d. of the place at t in units of a point's s.d.
func (p Parabola) SD(t float64) float64 {
	dt := t - p.T0
	row := [3]float64{1, dt, dt * dt / 2}
	v := 0.0
	for r := range 3 {
		for c := range 3 {
			v += row[r] * p.cov[r][c] * row[c]
		}
	}
	return math.Sqrt(math.Max(0, v))
}

// Speed is the speed in the middle of the flight, px/s.
func (p Parabola) Speed() float64 { return math.Hypot(p.X[1], p.Y[1]) }

// invert3 inverts a symmetric positive definite matrix; a singular one gives
// large but finite entries through a floor on the determinant.
func invert3(m [3][3]float64) [3][3]float64 {
	c := func(r, s int) float64 {
		r1, r2, s1, s2 := (r+1)%3, (r+2)%3, (s+1)%3, (s+2)%3
		return m[r1][s1]*m[r2][s2] - m[r1][s2]*m[r2][s1]
	}
	det := m[0][0]*c(0, 0) + m[0][1]*c(0, 1) + m[0][2]*c(0, 2)
	if math.Abs(det) < 1e-300 {
		det = 1e-300
	}
	var out [3][3]float64
	for r := range 3 {
		for s := range 3 {
			out[s][r] = c(r, s) / det
		}
	}
	return out
}
