package inspect

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/mark"
)

// pen draws on one frame: it moves places of the steadied picture to where they
// were filmed and knows how thick a line should be.
type pen struct {
	c     *draw.Canvas
	place func(x, y float64) draw.Point
	unit  float64 // px
}

// drawOn draws what is known of a frame on its picture of w × h px, which lies at
// the top left of the canvas.
func (in *inspection) drawOn(c *draw.Canvas, frame, w, h int) {
	back := in.s.Moves[frame].Inverse()
	p := pen{c: c, unit: min(max(float64(min(w, h))/480, 1), 4), place: func(x, y float64) draw.Point {
		u, v := back.Apply(x, y)
		return draw.Point{X: u, Y: v}
	}}
	for _, b := range in.s.Blobs[frame] {
		p.diamond(draw.Point{X: b.X, Y: b.Y}, math.Max(2.5*b.Cross, 2*p.unit), p.unit, draw.Ball.WithOpacity(0.6))
	}
	for _, f := range in.flights {
		p.flight(f, frame)
	}
	for i := range in.marks {
		p.path(&in.marks[i], frame, in.s.TimesS[frame])
	}
	for i := range in.marks {
		m := &in.marks[i]
		for k, cand := range m.candidates[frame] {
			p.candidate(cand, m.colour, k == m.picked(frame))
		}
		p.present(m, frame)
	}
	p.names(in.marks, frame)
	for _, ct := range in.contacts {
		if in.s.TimesS[frame] >= ct.timeS-0.5/in.s.FPS {
			at := p.place(ct.at.X, ct.at.Y)
			p.saltire(at, 7*p.unit)
			p.text("contact", draw.Point{X: at.X, Y: at.Y + 9*p.unit}, draw.Top, draw.KeyLabel)
		}
	}
}

// path draws a mark's path up to a frame, in pieces of one origin: seen unbroken,
// flow dashed, filled dotted. Frames without a sample break it.
func (p pen) path(m *inspectedMark, frame int, nowS float64) {
	end := m.last[frame] + 1
	for i := 1; i < end; {
		if m.samples[i].Frame-m.samples[i-1].Frame > 1 {
			i++
			continue
		}
		how, fresh := stepHow(m.samples, i), nowS-m.samples[i].TimeS < pathFreshS
		at := []draw.Point{p.place(m.samples[i-1].XPx, m.samples[i-1].YPx)}
		for ; i < end && m.samples[i].Frame-m.samples[i-1].Frame <= 1 && stepHow(m.samples, i) == how && (nowS-m.samples[i].TimeS < pathFreshS) == fresh; i++ {
			at = append(at, p.place(m.samples[i].XPx, m.samples[i].YPx))
		}
		p.c.Polyline(at, p.line(how, m.colour, fresh))
	}
	for i := range end {
		s := m.samples[i]
		if nowS-s.TimeS < pathFreshS || s.How != metrics.Seen {
			p.point(p.place(s.XPx, s.YPx), s.How, m.colour)
		}
	}
}

// stepHow is the origin of the path's piece from sample i−1 to sample i, the less
// sure of the two.
func stepHow(s []metrics.Sample, i int) metrics.How {
	for _, how := range []metrics.How{metrics.Filled, metrics.Flow} {
		if s[i-1].How == how || s[i].How == how {
			return how
		}
	}
	return metrics.Seen
}

// line is how a piece of path of one origin looks.
func (p pen) line(how metrics.How, col draw.Colour, fresh bool) draw.Stroke {
	s := draw.Stroke{WidthPx: 1.6 * p.unit, Colour: col, CasingPx: 0.6 * p.unit}
	if !fresh {
		s.Colour, s.CasingPx, s.WidthPx = col.WithOpacity(0.45), 0, p.unit
	}
	switch how {
	case metrics.Flow:
		s.DashPx, s.GapPx = 7*p.unit, 4*p.unit
	case metrics.Filled:
		s.DashPx, s.GapPx = 1.6*p.unit, 3*p.unit
	}
	return s
}

