package fit

import "math"

// Side says which limit to take at a kink.
type Side int

// The two sides of an instant. Away from kinks they agree.
const (
	Before Side = iota
	After
)

// State is where a mark is and how it moves at one time.
type State struct {
	TimeS         float64
	Pos, Vel, Acc [2]float64 // derivatives beyond the model's order are NaN
	// Cov is the covariance of (pos0, pos1, vel0, vel1, acc0, acc1), NaN where
	// the state is.
	Cov [6][6]float64
}

// Direction is the direction of Vel above the first axis in degrees, with its
// standard deviation to first order.
func (s State) Direction() (deg, sdDeg float64) {
	vx, vz := s.Vel[0], s.Vel[1]
	v2 := vx*vx + vz*vz
	gx, gz := -vz/v2, vx/v2
	variance := gx*gx*s.Cov[2][2] + 2*gx*gz*s.Cov[2][3] + gz*gz*s.Cov[3][3]
	return math.Atan2(vz, vx) * 180 / math.Pi, math.Sqrt(variance) * 180 / math.Pi
}

// Speed is the length of Vel, with its standard deviation to first order.
func (s State) Speed() (v, sd float64) {
	v = math.Hypot(s.Vel[0], s.Vel[1])
	gx, gz := s.Vel[0]/v, s.Vel[1]/v
	return v, math.Sqrt(gx*gx*s.Cov[2][2] + 2*gx*gz*s.Cov[2][3] + gz*gz*s.Cov[3][3])
}

// state unpacks x and its covariance from the scaled clock.
func (p *problem) state(t float64, x, cov []float64) State {
	s := State{TimeS: t}
	at := [3]*[2]float64{&s.Pos, &s.Vel, &s.Acc}
	nan := math.NaN()
	var index [6]int
	var scale [6]float64
	pow := 1.0
	for k := range 3 {
		for a := range 2 {
			index[2*k+a] = -1
			at[k][a] = nan
			if k < p.m && a < p.axes {
				index[2*k+a], scale[2*k+a] = a*p.m+k, pow
				at[k][a] = x[a*p.m+k] * pow
			}
		}
		pow /= p.unit
	}
	for i := range 6 {
		for j := range 6 {
			s.Cov[i][j] = nan
			if index[i] >= 0 && index[j] >= 0 {
				s.Cov[i][j] = cov[index[i]*p.n+index[j]] * scale[i] * scale[j]
			}
		}
	}
	return s
}
