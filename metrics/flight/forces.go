package flight

import "math"

// GravityMPS2 is the standard fall, 32.174 ft/s².
const GravityMPS2 = 9.80665

// LiftLaw gives C_L from S = Rω/v ≥ 0.
type LiftLaw func(s float64) float64

// LiftNathan is C_L = 1.12·S/(0.583 + 2.333·S), from the trajectory spreadsheet
// of A. M. Nathan, University of Illinois.
func LiftNathan(s float64) float64 { return 1.12 * s / (0.583 + 2.333*s) }

// LiftSawicki is C_L = 1.5·S below S = 0.1 and 0.09 + 0.6·S above, from Sawicki,
// Hubbard & Stronge, Am. J. Phys. 71 (2003) 1152.
func LiftSawicki(s float64) float64 {
	if s < 0.1 {
		return 1.5 * s
	}
	return 0.09 + 0.6*s
}

// DragNathan is C_D = 0.3008 + 0.0292·(rpm/1000), from the same spreadsheet.
func DragNathan(spinRPM float64) float64 { return 0.3008 + 0.0292*math.Abs(spinRPM)/1000 }

// SpinRatio is S = Rω/v.
func SpinRatio(b Ball, spinRPM, speedMPS float64) float64 {
	return b.RadiusM() * math.Abs(spinRPM) * 2 * math.Pi / 60 / speedMPS
}

// Params are what a flight depends on besides its start. The zero value is a
// baseball without spin.
type Params struct {
	// Ball thrown. Defaults to Baseball.
	Ball Ball
	// AirKgM3 is the air's density. Defaults to AirKgM3.
	AirKgM3 float64
	// SpinRPM is positive for backspin and negative for topspin.
	SpinRPM float64
	// Drag is C_D. Defaults to DragNathan of the spin.
	Drag float64
	// Lift is the law for C_L. Defaults to LiftNathan.
	Lift LiftLaw
}

// forces are a flight's accelerations: g down, drag·v² against the velocity,
// lift(v)·v² across it.
type forces struct {
	g, drag float64
	lift    func(speed float64) float64
}

func (p Params) forces() forces {
	if p.Ball.MassKg == 0 {
		p.Ball = Baseball
	}
	if p.Drag == 0 {
		p.Drag = DragNathan(p.SpinRPM)
	}
	if p.Lift == nil {
		p.Lift = LiftNathan
	}
	per := p.Ball.PerM(p.AirKgM3)
	sign := 1.0
	if p.SpinRPM < 0 {
		sign = -1
	}
	return forces{GravityMPS2, per * p.Drag, func(v float64) float64 {
		return sign * per * p.Lift(SpinRatio(p.Ball, p.SpinRPM, v))
	}}
}

// State is a ball in flight.
type State struct {
	TimeS        float64
	PosM, VelMPS [2]float64
}

// SpeedMPS is the ball's speed.
func (s State) SpeedMPS() float64 { return math.Hypot(s.VelMPS[0], s.VelMPS[1]) }

// DescentDeg is the angle of a ball flying away from the pitcher below the
// horizontal.
func (s State) DescentDeg() float64 {
	return math.Atan2(-s.VelMPS[1], -s.VelMPS[0]) * 180 / math.Pi
}

// rate is the derivative of (x, z, vx, vz).
func (f forces) rate(y [4]float64) [4]float64 {
	vx, vz := y[2], y[3]
	v := math.Hypot(vx, vz)
	l := f.lift(v) * v
	// Across the velocity and, for a ball flying towards −x, up.
	return [4]float64{vx, vz, -f.drag*v*vx + l*vz, -f.g - f.drag*v*vz - l*vx}
}

// step is one Runge-Kutta step of h, which may be negative.
func (f forces) step(y [4]float64, h float64) [4]float64 {
	along := func(k [4]float64, h float64) (out [4]float64) {
		for i := range out {
			out[i] = y[i] + h*k[i]
		}
		return out
	}
	k1 := f.rate(y)
	k2 := f.rate(along(k1, h/2))
	k3 := f.rate(along(k2, h/2))
	k4 := f.rate(along(k3, h))
	for i := range y {
		y[i] += h / 6 * (k1[i] + 2*k2[i] + 2*k3[i] + k4[i])
	}
	return y
}

// stepS is the longest step: at 45 m/s its error over a whole pitch is under a
// micrometre.
const stepS = 0.002

// fly carries y over t, which may be negative.
func (f forces) fly(y [4]float64, t float64) [4]float64 {
	n := math.Ceil(math.Abs(t) / stepS)
	for range int(n) {
		y = f.step(y, t/n)
	}
	return y
}
