package inspect

import (
	"ashline/metrics"
	"ashline/pipeline/draw"
)

// legend explains the signs, in rows that are filled from left to right.
type legend struct {
	textPx float64
	items  []legendItem
	at     []draw.Point // left ends, on the middle of the row
}

type legendItem struct {
	text string
	sign func(p pen, at draw.Point)
}

// legendItems are the signs in order.
func legendItems() []legendItem {
	grey := draw.Paper.WithOpacity(0.9)
	piece := func(how metrics.How) func(pen, draw.Point) {
		return func(p pen, at draw.Point) {
			a, b := draw.Point{X: at.X - 14*p.unit, Y: at.Y}, draw.Point{X: at.X + 14*p.unit, Y: at.Y}
			p.c.Polyline([]draw.Point{a, b}, p.line(how, grey, true))
			p.point(at, how, grey)
		}
	}
	fly := func(out bool) func(pen, draw.Point) {
		return func(p pen, at draw.Point) {
			p.c.Polyline([]draw.Point{{X: at.X - 14*p.unit, Y: at.Y}, {X: at.X + 14*p.unit, Y: at.Y}}, p.flightLine(out))
			p.ball(at, 4.5*p.unit, out)
		}
	}
	return []legendItem{
		{"patch of the mark's hue, as the circle of its area", func(p pen, at draw.Point) { p.patch(at, 5*p.unit, grey, false) }},
		{"paler patch", func(p pen, at draw.Point) { p.patch(at, 5*p.unit, grey.WithOpacity(palestRing), false) }},
		{"its share on still pixels, as area", func(p pen, at draw.Point) {
			p.patch(at, 6*p.unit, grey.WithOpacity(0.6), false)
			p.square(at, 3.5*p.unit, grey)
		}},
		{"chosen patch", func(p pen, at draw.Point) { p.patch(at, 4*p.unit, grey, true) }},
		{"path seen", piece(metrics.Seen)},
		{"carried by flow", piece(metrics.Flow)},
		{"filled in", piece(metrics.Filled)},
		{"step of the flow", func(p pen, at draw.Point) {
			p.arrow(draw.Point{X: at.X - 12*p.unit, Y: at.Y + 3*p.unit}, draw.Point{X: at.X + 12*p.unit, Y: at.Y - 3*p.unit})
		}},
		{"2 s.d. of a sample, drawn 5 × larger", func(p pen, at draw.Point) {
			at0 := pen{c: p.c, unit: p.unit, place: func(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }}
			at0.ellipse(metrics.Sample{XPx: at.X, YPx: at.Y, VarXX: p.unit * p.unit, VarYY: 0.25 * p.unit * p.unit}, grey, 1.3*p.unit)
		}},
		{"moving blob", func(p pen, at draw.Point) { p.diamond(at, 5*p.unit, p.unit, draw.Ball.WithOpacity(0.6)) }},
		{"pitch", fly(false)},
		{"ball after contact", fly(true)},
		{"contact", func(p pen, at draw.Point) { p.saltire(at, 5*p.unit) }},
		{"course: seen, flow, filled, refused (patches, none chosen)", func(p pen, at draw.Point) {
			for k := range int(foundKinds) - 1 {
				x, kind := at.X+(float64(k)*8-16)*p.unit, foundSeen-found(k)
				p.c.Panel(draw.Box{X0: x, Y0: at.Y + (7-17*barTall[kind])*p.unit, X1: x + 6*p.unit, Y1: at.Y + 7*p.unit}, 0, grey)
			}
		}},
	}
}

// placeLegend lays the signs out from topY on and returns where the last row ends.
func placeLegend(c *draw.Canvas, textPx, left, right, topY, row float64) (legend, float64) {
	l := legend{textPx: textPx * 0.9, items: legendItems()}
	x, y := left, topY+row/2
	for _, it := range l.items {
		wide := legendSign*textPx + c.Measure(it.text, draw.TextStyle{SizePx: l.textPx}).W()
		if x > left && x+wide > right {
			x, y = left, y+row
		}
		l.at = append(l.at, draw.Point{X: x, Y: y})
		x += wide + legendGap*textPx
	}
	return l, y + row/2
}

func (l legend) draw(c *draw.Canvas) {
	p := pen{c: c, unit: l.textPx / 11}
	for i, it := range l.items {
		at := l.at[i]
		it.sign(p, draw.Point{X: at.X + 1.5*l.textPx, Y: at.Y})
		c.Text(it.text, draw.Point{X: at.X + legendSign*l.textPx, Y: at.Y}, draw.TextStyle{SizePx: l.textPx, Colour: draw.Paper.WithOpacity(0.85), Anchor: draw.Left})
	}
}