// point marks one sample: a disc where it was seen, a triangle where flow carried
// it, a ring where it was filled in.
func (p pen) point(at draw.Point, how metrics.How, col draw.Colour) {
	switch r := p.unit; how {
	case metrics.Seen:
		p.c.Disc(at, 2*r, draw.Casing)
		p.c.Disc(at, 1.5*r, col)
	case metrics.Flow:
		p.c.FillPolygon(triangle(at, 5.2*r), draw.Ink)
		p.c.FillPolygon(triangle(at, 3.6*r), col)
	default:
		p.c.Ring(at, 2.6*r, 2.2*r, draw.Casing)
		p.c.Ring(at, 2.6*r, 1.1*r, col)
	}
}

func triangle(at draw.Point, r float64) []draw.Point {
	return []draw.Point{{X: at.X, Y: at.Y - r}, {X: at.X + 0.87*r, Y: at.Y + r/2}, {X: at.X - 0.87*r, Y: at.Y + r/2}}
}

// candidate draws a patch as the circle of its area, the fainter the paler it is,
// and the share of it that lies on still pixels as a square of that area. The
// chosen one is bold and has four ticks.
func (p pen) candidate(k mark.Candidate, col draw.Colour, chosen bool) {
	at := p.place(k.X, k.Y)
	r := math.Max(math.Sqrt(k.Mass/math.Pi), 2*p.unit)
	col = col.WithOpacity(palestRing + (1-palestRing)*math.Min(1, math.Max(0, k.Mean)))
	p.patch(at, r, col, chosen)
	if k.Still >= stillShown {
		p.square(at, math.Sqrt(k.Still*k.Mass)/2, col)
	}
}

func (p pen) patch(at draw.Point, r float64, col draw.Colour, chosen bool) {
	width := p.unit
	if chosen {
		width *= 2
	}
	p.c.Ring(at, r, width+1.2*p.unit, draw.Casing.WithOpacity(0.6*col.Opacity))
	p.c.Ring(at, r, width, col)
	if !chosen {
		return
	}
	for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		a := draw.Point{X: at.X + d[0]*(r+2*p.unit), Y: at.Y + d[1]*(r+2*p.unit)}
		b := draw.Point{X: at.X + d[0]*(r+7*p.unit), Y: at.Y + d[1]*(r+7*p.unit)}
		p.c.Polyline([]draw.Point{a, b}, draw.Stroke{WidthPx: width, Colour: col, CasingPx: 0.6 * p.unit})
	}
}

func (p pen) square(at draw.Point, half float64, col draw.Colour) {
	half = math.Max(half, 1.5*p.unit)
	p.c.Polyline([]draw.Point{
		{X: at.X - half, Y: at.Y - half},
		{X: at.X + half, Y: at.Y - half},
		{X: at.X + half, Y: at.Y + half},
		{X: at.X - half, Y: at.Y + half},
		{X: at.X - half, Y: at.Y - half},
	}, draw.Stroke{WidthPx: p.unit, Colour: col, CasingPx: 0.5 * p.unit})
}

// present draws what holds for the frame itself: ellipses of the newest samples
// and the step by flow.
func (p pen) present(m *inspectedMark, frame int) {
	k := m.last[frame]
	for i := max(0, k-ellipseTrail); i <= k; i++ {
		if s := m.samples[i]; frame-s.Frame <= ellipseTrail {
			col, width := m.colour.WithOpacity(0.35), 0.8*p.unit
			if s.Frame == frame {
				col, width = m.colour, 1.3*p.unit
			}
			p.ellipse(s, col, width)
		}
	}
	s, ok := m.at(frame)
	if !ok {
		return
	}
	at := p.place(s.XPx, s.YPx)
	if s.How == metrics.Flow && k > 0 && m.samples[k-1].Frame == frame-1 {
		p.arrow(p.place(m.samples[k-1].XPx, m.samples[k-1].YPx), at)
	}
}

// names writes the marks' names beside them, clear of each other.
func (p pen) names(marks []inspectedMark, frame int) {
	var labels []draw.Label
	var cols []draw.Colour
	for i := range marks {
		if s, ok := marks[i].at(frame); ok {
			labels = append(labels, draw.Label{Text: spoken(marks[i].name), At: p.place(s.XPx, s.YPx)})
			cols = append(cols, marks[i].colour)
		}
	}
	style := p.textStyle()
	for i, l := range p.c.PlaceLabels(labels, 15*p.unit, style, nil) {
		p.c.Line(l.Of, l.At, 0.7*p.unit, cols[i].WithOpacity(0.7))
		style.Anchor, style.Colour = l.Anchor, cols[i]
		p.c.Text(l.Text, l.At, style)
	}
}

