package plot

import (
	"math"

	"ashline/pipeline/svg"
)

// labels places names beside their points where they hide least.
type labels struct {
	from, to svg.XY   // where they may stand
	points   []svg.XY // of curves
	boxes    [][2]svg.XY
}

// put writes a name beside a point.
func (l *labels) put(c *svg.Canvas, at svg.XY, name string) {
	const gap, high = 10, fontPx
	wide := 0.62 * fontPx * float64(len([]rune(name)))
	var best [2]svg.XY
	least := math.Inf(1)
	for i, d := range []svg.XY{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
		mid := svg.XY{at[0] + d[0]*(gap+wide/2), at[1] + d[1]*(gap+high/2)}
		box := [2]svg.XY{{mid[0] - wide/2, mid[1] - high/2}, {mid[0] + wide/2, mid[1] + high/2}}
		if cost := l.cost(box) + 0.1*float64(i); cost < least {
			least, best = cost, box
		}
	}
	l.boxes = append(l.boxes, best)
	c.Bold(svg.XY{(best[0][0] + best[1][0]) / 2, best[1][1] - 3}, svg.Middle, name)
}

// cost says how much a box would hide, or how far it would stick out.
func (l *labels) cost(b [2]svg.XY) float64 {
	n := 0.0
	for _, p := range l.points {
		if p[0] >= b[0][0]-3 && p[0] <= b[1][0]+3 && p[1] >= b[0][1]-3 && p[1] <= b[1][1]+3 {
			n++
		}
	}
	for _, o := range l.boxes {
		if b[0][0] < o[1][0] && o[0][0] < b[1][0] && b[0][1] < o[1][1] && o[0][1] < b[1][1] {
			n += 100
		}
	}
	for k := range 2 {
		n += 50 * (math.Max(0, l.from[k]-b[0][k]) + math.Max(0, b[1][k]-l.to[k]))
	}
	return n
}
