package zone

import "math"

// Limits say what counts as on the line and where to look.
type Limits struct {
	// DistanceM is the farthest from the line that is near, m. Defaults to 0.07,
	// about the radii of a baseball and a barrel together.
	DistanceM float64
	// DirectionDeg is the greatest angle to the line that is along, degrees.
	// Defaults to 10.
	DirectionDeg float64
	// FromS and ToS bound the search, s from contact. Default to −0.15 and 0.15.
	FromS, ToS float64
	// StepS is the step of the scan, s. Defaults to 0.0005.
	StepS float64
}

func (l Limits) filled() Limits {
	if l.DistanceM == 0 {
		l.DistanceM = 0.07
	}
	if l.DirectionDeg == 0 {
		l.DirectionDeg = 10
	}
	if l.FromS == 0 && l.ToS == 0 {
		l.FromS, l.ToS = -0.15, 0.15
	}
	if l.StepS == 0 {
		l.StepS = 0.0005
	}
	return l
}

// Zone is the barrel's stay on the pitch line.
type Zone struct {
	Span                // near and along at once
	Near, Along Span    // each alone
	LengthM     float64 // along the line, from enter to leave
	BehindM     float64 // from enter to the barrel's place at contact
	AheadM      float64 // from the barrel's place at contact to leave
	// OffsetM is the barrel's distance from the line at contact, positive above.
	OffsetM float64
	// ClosestS is when the barrel is closest to the line, the time nearest to
	// contact when it crosses more than once.
	ClosestS float64
}

// Find measures the stay of a barrel on a line. Of several runs the one that
// contains contact is taken, or else the one nearest to ClosestS; when contact
// is outside the run, BehindM or AheadM is negative.
func Find(barrel Path, line Line, lim Limits) Zone {
	lim = lim.filled()
	u := line.Against()
	limit := math.Cos(lim.DirectionDeg * math.Pi / 180)
	near := func(t float64) float64 {
		p, _ := barrel.At(t)
		_, off := line.Place(p)
		return lim.DistanceM - math.Abs(off)
	}
	along := func(t float64) float64 {
		_, v := barrel.At(t)
		speed := math.Hypot(v[0], v[1])
		if speed == 0 {
			return -1 // a barrel at rest has no direction
		}
		return (v[0]*u[0]+v[1]*u[1])/speed - limit
	}
	both := func(t float64) float64 { return math.Min(near(t)/lim.DistanceM, along(t)) }

	ts := grid(lim.FromS, lim.ToS, 0, lim.StepS)
	var out Zone
	out.ClosestS = closest(barrel, line, ts)
	pick := func(f func(float64) float64) Span {
		all := runs(ts, f)
		for _, s := range all {
			if s.gap(0) == 0 {
				return s
			}
		}
		return nearest(all, out.ClosestS)
	}
	out.Near, out.Along, out.Span = pick(near), pick(along), pick(both)
	place := func(t float64) (float64, float64) {
		p, _ := barrel.At(t)
		return line.Place(p)
	}
	at, off := place(0)
	out.OffsetM = off
	if out.OK {
		enter, _ := place(out.EnterS)
		leave, _ := place(out.LeaveS)
		out.BehindM, out.AheadM, out.LengthM = at-enter, leave-at, leave-enter
	}
	return out
}

// closest is when the distance to the line is least: of the crossings the one
// nearest to contact, or else the least of the local minima.
func closest(barrel Path, line Line, ts []float64) float64 {
	off := func(t float64) float64 {
		p, _ := barrel.At(t)
		_, e := line.Place(p)
		return e
	}
	v := make([]float64, len(ts))
	least := 0
	crossing, found := 0.0, false
	for i, t := range ts {
		v[i] = off(t)
		if math.Abs(v[i]) < math.Abs(v[least]) {
			least = i
		}
		if i == 0 || (v[i-1] < 0) == (v[i] < 0) {
			continue
		}
		sign := 1.0
		if v[i] < 0 {
			sign = -1
		}
		if x := cross(func(t float64) float64 { return sign * off(t) }, ts[i-1], t); !found || math.Abs(x) < math.Abs(crossing) {
			crossing, found = x, true
		}
	}
	if found {
		return crossing
	}
	a, b := ts[max(0, least-1)], ts[min(len(ts)-1, least+1)]
	t, _ := peak(func(t float64) float64 { return -1 - math.Abs(off(t)) }, a, b)
	return t
}
