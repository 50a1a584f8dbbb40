package metrics

import (
	"math"
	"math/rand/v2"
)

// astray is a slow error: independent at a swing's start, its middle and contact, a
// parabola between them.
type astray struct {
	tc float64
	e  [3][2]float64
}

func newAstray(sdM, tc float64, rng *rand.Rand) astray {
	a := astray{tc: tc}
	for i := range a.e {
		a.e[i] = [2]float64{sdM * rng.NormFloat64(), sdM * rng.NormFloat64()}
	}
	return a
}

// at is the error and its rate at t.
func (a astray) at(t float64) (pos, vel [2]float64) {
	u, rate := 1+2*(t-a.tc)/usualSwingS, 2/usualSwingS // −1 start, 0 middle, 1 contact
	if u < -1 || u > 1 {
		u, rate = math.Max(-1, math.Min(1, u)), 0
	}
	w := [3]float64{u * (u - 1) / 2, 1 - u*u, u * (u + 1) / 2}
	d := [3]float64{rate * (u - 0.5), -2 * rate * u, rate * (u + 0.5)}
	for k := range pos {
		for i := range a.e {
			pos[k] += w[i] * a.e[i][k]
			vel[k] += d[i] * a.e[i][k]
		}
	}
	return pos, vel
}
