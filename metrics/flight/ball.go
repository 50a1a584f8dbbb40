package flight

import (
	"errors"
	"fmt"
	"math"
)

// Errors of the package.
var (
	// ErrBall occurs when a ball's name is not known.
	ErrBall = errors.New("flight: unknown ball")
	// ErrRelease occurs when no throw of that speed passes the stated place.
	ErrRelease = errors.New("flight: release cannot reach the plate")
	// ErrTooFew occurs when there are too few sightings to fit. It is normal for
	// a ball that was hardly seen.
	ErrTooFew = errors.New("flight: too few sightings")
	// ErrNoFit occurs when the fit does not settle or its sightings have no usable
	// covariance.
	ErrNoFit = errors.New("flight: no fit")
)

const (
	ounceKg = 0.028349523125
	inchM   = 0.0254
)

// Ball is a ball's mass and size.
type Ball struct {
	Name           string
	MassKg         float64
	CircumferenceM float64
}

// The balls, each in the middle of what the rules allow.
var (
	// Baseball: 5 to 5¼ oz, 9 to 9¼ in (Official Baseball Rules 3.01; Little
	// League rule 1.09).
	Baseball = Ball{"baseball", 5.125 * ounceKg, 9.125 * inchM}
	// Softball11: 5½ to 6 oz, 10⅞ to 11⅛ in (Little League softball rule 1.09).
	Softball11 = Ball{"softball_11", 5.75 * ounceKg, 11 * inchM}
	// Softball12: 6¼ to 7 oz, 11⅞ to 12⅛ in (Little League softball rule 1.09).
	Softball12 = Ball{"softball_12", 6.625 * ounceKg, 12 * inchM}
)

// Named returns the ball of that name; the empty name is a baseball.
func Named(name string) (Ball, error) {
	for _, b := range []Ball{Baseball, Softball11, Softball12} {
		if name == b.Name || (name == "" && b.Name == Baseball.Name) {
			return b, nil
		}
	}
	return Ball{}, fmt.Errorf("%w: %q", ErrBall, name)
}

// RadiusM is the ball's radius.
func (b Ball) RadiusM() float64 { return b.CircumferenceM / (2 * math.Pi) }

// AreaM2 is the ball's cross-section.
func (b Ball) AreaM2() float64 { return math.Pi * b.RadiusM() * b.RadiusM() }

// The band of drag coefficients of a thrown baseball: 0.30 in play, up to 0.45
// at low speed in a wind tunnel (Nathan; Lyu, Smith, Elliott & Kensrud, Proc.
// IMechE P 236 (2022) 308).
const (
	DragLow  = 0.30
	DragHigh = 0.45
)

// AirKgM3 is the density of air at sea level, 21 °C and half saturated.
const AirKgM3 = 1.194

// PerM is ½ρA/m, which times a coefficient is the share of speed lost or turned
// in a metre of flight. airKgM3 = 0 stands for AirKgM3.
func (b Ball) PerM(airKgM3 float64) float64 {
	if airKgM3 == 0 {
		airKgM3 = AirKgM3
	}
	return airKgM3 * b.AreaM2() / (2 * b.MassKg)
}

// DragPerM is the drag constant k in dv/dt = −k·v² at the middle of the band of
// drag coefficients, with the standard deviation of a value anywhere within it.
func (b Ball) DragPerM(airKgM3 float64) (k, sd float64) {
	per := b.PerM(airKgM3)
	return per * (DragLow + DragHigh) / 2, per * (DragHigh - DragLow) / math.Sqrt(12)
}
