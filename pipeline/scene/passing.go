package scene

import "math"

// What became of a swing.
const (
	Hit    = "hit"   // the ball goes back towards the pitcher
	Tip    = "tip"   // it is touched, and goes on
	Missed = "miss"  // it is not touched
	Check  = "check" // the barrel slows before it comes to the line
	None   = "none"  // nothing was thrown at the swing
)

const (
	// slowShare of its peak speed is what a swing has in its fast part, towards the
	// pitcher.
	slowShare = 0.5
	// passingStepS is the step in which a passing barrel is looked for.
	passingStepS = 0.0001
	passingFromS = -0.30
	passingToS   = 0.25
	lineRounds   = 8 // the line hangs on the instant, and the instant on the line
	// holdS is how slowly a swing that is held up comes to rest: it goes on for so long at
	// the speed that it had.
	holdS = 0.020
	// takenMS before contact nothing of a swing has begun.
	takenMS = 250
	// glancing is how little of the approach is along the line of centres when a ball is
	// tipped.
	glancing = 0.45
)

// held is the swing's clock, which stops for one that is held up.
func (s *Scene) held(w float64) float64 {
	from := -s.P.HoldMS / 1000
	if s.P.HoldMS == 0 || w <= from {
		return w
	}
	return from + holdS*(1-math.Exp(-(w-from)/holdS))
}

// passing is when the barrel of a swing that meets nothing is at the pitch's line, on
// the ball's clock: in the fast part of the swing the middle between the first instant
// at which it is near the line and the last, so that one that dips under the line or
// jumps over it between the two has its contact there; never near, its closest approach.
// It also tells whether the swing was held up before it came to the line.
func (s *Scene) passing(late float64) (at float64, checked bool) {
	n := int(math.Round((passingToS-passingFromS)/passingStepS)) + 1
	time := func(i int) float64 { return passingFromS + float64(i)*passingStepS }
	s.swingZero = 0
	q, v := make([]Vec, n), make([]Vec, n)
	peak, top := 0.0, 0
	for i := range v {
		q[i], v[i] = s.Mark(time(i)), velocity(s.Mark, time(i))
		if speed := math.Hypot(v[i].X, v[i].Z); speed > peak {
			peak, top = speed, i
		}
	}
	tc := 0.0
	for range lineRounds {
		s.ballZero = tc + late
		line := s.pitchLine()
		sn, cs := math.Sincos(line.descent * degree)
		closest, last, enter, leave := -1, -1, -1, -1
		for i := range v {
			if v[i].X*cs+v[i].Z*sn < slowShare*peak {
				continue
			}
			last = i
			if closest < 0 || math.Abs(line.above(q[i].X, q[i].Z)) < math.Abs(line.above(q[closest].X, q[closest].Z)) {
				closest = i
			}
			if math.Abs(line.above(q[i].X, q[i].Z)) < s.P.reachM() {
				if leave = i; enter < 0 {
					enter = i
				}
			}
		}
		switch {
		case last < 0:
			return time(top) + late, true
		case enter >= 0:
			tc, checked = (time(enter)+time(leave))/2, false
		default:
			tc, checked = time(closest), closest == last
		}
	}
	return tc + late, checked
}

// lateS is by how much the barrel comes after the ball at its place at contact, along
// the line.
func (s *Scene) lateS(line pitchLine, x, z float64) float64 {
	there := line.along(x, z)
	lo, hi := -0.3, 0.3
	for range 60 {
		mid := (lo + hi) / 2
		if b := s.pitch.at(s.ballZero + mid); line.along(b.x, b.z) > there {
			lo = mid
		} else {
			hi = mid
		}
	}
	return -lo
}

// grazing is the offset, in steps of a millimetre, at which the bat only just touches the
// ball.
func (p Params) grazing() (float64, error) {
	for off := 0.12; off > 0; off -= 0.001 {
		p.OffsetM = Num(math.Copysign(off, *p.OffsetM))
		s, err := build(p)
		if err != nil {
			return 0, err
		}
		if s.hit && s.outcome() == Tip {
			return *p.OffsetM, nil
		}
	}
	return 0, refuse("graze", p.Graze, "cannot be had of this swing")
}

// tip sets the path of a ball that n, the line of centres, is nearly square to: of its
// approach it is thrown back along n as from a wooden bat, and keeps the rest. v and in
// are the velocities of bat and ball.
func (s *Scene) tip(ball, n, v, in Vec) {
	w := v.sub(in)
	share := w.unit().dot(n)
	out := in.add(n.mul((1 + restitutionEA) * w.dot(n)))
	s.exitY = out.Y
	s.exit = baseballAir(0).fly(ballState{ball.X, ball.Z, out.X, out.Z}, 0, s.P.RunOutS+0.2)
	s.swing.graze(n, share, s.P)
}

// graze sets what a tipped ball does to the bat: its push is smaller than that of one
// met squarely by the share of the approach that is along n.
func (s *swing) graze(n Vec, share float64, p Params) {
	sn, cs := math.Sincos(s.angle(s.impactAt))
	dir, turn := s.d0.mul(cs).add(s.tau0.mul(sn)), s.tau0.mul(cs).sub(s.d0.mul(sn))
	s.lossOmega *= share * n.dot(turn)
	s.kickRadS = -p.LossRatio * p.BarrelSpeedMPS / s.markM * share * n.dot(dir.cross(turn))
}

// outcome is what became of the swing.
func (s *Scene) outcome() string {
	switch {
	case !s.hit && (!s.P.thrown() || s.P.HoldMS >= takenMS):
		return None
	case s.checked:
		return Check
	case !s.hit:
		return Missed
	case s.exit.at(0).vx < 0:
		return Tip
	}
	return Hit
}
