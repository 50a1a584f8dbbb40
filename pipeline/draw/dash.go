package draw

import "math"

// maxDashes bounds the dashes of one segment.
const maxDashes = 50_000

// dashes puts a broken line into the mask. Dashes count along the whole line,
// corners included; more is how much wider and longer each is drawn, for its
// casing.
func (c *Canvas) dashes(points []Point, radius, more, dash, gap float64) {
	dash = min(dash, far)
	period := max(dash+min(gap, far), 1) // a finer pattern cannot be seen
	start := 0.0                         // way along the line at the segment's first point
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if !finite(a, b) {
			continue
		}
		a, b = Point{bounded(a.X), bounded(a.Y)}, Point{bounded(b.X), bounded(b.Y)}
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length == 0 {
			continue
		}
		first, last := c.visible(a, b, length, radius+more)
		on := func(s float64) Point {
			return Point{a.X + (b.X-a.X)*s/length, a.Y + (b.Y-a.Y)*s/length}
		}
		if (last-first)/period > maxDashes {
			// A line this wide covers the frame, broken or not.
			c.mask.capsule(a, b, radius+more)
			start += length
			continue
		}
		for k := math.Floor((start + first) / period); k*period-start < last; k++ {
			from, to := k*period-start, k*period-start+dash
			// The round ends lie within the dash where it is long enough; at a
			// corner the dash goes on.
			from, to = from+radius, to-radius
			if from > to {
				from, to = (from+to)/2, (from+to)/2
			}
			if from, to = max(from, 0), min(to, length); from <= to {
				c.mask.capsule(on(from), on(to), radius+more)
			}
		}
		start += length
	}
}

// visible returns the part of the segment, as ways from a, that may show in the
// frame; first ≥ last when none does.
func (c *Canvas) visible(a, b Point, length, margin float64) (first, last float64) {
	first, last = 0, length
	for _, side := range [2]struct{ from, to, end float64 }{
		{a.X, b.X, float64(c.frame.W)}, {a.Y, b.Y, float64(c.frame.H)},
	} {
		lo, hi := -margin-1, side.end+margin+1
		step := (side.to - side.from) / length
		if step == 0 {
			if side.from < lo || side.from > hi {
				return 0, 0
			}
			continue
		}
		enter, leave := (lo-side.from)/step, (hi-side.from)/step
		if enter > leave {
			enter, leave = leave, enter
		}
		first, last = max(first, enter), min(last, leave)
	}
	return first, last
}
