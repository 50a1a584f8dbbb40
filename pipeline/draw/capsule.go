package draw

import "math"

// capsule covers all pixels within radius of the segment from a to b, with a
// soft border one pixel wide. The covered area is that of the exact shape but
// for π/12 px² at the two ends.
func (m *mask) capsule(a, b Point, radius float64) {
	if !finite(a, b) || !(radius > 0) {
		return
	}
	a, b = Point{bounded(a.X), bounded(a.Y)}, Point{bounded(b.X), bounded(b.Y)}
	radius = min(radius, far)
	reach := radius + 0.5
	if max(a.X, b.X)+reach < 0 || min(a.X, b.X)-reach > float64(m.w) {
		return
	}
	if a.Y > b.Y {
		a, b = b, a
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	length2 := dx*dx + dy*dy
	inv := 0.0
	if length2 > 0 {
		inv = 1 / length2
	}
	y0 := int(math.Ceil(max(a.Y-reach, 0)))
	y1 := int(math.Floor(min(b.Y+reach, float64(m.h-1))))
	inner2, reach2 := max(radius-0.5, 0)*max(radius-0.5, 0), reach*reach
	for y := y0; y <= y1; y++ {
		fy := float64(y)
		left, right := capsuleSpan(a, b, reach, fy)
		x0, x1 := int(math.Ceil(max(left, 0))), int(math.Floor(min(right, float64(m.w-1))))
		if x0 > x1 {
			continue
		}
		m.touch(y, x0, x1+1)
		row := m.pix[y*m.w:][:m.w]
		for x := x0; x <= x1; x++ {
			px, py := float64(x)-a.X, fy-a.Y
			t := min(max((px*dx+py*dy)*inv, 0), 1)
			ex, ey := px-t*dx, py-t*dy
			d2 := ex*ex + ey*ey
			switch {
			case d2 >= reach2:
			case d2 <= inner2 && radius >= 0.5:
				row[x] = 255
			default:
				row[x] = max(row[x], uint8(min(reach-math.Sqrt(d2), 1)*255+0.5))
			}
		}
	}
}

// capsuleSpan returns the span of row y within reach of the segment, a above b:
// that of the two ends and of the strip between them.
func capsuleSpan(a, b Point, reach, y float64) (left, right float64) {
	left, right = math.Inf(1), math.Inf(-1)
	for _, p := range [2]Point{a, b} {
		if h := reach*reach - (y-p.Y)*(y-p.Y); h >= 0 {
			w := math.Sqrt(h)
			left, right = min(left, p.X-w), max(right, p.X+w)
		}
	}
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length == 0 {
		return left, right
	}
	nx, ny := -(b.Y-a.Y)/length*reach, (b.X-a.X)/length*reach
	corners := [4]Point{{a.X + nx, a.Y + ny}, {b.X + nx, b.Y + ny}, {b.X - nx, b.Y - ny}, {a.X - nx, a.Y - ny}}
	for i, p := range corners {
		q := corners[(i+1)%4]
		if (p.Y-y)*(q.Y-y) > 0 || p.Y == q.Y {
			continue
		}
		x := p.X + (y-p.Y)/(q.Y-p.Y)*(q.X-p.X)
		left, right = min(left, x), max(right, x)
	}
	return left, right
}
