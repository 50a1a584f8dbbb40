package scene

import "math"

const (
	gravityMPS2   = 9.80665
	airKGM3       = 1.194 // 21 °C, sea level, half saturated
	dragCoeff     = 0.35
	flightStepS   = 0.0005
	flightLimitS  = 3.0
	spinLimitRPM  = 3500
	maxLaunchRad  = 35 * degree
	minLaunchRad  = -20 * degree
	restitutionEA = 0.2 // collision efficiency of a well-hit wooden bat
)

// air is what acts on a flying ball besides gravity.
type air struct {
	massKG, areaM2, radiusM float64
	densityKGM3             float64
	drag                    float64 // coefficient
	spinRadS                float64 // backspin positive
	gravity                 float64
}

func baseballAir(spinRPM float64) air {
	return air{
		massKG: ballMassKG, areaM2: math.Pi * ballRadiusM * ballRadiusM, radiusM: ballRadiusM,
		densityKGM3: airKGM3, drag: dragCoeff, spinRadS: spinRPM * 2 * math.Pi / 60, gravity: gravityMPS2,
	}
}

// lift is the lift coefficient at spin parameter s (Sawicki, Hubbard and
// Stronge 2003).
func lift(s float64) float64 {
	a := math.Abs(s)
	c := 1.5 * a
	if a >= 0.1 {
		c = 0.09 + 0.6*a
	}
	return math.Copysign(c, s)
}

// ballState is a ball in the vertical plane, m and m/s.
type ballState struct{ x, z, vx, vz float64 }

// accel is the ball's acceleration; backspin on a ball flying to -x lifts it.
func (a air) accel(s ballState) (ax, az float64) {
	v := math.Hypot(s.vx, s.vz)
	if v < 1e-9 {
		return 0, -a.gravity
	}
	k := a.densityKGM3 * a.areaM2 / (2 * a.massKG)
	d := k * a.drag * v
	l := k * lift(a.spinRadS*a.radiusM/v) * v
	return -d*s.vx + l*s.vz, -d*s.vz - l*s.vx - a.gravity
}

func (a air) step(s ballState, h float64) ballState {
	f := func(s ballState) ballState {
		ax, az := a.accel(s)
		return ballState{s.vx, s.vz, ax, az}
	}
	on := func(s, d ballState, h float64) ballState {
		return ballState{s.x + h*d.x, s.z + h*d.z, s.vx + h*d.vx, s.vz + h*d.vz}
	}
	k1 := f(s)
	k2 := f(on(s, k1, h/2))
	k3 := f(on(s, k2, h/2))
	k4 := f(on(s, k3, h))
	sum := ballState{
		k1.x + 2*k2.x + 2*k3.x + k4.x, k1.z + 2*k2.z + 2*k3.z + k4.z,
		k1.vx + 2*k2.vx + 2*k3.vx + k4.vx, k1.vz + 2*k2.vz + 2*k3.vz + k4.vz,
	}
	return on(s, sum, h/6)
}

// flight is a ball's path, t = 0 at its arrival at the contact's x.
type flight struct {
	startS float64
	states []ballState
}

// fly integrates from s for durS seconds; the path's clock starts at startS.
func (a air) fly(s ballState, startS, durS float64) flight {
	n := int(math.Ceil(durS/flightStepS)) + 1
	f := flight{startS, make([]ballState, 0, n+1)}
	for range n + 1 {
		f.states = append(f.states, s)
		s = a.step(s, flightStepS)
	}
	return f
}

func (f flight) at(t float64) ballState {
	u := (t - f.startS) / flightStepS
	i := int(clamp(math.Floor(u), 0, float64(len(f.states)-2)))
	u -= float64(i)
	p, q := f.states[i], f.states[i+1]
	var s ballState
	s.x, s.vx = hermite(u, flightStepS, p.x, q.x, p.vx, q.vx)
	s.z, s.vz = hermite(u, flightStepS, p.z, q.z, p.vz, q.vz)
	return s
}

// begins is the time of release.
func (f flight) begins() float64 { return f.startS }

// arrive flies a ball launched at an angle until it reaches x and gives its
// time and state there.
func (a air) arrive(s ballState, x float64) (float64, ballState) {
	t := 0.0
	for t < flightLimitS {
		n := a.step(s, flightStepS)
		if n.x <= x {
			h := flightStepS
			for range 4 { // Newton's steps to the very x
				n = a.step(s, h)
				h += (x - n.x) / n.vx
			}
			return t + h, a.step(s, h)
		}
		s, t = n, t+flightStepS
	}
	return math.NaN(), s
}

// aim solves the launch angle so that the ball passes (x, z).
func (a air) aim(speed, releaseX, releaseZ, x, z float64) (start ballState, t float64, end ballState, err error) {
	lo, hi := minLaunchRad, maxLaunchRad
	try := func(ang float64) float64 {
		sn, cs := math.Sincos(ang)
		start = ballState{releaseX, releaseZ, -speed * cs, speed * sn}
		t, end = a.arrive(start, x)
		if !finite(t) {
			return math.Inf(-1)
		}
		return end.z - z
	}
	if try(hi) < 0 || try(lo) > 0 {
		return start, t, end, refuse("pitch speed", speed, "cannot reach the plate from %.1f m", releaseX)
	}
	for range 60 {
		mid := (lo + hi) / 2
		if try(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return start, t, end, nil
}

func (s ballState) descentDeg() float64 { return math.Atan2(-s.vz, -s.vx) / degree }
func (s ballState) speed() float64      { return math.Hypot(s.vx, s.vz) }

// newPitch solves the pitch of p through the contact point: the launch angle,
// and the spin when a descent is asked for. It returns the path with t = 0
// there, going on beyond as if the ball was not hit.
func newPitch(p Params) (flight, float64, error) {
	solve := func(spin float64) (flight, float64, error) {
		a := baseballAir(spin)
		start, t, end, err := a.aim(p.PitchSpeedMPS, p.ReleaseDistanceM, p.ReleaseHeightM, p.ContactXM, p.ContactHeightM)
		if err != nil {
			return flight{}, 0, err
		}
		return a.fly(start, -t, t+math.Max(p.RunOutS, wholeSwingS)+0.3), end.descentDeg(), nil
	}
	if p.DescentDeg == nil {
		f, _, err := solve(*p.SpinRPM)
		return f, *p.SpinRPM, err
	}
	lo, hi := -float64(spinLimitRPM), float64(spinLimitRPM) // descent falls with backspin
	_, dLo, errLo := solve(lo)
	_, dHi, errHi := solve(hi)
	if errLo != nil || errHi != nil {
		return flight{}, 0, refuse("pitch speed", p.PitchSpeedMPS, "cannot reach the plate with every spin")
	}
	if *p.DescentDeg > dLo || *p.DescentDeg < dHi {
		return flight{}, 0, refuse("descent", *p.DescentDeg, "cannot be had at pitch speed %.1f: from %.2f to %.2f", p.PitchSpeedMPS, dHi, dLo)
	}
	for range 50 {
		mid := (lo + hi) / 2
		if _, d, err := solve(mid); err == nil && d > *p.DescentDeg {
			lo = mid
		} else {
			hi = mid
		}
	}
	f, _, err := solve((lo + hi) / 2)
	return f, (lo + hi) / 2, err
}
