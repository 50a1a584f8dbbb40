package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
	"ashline/metrics/geom"
)

// ballPath is the flight of a pitch in the plane of the pitch, as if it were
// never hit.
type ballPath struct {
	track *flight.Track
	table *flight.Table
}

const (
	// Most pitches and machines throw with backspin: seam-averaged lift
	// coefficients of 0.1 to 0.2 are usual and reach 0.3; topspin turns the sign.
	liftC  = 0.12
	liftSD = 0.15
	// tableS is how far before and after its last sighting a flight is asked for.
	tableS = 0.2
)

// fitBall fits a pitch to sightings in plane metres.
func fitBall(s []fit.Sample, ball flight.Ball) (ballPath, bool) {
	t, err := flight.Incoming{Ball: ball, Lift: liftC, LiftSD: liftSD, Robust: true}.Fit(s)
	if err != nil {
		return ballPath{}, false
	}
	return newBallPath(t), true
}

func newBallPath(t *flight.Track) ballPath {
	return ballPath{t, t.Table(t.LastS()-tableS, t.LastS()+tableS)}
}

// At returns place and velocity at time t.
func (p ballPath) At(t float64) (pos, vel [2]float64) { return p.table.At(t) }

// draw returns the flight with a random error of its fit; nil rng returns the
// flight itself.
func (p ballPath) draw(rng *rand.Rand) ballPath {
	if rng == nil || p.track == nil {
		return p
	}
	return newBallPath(p.track.Draw(rng))
}

// varAlong is the variance of the place at t along the flight, m².
func (p ballPath) varAlong(t float64) float64 {
	s, c := p.track.State(t)
	v := s.SpeedMPS()
	x, z := s.VelMPS[0]/v, s.VelMPS[1]/v
	return x*x*c[0][0] + 2*x*z*c[0][1] + z*z*c[1][1]
}

// inPlane puts sightings of a ball into the plane of the pitch.
func inPlane(v geom.View, s []Sample) []fit.Sample {
	out := make([]fit.Sample, len(s))
	for i, x := range s {
		w := v.At(geom.Point{x.XPx, x.YPx}, 0)
		k := v.MetresPerPixel(geom.Point{x.XPx, x.YPx})
		k *= k
		// The picture's y points down.
		out[i] = fit.Sample{TimeS: x.TimeS, Pos: [2]float64{w.X, w.Z}, Cov: [2][2]float64{
			{k * (x.VarXX + ballSDPx*ballSDPx), -v.Sign * k * x.VarXY}, {-v.Sign * k * x.VarXY, k * (x.VarYY + ballSDPx*ballSDPx)},
		}}
	}
	return out
}

// ballSDPx is the s.d. of the centre of a seen ball that is added to a sighting's
// own: half a pixel of blur, seams and shading.
const ballSDPx = 0.3

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
