package zone

import (
	"math"
)

func (c Circles) filled() Circles {
	if c.BallRadiusM == 0 {
		c.BallRadiusM = 0.0369
	}
	if c.BarrelRadiusM == 0 {
		c.BarrelRadiusM = 0.033
	}
	if c.SolidM == 0 {
		c.SolidM = 0.0127
	}
	if c.FromS == 0 && c.ToS == 0 {
		c.FromS, c.ToS = -0.15, 0.15
	}
	if c.ReachS == 0 {
		c.ReachS = 0.06
	}
	if c.StepS == 0 {
		c.StepS = 0.0005
	}
	return c
}

// Window is how much earlier and later the same swing could have been. When it
// spans the swing as it was, EarlyS and LateS are both ≥ 0; a negative EarlyS
// means that only a swing later by that much would have done, a negative LateS
// only an earlier one. OK is false when no shift would have done, and the
// times are then zero. Open says that the window reaches ReachS.
type Window struct {
	EarlyS, LateS, WindowS float64
	Open                   bool
	OK                     bool
}

// Timing holds the windows for solid contact and for any touch, and the touch
// of the swing as it was.
type Timing struct {
	Solid, Any Window
	Touch      Touch
}

// Meet finds the timing windows. Of several windows the one that contains the
// swing as it was is taken, or else the nearest to it.
func Meet(barrel, ball Path, c Circles) Timing {
	c = c.filled()
	m := newMeeting(barrel, ball, c)
	known := map[float64]Touch{}
	first := func(d float64) Touch {
		t, ok := known[d]
		if !ok {
			t = m.first(d)
			known[d] = t
		}
		return t
	}
	touched := func(d float64) float64 {
		if first(d).OK {
			return 1
		}
		return -1
	}
	solid := func(d float64) float64 {
		if t := first(d); t.OK {
			return c.SolidM - t.OffsetM
		}
		return -m.reach // below anything that a touch can give
	}
	ds := grid(-c.ReachS, c.ReachS, 0, c.StepS)
	window := func(f func(float64) float64) Window {
		s := nearest(runs(ds, f), 0)
		if !s.OK {
			return Window{}
		}
		return Window{EarlyS: -s.EnterS, LateS: s.LeaveS, WindowS: s.DurationS(), Open: s.OpenStart || s.OpenEnd, OK: true}
	}
	return Timing{Solid: window(solid), Any: window(touched), Touch: first(0)}
}

// OffsetAngleDeg is the angle between the line of relative motion and the line
// of centres for an impact offset: asin(offset / (rBall + rBarrel)).
func OffsetAngleDeg(offsetM, ballRadiusM, barrelRadiusM float64) float64 {
	return math.Asin(offsetM/(ballRadiusM+barrelRadiusM)) * 180 / math.Pi
}
