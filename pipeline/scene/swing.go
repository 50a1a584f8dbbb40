package scene

import "math"

const (
	gripM        = 0.10  // middle of the two hands from the knob's end
	releaseRiseS = 0.031 // spread of a usual bat's angular speed before its peak
	releaseFallS = 0.080 // and after it
	turnShare    = 0.17  // share of the early turn in the peak
	turnMidS     = -0.085
	turnSpreadS  = 0.045
	leaveStanceS = -0.205
	joinPlaneS   = -0.055
	impactS      = 0.001 // time in which the barrel gives up its speed
	kickFadesS   = 0.1   // in which the arms take the kick of an impact back
	// bounce is the coefficient of restitution of a ball on a bat at these speeds
	// (common practice), rollShare what friction takes of the ball's slip along the bat
	// until a solid sphere rolls (2/7; mechanics, from memory).
	bounce    = 0.5
	rollShare = 2.0 / 7
)

// nominal hands' path of a right-handed hitter about his contact point.
var (
	handTimes = []float64{-0.60, -0.30, -0.185, -0.10, -0.05, 0, 0.045, 0.095, 0.165, 0.26, 0.42}
	handKnots = []Vec{
		{-0.28, 0.70, 1.40},
		{-0.37, 0.72, 1.43},
		{-0.375, 0.715, 1.42},
		{-0.25, 0.60, 1.28},
		{-0.03, 0.53, 1.15},
		{0.21, 0.53, 1.08},
		{0.35, 0.63, 1.11},
		{0.37, 0.81, 1.26},
		{0.19, 0.97, 1.45},
		{0.04, 1.00, 1.52},
		{0.01, 0.99, 1.50},
	}
	// handFollow says how much of the contact's height the hands already have.
	handFollow = []float64{0, 0, 0, 0.3, 0.75, 1, 0.95, 0.6, 0.2, 0, 0}
)

// swing is the bat as a rigid rod: the hands follow a smooth path, the rod turns
// in a tilted plane that itself turns slowly. Its clock is 0 at the designed
// contact; everything is for a right-handed hitter.
type swing struct {
	hands        path
	shift        Vec // of the hitter, from the nominal place
	d0, tau0     Vec // the bat's direction at contact, and where it turns to
	markM        float64
	omegaRadS    float64 // angular speed just before contact
	peakS        float64
	riseS, fallS float64 // spread of the bat's angular speed before its peak and after
	planeRateRad float64 // slow turn of the plane about the pitch's direction, rad/s
	stance       Vec
	waggle       float64
	slotS        float64 // when the back elbow comes to the hip
	tuck         float64 // how far it comes
	flat         bool    // the plane is turned down after contact
	impactAt     float64 // swing time of the impact; NaN when there is none
	lossOmega    float64
	kickRadS     float64 // turn across the plane that an off-centre impact leaves
}

// newSwing solves the swing whose barrel mark is at mark0 at time 0, with the
// bat along d0, moving with the asked in-plane speed and attack angle.
func newSwing(p Params, mark0, d0 Vec) *swing {
	rnd := newNoise(p.Seed, 0x5a)
	loose := p.looseness()
	gait := newStream(p.Seed, 0x100e)
	s := &swing{
		riseS: releaseRiseS * (1 + 0.25*(loose-1)*gait.between(-1, 1)), fallS: releaseFallS * (1 + 0.25*(loose-1)*gait.between(-1, 1)),
		d0: d0, markM: p.BatLengthM - p.BandFromEndM - gripM, peakS: *p.PeakMS / 1000, impactAt: math.NaN(),
		planeRateRad: rnd.between(-2.5, 2.5) * loose, waggle: rnd.between(0.01, 0.05) * loose,
		slotS: rnd.between(-0.13, -0.07), tuck: rnd.between(0.9, 1.7),
		flat: p.Fault == LowFinish, stance: Vec{rnd.between(-0.4, -0.1), rnd.between(0.1, 0.4), 0.9}.unit(),
	}
	tall := p.HitterHeightM / 1.80
	grip0 := mark0.sub(d0.mul(s.markM))
	at0 := handKnots[5]
	s.shift = grip0.sub(Vec{at0.X, at0.Y, at0.Z * tall})
	knots := make([]Vec, len(handKnots))
	for i, k := range handKnots {
		wobble := Vec{rnd.between(-1, 1), rnd.between(-1, 1), rnd.between(-1, 1)}.mul(0.012 * loose)
		if i == 5 {
			wobble = Vec{}
		}
		rel := Vec{k.X - at0.X, k.Y - at0.Y, 0}.mul(0.4 + 0.6*tall)
		knots[i] = Vec{grip0.X + rel.X, grip0.Y + rel.Y, k.Z*tall + s.shift.Z*handFollow[i]}.add(wobble)
	}
	s.misplaceHands(p, knots, grip0)
	s.hands = newPath(handTimes, knots)

	_, vh := s.hands.at(0)
	plane := Vec{1, 0, 0}.cross(d0).mul(s.planeRateRad * s.markM)
	a := *p.AttackDeg * degree
	px := p.BarrelSpeedMPS*math.Cos(a) - vh.X - plane.X
	pz := p.BarrelSpeedMPS*math.Sin(a) - vh.Z - plane.Z
	turn := Vec{px, -(px*d0.X + pz*d0.Z) / d0.Y, pz} // across the bat
	s.omegaRadS = turn.norm() / s.markM
	s.tau0 = turn.unit()
	s.lossOmega = p.LossRatio * p.BarrelSpeedMPS / (s.omegaRadS * s.markM)
	return s
}

