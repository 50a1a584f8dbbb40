package contact

import (
	"fmt"
	"math"
)

// passing is how a barrel goes by the line of a pitch that it does not touch.
type passing struct {
	atS    float64
	apartM float64 // from the line, at that time
	// stopped says that the barrel slows before it comes to the line.
	stopped bool
}

// stride is a barrel's path in even steps.
type stride struct {
	timesS   []float64
	pos, vel [][2]float64
	peakMPS  float64
	top      int // where it is fastest
}

// strideOf samples the barrel about its peak speed, as far as it was seen.
func (s Seen) strideOf(barrel Path) stride {
	var d stride
	from, to := math.Max(s.FromS, s.PeakS-passReachS), math.Min(s.ToS, s.PeakS+passReachS)
	for t := from; t <= to; t += passStepS {
		p, q := barrel(t-passStepS/2), barrel(t+passStepS/2)
		v := [2]float64{(q[0] - p[0]) / passStepS, (q[1] - p[1]) / passStepS}
		d.timesS, d.pos, d.vel = append(d.timesS, t), append(d.pos, barrel(t)), append(d.vel, v)
		if speed := math.Hypot(v[0], v[1]); speed > d.peakMPS {
			d.peakMPS, d.top = speed, len(d.timesS)-1
		}
	}
	return d
}

// by is how the barrel passes the line of a pitch, which is taken to lie upM higher and
// to fall by tiltDeg more: in the fast part of the swing, while it goes against the pitch
// at half of its peak speed or more, halfway between the first instant at which it is
// near the line and the last. Between the two it may dip under the line or rise over it.
// Never near, it is its closest approach. The line hangs on the instant, for the flight
// is bent, and the instant on the line.
func (d stride) by(ball Pitch, nearM, upM, tiltDeg float64) passing {
	out := passing{atS: d.timesS[d.top]}
	for range passRounds {
		p, v := ball.At(out.atS)
		sin, cos := math.Sincos(math.Atan2(-v[1], -v[0]) + tiltDeg*math.Pi/180)
		above := func(i int) float64 { return (d.pos[i][1]-p[1]-upM)*cos - (d.pos[i][0]-p[0])*sin }
		enter, leave, closest, last := -1, -1, -1, -1
		for i, u := range d.vel {
			if u[0]*cos+u[1]*sin < fastShare*d.peakMPS {
				continue
			}
			off := math.Abs(above(i))
			if last = i; closest < 0 || off < math.Abs(above(closest)) {
				closest = i
			}
			if off < nearM {
				if leave = i; enter < 0 {
					enter = i
				}
			}
		}
		switch {
		case last < 0: // it never gets going against the pitch
			return passing{atS: d.timesS[d.top], apartM: math.Abs(above(d.top)), stopped: true}
		case enter >= 0:
			out = passing{atS: (d.timesS[enter] + d.timesS[leave]) / 2}
		default:
			out = passing{atS: d.timesS[closest], apartM: math.Abs(above(closest)), stopped: closest == last}
		}
	}
	return out
}

// pass is the contact of a swing that touches nothing. missed is how sure that is.
func (s Seen) pass(c Contact, barrel Path, missed float64) Contact {
	d := s.strideOf(barrel)
	if len(d.timesS) == 0 {
		return c
	}
	at := d.by(c.Pitch, s.ReachM, 0, 0)
	shift := (d.by(c.Pitch, s.ReachM, touchM, 0).atS - d.by(c.Pitch, s.ReachM, -touchM, 0).atS) / 2
	tilt := (d.by(c.Pitch, s.ReachM, 0, lineDeg).atS - d.by(c.Pitch, s.ReachM, 0, -lineDeg).atS) / 2
	c.TimeS, c.SDS, c.How, c.Assumed = at.atS, math.Max(passStepS, math.Hypot(shift, tilt)), Line, false
	c.Outcome, c.Chance = Miss, missed
	c.Why = "the ball was missed: contact is taken where the barrel is at the pitch line"
	if at.stopped {
		c.Outcome = Check
		c.Chance *= normal((at.apartM - s.ReachM) / (2 * touchM))
		c.Why = fmt.Sprintf("the swing was checked: the barrel slows %.0f cm from the pitch line, so that there is no contact", 100*at.apartM)
	}
	c.Confidence = c.Chance * within(c.SDS)
	return c
}