func (p pen) textStyle() draw.TextStyle {
	return draw.TextStyle{SizePx: 11 * p.unit, Bold: true, HaloPx: 1.5 * p.unit, Inside: true}
}

// ellipse outlines where the sample may lie.
func (p pen) ellipse(s metrics.Sample, col draw.Colour, width float64) {
	mid, d := (s.VarXX+s.VarYY)/2, math.Hypot((s.VarXX-s.VarYY)/2, s.VarXY)
	a, b := math.Sqrt(math.Max(0, mid+d)), math.Sqrt(math.Max(0, mid-d))
	dir := 0.5 * math.Atan2(2*s.VarXY, s.VarXX-s.VarYY)
	sin, cos := math.Sincos(dir)
	var at []draw.Point
	for i := range 49 {
		v, u := math.Sincos(2 * math.Pi * float64(i) / 48)
		u, v = ellipseSD*ellipseTimes*a*u, ellipseSD*ellipseTimes*b*v
		at = append(at, p.place(s.XPx+u*cos-v*sin, s.YPx+u*sin+v*cos))
	}
	p.c.Polyline(at, draw.Stroke{WidthPx: width, Colour: col, CasingPx: 0.4 * width, Casing: draw.Casing.WithOpacity(0.6 * col.Opacity)})
}

func (p pen) arrow(from, to draw.Point) {
	p.c.Arrow(from, to, 2.4*p.unit, 7.5*p.unit, draw.Ink)
	p.c.Arrow(from, to, 1.2*p.unit, 6*p.unit, draw.Paper)
}

// flight draws a chosen flight up to a frame: its line is unbroken to the hitter
// and dashed away from them.
func (p pen) flight(f inspectedFlight, frame int) {
	var at []draw.Point
	for _, s := range f.samples {
		if s.Frame <= frame {
			at = append(at, p.place(s.XPx, s.YPx))
		}
	}
	s := p.flightLine(f.out)
	p.c.Polyline(at, s)
	for i, q := range at {
		size := 3 * p.unit
		if f.samples[i].Frame == frame {
			size = 6.5 * p.unit
		}
		p.ball(q, size, f.out)
	}
}

// ball is a sighting of a chosen flight: an open diamond to the hitter, a filled
// one away from them.
func (p pen) ball(at draw.Point, half float64, out bool) {
	p.diamond(at, half, 2*p.unit, draw.Ball)
	if out {
		p.c.FillPolygon([]draw.Point{{X: at.X, Y: at.Y - half}, {X: at.X + half, Y: at.Y}, {X: at.X, Y: at.Y + half}, {X: at.X - half, Y: at.Y}}, draw.Ball)
	}
}

func (p pen) flightLine(out bool) draw.Stroke {
	s := draw.Stroke{WidthPx: 1.4 * p.unit, Colour: draw.Ball, CasingPx: 0.6 * p.unit}
	if out {
		s.DashPx, s.GapPx = 6*p.unit, 4*p.unit
	}
	return s
}

func (p pen) diamond(at draw.Point, half, width float64, col draw.Colour) {
	p.c.Polyline([]draw.Point{
		{X: at.X, Y: at.Y - half}, {X: at.X + half, Y: at.Y}, {X: at.X, Y: at.Y + half}, {X: at.X - half, Y: at.Y}, {X: at.X, Y: at.Y - half},
	}, draw.Stroke{WidthPx: width, Colour: col, CasingPx: 0.5 * p.unit, Casing: draw.Casing.WithOpacity(0.6 * col.Opacity)})
}

// saltire is the sign of contact.
func (p pen) saltire(at draw.Point, half float64) {
	s := draw.Stroke{WidthPx: 2 * p.unit, Colour: draw.KeyLabel, CasingPx: p.unit}
	p.c.Polyline([]draw.Point{{X: at.X - half, Y: at.Y - half}, {X: at.X + half, Y: at.Y + half}}, s)
	p.c.Polyline([]draw.Point{{X: at.X - half, Y: at.Y + half}, {X: at.X + half, Y: at.Y - half}}, s)
}

func (p pen) text(text string, at draw.Point, a draw.Anchor, col draw.Colour) {
	s := p.textStyle()
	s.Anchor, s.Colour = a, col
	p.c.Text(text, at, s)
}