// rate is the bat's angular speed as a share of its peak, without impact.
func (s *swing) rate(t float64) float64 {
	w := s.riseS
	if t > s.peakS {
		w = s.fallS
	}
	u, v := (t-s.peakS)/w, (t-turnMidS)/turnSpreadS
	return math.Exp(-u*u/2) + turnShare*math.Exp(-v*v/2)
}

// turned is the integral of rate from 0 to t.
func (s *swing) turned(t float64) float64 {
	whole := func(t float64) float64 {
		w := s.riseS
		if t > s.peakS {
			w = s.fallS
		}
		k := math.Sqrt(math.Pi / 2)
		return k*w*math.Erf((t-s.peakS)/(w*math.Sqrt2)) + k*turnShare*turnSpreadS*math.Erf((t-turnMidS)/(turnSpreadS*math.Sqrt2))
	}
	return whole(t) - whole(0)
}

// angle is how far the bat has turned from its place at the designed contact.
func (s *swing) angle(t float64) float64 {
	k := s.omegaRadS / s.rate(0)
	if !(t > s.impactAt) {
		return k * s.turned(t)
	}
	// The speed falls smoothly within impactS, so the path stays smooth but
	// its velocity has what looks like a kink.
	end := math.Min(t, s.impactAt+impactS)
	const n = 16
	h := (end - s.impactAt) / n
	sum := 0.0
	for i := range n + 1 {
		w := 2.0
		if i == 0 || i == n {
			w = 1
		} else if i%2 == 1 {
			w = 4
		}
		x := s.impactAt + float64(i)*h
		sum += w * s.rate(x) * (1 - s.lossOmega*ease(x, s.impactAt, s.impactAt+impactS))
	}
	phi := s.turned(s.impactAt) + sum*h/3
	return k * (phi + (1-s.lossOmega)*(s.turned(t)-s.turned(end)))
}

// kick sets what an impact does to the bat across its plane. n is the line of centres,
// from bat to ball, and r the direction in which the bat comes at the ball: it pushes
// back along n, and by friction along the part of r that is square to it.
func (s *swing) kick(p Params, n, r Vec) {
	sn, cs := math.Sincos(s.angle(s.impactAt))
	dir, turn := s.d0.mul(cs).add(s.tau0.mul(sn)), s.tau0.mul(cs).sub(s.d0.mul(sn))
	push := n.mul((1 + bounce) * r.dot(n)).add(r.sub(n.mul(r.dot(n))).mul(rollShare))
	s.kickRadS = -p.LossRatio * p.BarrelSpeedMPS / s.markM * push.dot(dir.cross(turn)) / push.dot(turn)
}

// kicked is the angle that the kick has turned the bat by, t after the impact.
func (s *swing) kicked(t float64) float64 {
	// As with the speed that is lost, smoothly within impactS.
	if t < impactS {
		return s.kickRadS * t * t / (2 * impactS)
	}
	return s.kickRadS * (impactS/2 + kickFadesS*(1-math.Exp(-(t-impactS)/kickFadesS)))
}

// at gives the middle of the hands and the bat's direction, knob to end.
func (s *swing) at(t float64) (grip, dir Vec) {
	grip, _ = s.hands.at(t)
	sn, cs := math.Sincos(s.angle(t))
	dir = s.d0.mul(cs).add(s.tau0.mul(sn))
	if t > s.impactAt && s.kickRadS != 0 {
		dir = dir.turn(s.tau0.mul(cs).sub(s.d0.mul(sn)), -s.kicked(t-s.impactAt))
	}
	dir = dir.turn(Vec{1, 0, 0}, s.planeRateRad*t*math.Exp(-t*t/(2*0.08*0.08)))
	if s.flat {
		dir = flatten(dir, t)
	}
	if w := ease(t, leaveStanceS, joinPlaneS); w < 1 {
		wag := Vec{s.waggle * math.Sin(5.1*t), s.waggle * math.Cos(4.3*t+1), 0}
		dir = s.stance.add(wag).lerp(dir, w).unit()
	}
	return grip, dir
}
