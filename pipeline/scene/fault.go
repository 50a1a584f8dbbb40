package scene

import (
	"math"
	"slices"
)

// The faults that can be planted in a swing. Each is a change of the motion, so
// that the truth shows it by its own definitions; none of them is written into the
// truth.
const (
	LateOnLine       = "late_on_line"       // the barrel rises far less than the pitch falls
	EarlyOffLine     = "early_off_line"     // it rises far more
	EarlyStraightArm = "early_straight_arm" // the hands leave the body early, the lead arm is straight long before contact
	LowFinish        = "low_finish"         // hands and barrel stay low after contact
	TooEarly         = "early"              // the same swing so early that it barely meets the ball
	TooLate          = "late"               // and so late
)

// Faults are all of them.
func Faults() []string {
	return []string{LateOnLine, EarlyOffLine, EarlyStraightArm, LowFinish, TooEarly, TooLate}
}

// faultNoise is the stream that sizes of faults are drawn from, apart from all
// others, so that a scene without a fault stays as it was.
const faultNoise = 0xfa17

// How steeply the bat of a low finish comes at most.
const (
	mostRiseDeg = 12
	mostDropDeg = 22
)

// setAngles sets what a fault needs of the bat's angles. The attack angle is set against
// the descent of the pitch: apart from it for the faults that are a gap between the two,
// equal to it for those of timing alone.
func (p *Params) setAngles(descentDeg float64) {
	gap := newNoise(p.Seed, faultNoise).between(8, 11)
	switch p.Fault {
	case LateOnLine:
		p.AttackDeg = Num(descentDeg - gap)
	case EarlyOffLine:
		p.AttackDeg = Num(descentDeg + gap)
	case LowFinish: // a bat that comes steeply from below goes high by itself
		p.AttackDeg, p.BatDropDeg = Num(min(*p.AttackDeg, mostRiseDeg)), Num(min(*p.BatDropDeg, mostDropDeg))
	case TooEarly: // the bat turns on to about square by the time it meets the ball
		p.AttackDeg, p.BatAheadDeg = Num(descentDeg), Num(-math.Abs(*p.BatAheadDeg))
	case TooLate:
		p.AttackDeg, p.BatAheadDeg = Num(descentDeg), Num(math.Abs(*p.BatAheadDeg))
	}
}

// An early or late swing is so by at most mostOffS, and has at least spareS left before
// it would miss the ball; the timing is looked for in steps.
const (
	spareS      = 0.009
	mostOffS    = 0.040
	timingStepS = 0.002
)

// timingFault is how late, ms, the swing is to be so that it still meets the ball and
// would not if it were a little more so; false for scenes without a fault of timing.
func (p Params) timingFault() (lateMS float64, ok bool, err error) {
	later := 1000.0
	switch p.Fault {
	case TooLate:
	case TooEarly:
		later = -1000
	default:
		return 0, false, nil
	}
	for off := mostOffS; off > 0; off -= timingStepS {
		p.TimingMS = later * off
		s, err := build(p)
		if err != nil {
			return 0, false, err
		}
		// The bat may be too short for a ball that its circle in the plane would touch.
		if !s.hit {
			continue
		}
		_, touch := s.timing(s.newFilm())
		spare := touch.leave
		if p.Fault == TooEarly {
			spare = -touch.enter
		}
		if touch.ok && spare >= spareS {
			return p.TimingMS, true, nil
		}
	}
	return 0, false, refuse("fault", p.Fault, "cannot be planted in this swing")
}

// needsPitch reports whether a fault is one against the pitch.
func needsPitch(fault string) bool {
	return slices.Contains([]string{LateOnLine, EarlyOffLine, TooEarly, TooLate}, fault)
}

// armM is how long the stretched lead arm of a hitter of 1.80 m is, shoulder to hand.
const armM = 0.60

// reachOut is where the hands go when they leave the body early: knots of their path,
// the direction from the lead shoulder, and how far the way from where they were.
var reachOut = []struct {
	knot  int
	out   Vec
	share float64
}{
	{3, Vec{-0.30, -0.75, -0.60}, 0.85},
	{4, Vec{0.20, -0.65, -0.70}, 1},
}

// misplaceHands moves knots of the hands' path for the faults that are one of the
// hands. grip0 is where they are at contact.
func (s *swing) misplaceHands(p Params, knots []Vec, grip0 Vec) {
	tall := p.HitterHeightM / 1.80
	rnd := newNoise(p.Seed, faultNoise)
	switch p.Fault {
	case EarlyStraightArm:
		// Out to the length of the arm, forward and down, and round to contact from there.
		reach := armM * tall * rnd.between(1, 1.02)
		for _, o := range reachOut {
			chest, side := s.chest(handTimes[o.knot], tall)
			shoulder := chest.add(side.mul(shoulderM * tall))
			knots[o.knot] = knots[o.knot].lerp(shoulder.add(o.out.unit().mul(reach)), o.share)
		}
	case LowFinish:
		fall := rnd.between(0.10, 0.16)
		for i := 6; i < len(knots); i++ {
			knots[i].Z = grip0.Z - fall*tall*min(1, float64(i-5)/2)
		}
	}
}

// The turn that keeps a low finish low, rad, and when it comes.
const (
	flatRad   = 65 * degree
	flatFromS = 0.002
	flatToS   = 0.09
)

// flatten turns the bat's plane down after contact.
func flatten(dir Vec, t float64) Vec {
	return dir.turn(Vec{1, 0, 0}, -flatRad*ease(t, flatFromS, flatToS))
}

// checkFault tells whether p's fault is known and fits the kind of swing.
func (p Params) checkFault() error {
	switch {
	case p.Fault == "":
		return nil
	case !slices.Contains(Faults(), p.Fault):
		return refuse("fault", p.Fault, "is none of %v", Faults())
	case needsPitch(p.Fault) && !p.thrown():
		return refuse("fault", p.Fault, "needs a pitch, and the kind is %s", p.Kind)
	}
	return nil
}
