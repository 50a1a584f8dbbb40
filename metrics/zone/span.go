package zone

import "math"

// Span is a run of time. OK is false when there is none, and then the times are
// zero. OpenStart or OpenEnd says that the run reaches an end of the search, so
// that its true end lies there or beyond.
type Span struct {
	EnterS, LeaveS     float64
	OpenStart, OpenEnd bool
	OK                 bool
}

// DurationS is the length of the run.
func (s Span) DurationS() float64 { return s.LeaveS - s.EnterS }

// gap is the distance of t from the run, 0 inside.
func (s Span) gap(t float64) float64 {
	return math.Max(0, math.Max(s.EnterS-t, t-s.LeaveS))
}

// rootTolS is how closely the ends of a run are found.
const rootTolS = 1e-10

// grid is a set of times from one end to the other that contains the pivot, so
// that a run around the pivot is never stepped over.
func grid(from, to, pivot, step float64) []float64 {
	pivot = math.Min(math.Max(pivot, from), to)
	var out []float64
	for i := int(math.Ceil((pivot - from) / step)); i > 0; i-- {
		out = append(out, math.Max(from, pivot-float64(i)*step))
	}
	for i := 0; ; i++ {
		t := pivot + float64(i)*step
		if t >= to {
			return append(out, to)
		}
		out = append(out, t)
	}
}

// runs finds where f ≥ 0 on the grid, ends refined by bisection. A peak of f
// that stays below zero on the grid is climbed, so that a run shorter than the
// step is found as well.
func runs(ts []float64, f func(float64) float64) []Span {
	v := make([]float64, len(ts))
	for i, t := range ts {
		v[i] = f(t)
	}
	var out []Span
	last := len(ts) - 1
	open := math.Inf(-1)
	inside := false
	var start Span
	for i := range ts {
		switch {
		case v[i] >= 0 && !inside:
			inside = true
			start = Span{EnterS: ts[i], OpenStart: i == 0, OK: true}
			if i > 0 {
				start.EnterS = cross(f, ts[i-1], ts[i])
			}
		case v[i] < 0 && inside:
			inside = false
			start.LeaveS = cross(f, ts[i], ts[i-1])
			out = append(out, start)
		case v[i] < 0 && i > 0 && i < last && v[i-1] < 0 && v[i+1] < 0 && v[i] >= v[i-1] && v[i] >= v[i+1] && v[i] > math.Min(v[i-1], v[i+1]):
			if t, top := peak(f, ts[i-1], ts[i+1]); top >= 0 && t > open {
				out = append(out, Span{EnterS: cross(f, ts[i-1], t), LeaveS: cross(f, ts[i+1], t), OK: true})
				open = t
			}
		}
	}
	if inside {
		start.LeaveS, start.OpenEnd = ts[last], true
		out = append(out, start)
	}
	return out
}

// cross bisects between a time outside (f < 0) and one inside.
func cross(f func(float64) float64, outside, inside float64) float64 {
	for math.Abs(inside-outside) > rootTolS/4 {
		mid := (outside + inside) / 2
		if mid == outside || mid == inside {
			break
		}
		if f(mid) >= 0 {
			inside = mid
		} else {
			outside = mid
		}
	}
	return inside
}

// peak climbs to the maximum of f between a and b by golden section, and stops
// as soon as it has reached zero.
func peak(f func(float64) float64, a, b float64) (t, top float64) {
	const ratio = 0.6180339887498949
	x1, x2 := b-ratio*(b-a), a+ratio*(b-a)
	f1, f2 := f(x1), f(x2)
	for b-a > 1e-8 && f1 < 0 && f2 < 0 {
		if f1 >= f2 {
			b, x2, f2 = x2, x1, f1
			x1 = b - ratio*(b-a)
			f1 = f(x1)
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + ratio*(b-a)
			f2 = f(x2)
		}
	}
	if f1 >= f2 {
		return x1, f1
	}
	return x2, f2
}

// nearest is the run that contains t, or else the one nearest to it.
func nearest(all []Span, t float64) Span {
	var best Span
	for _, s := range all {
		if !best.OK || s.gap(t) < best.gap(t) {
			best = s
		}
	}
	return best
}
