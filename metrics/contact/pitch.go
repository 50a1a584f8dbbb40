package contact

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// Pitch is the flight of a pitch in the plane of the pitch, as if it were
// never hit.
type Pitch struct {
	track *flight.Track
	table *flight.Table
}

// FitPitch fits a pitch to sightings in the plane of the pitch, m; false with too few.
func FitPitch(s []fit.Sample, ball flight.Ball) (Pitch, bool) {
	t, err := flight.Incoming{Ball: ball, Lift: liftC, LiftSD: liftSD, Robust: true}.Fit(s)
	if err != nil {
		return Pitch{}, false
	}
	return newPitch(t), true
}

func newPitch(t *flight.Track) Pitch {
	return Pitch{t, t.Table(t.LastS()-tableS, t.LastS()+tableS)}
}

// At is place, m, and velocity, m/s, at time t.
func (p Pitch) At(t float64) (pos, vel [2]float64) { return p.table.At(t) }

// Draw is the flight with a random error of its fit; with nil the flight itself.
func (p Pitch) Draw(rng *rand.Rand) Pitch {
	if rng == nil || p.track == nil {
		return p
	}
	return newPitch(p.track.Draw(rng))
}

// varAlong is the variance of the place at t along the flight, m².
func (p Pitch) varAlong(t float64) float64 {
	s, c := p.track.State(t)
	v := s.SpeedMPS()
	x, z := s.VelMPS[0]/v, s.VelMPS[1]/v
	return x*x*c[0][0] + 2*x*z*c[0][1] + z*z*c[1][1]
}

// unbent returns the sightings whose exposure does not hold the instant t: a ball
// that turns while the shutter is open leaves a streak with a bend, whose middle
// is on neither flight.
func unbent(s []fit.Sample, t, exposureS float64) []fit.Sample {
	var out []fit.Sample
	for _, x := range s {
		if math.Abs(x.TimeS-t) > exposureS/2 {
			out = append(out, x)
		}
	}
	return out
}
