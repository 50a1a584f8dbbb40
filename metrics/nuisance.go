package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/geom"
)

// nuisance is what the card or the geometry may have wrong; zero is "as said".
// Intervals come from evaluating the swing under random ones.
type nuisance struct {
	scale    float64 // relative error of lengths
	distance float64 // relative error of the camera's distance
	apart    float64 // m, error of the distance between the bands
	depth    float64 // m, depth of the ball's path
	radius   float64 // relative error of the crescent's size
	rollRad  float64
	tiltRad  float64
	yawRad   float64
	descent  float64    // degrees, of a computed flight
	reach    float64    // m, of ball and barrel together where they met
	speed    float64    // relative, of the part of a speed that depth hides
	near     float64    // 1/m, one over the camera's distance where the card has none
	rng      *rand.Rand // of the bat's own uncertainty; nil for none
	// Without the bat's direction the middle of what is seen of the band lies
	// off the axis by an unknown vector (m) that turns with the bat (m/s).
	face, faceV [2]float64
}

// drawNuisance is one of the ways in which a card may be wrong.
func drawNuisance(rng *rand.Rand, s ScaleUse, stands AttitudeSD) nuisance {
	const degree = math.Pi / 180
	if stands == (AttitudeSD{}) {
		stands = AttitudeSD{rollSDDeg, tiltSDDeg, yawSDDeg}
	}
	return nuisance{
		scale: rng.NormFloat64() * s.RelSD, distance: rng.NormFloat64() * distanceSD, apart: rng.NormFloat64() * apartSDM,
		rng: rng, depth: rng.NormFloat64() * ballDepthSDM, radius: rng.NormFloat64() * radiusSD,
		rollRad: rng.NormFloat64() * stands.RollDeg * degree,
		tiltRad: rng.NormFloat64() * stands.TiltDeg * degree,
		yawRad:  rng.NormFloat64() * stands.YawDeg * degree,
		descent: rng.NormFloat64() * computedSDDeg, reach: rng.NormFloat64() * reachSDM, speed: rng.NormFloat64() * hiddenSpeedSD,
		near:  math.Exp(usualSD*rng.NormFloat64()) / usualM,
		face:  [2]float64{rng.NormFloat64() * faceM, rng.NormFloat64() * faceM},
		faceV: [2]float64{rng.NormFloat64() * faceMPS, rng.NormFloat64() * faceMPS},
	}
}

// view is v as it is when n is wrong.
func (n nuisance) view(v geom.View) geom.View {
	v = v.Rescaled(1 + n.scale)
	v.RollRad += n.rollRad
	if v.Lens { // a camera from far away shows no more of a small turn than its shift
		v.TiltRad += n.tiltRad
		v.YawRad += n.yawRad
		v.DistanceM *= 1 + n.distance
		v.FocalPx *= 1 + n.distance
	}
	return v
}
