package overlay

import (
	"math"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
)

// pitchLine is the pitch line as it is drawn, px of the screen.
type pitchLine struct {
	from, contact, to draw.Point    // towards the pitcher, at contact, beyond it
	band              [4]draw.Point // empty when the zone's width is not known
	banded            bool
	zone              *zoneBracket
}

// zoneBracket is the length of the zone, marked beside the line.
type zoneBracket struct {
	behind, ahead  draw.Point // ends, already beside the line
	tick           draw.Point // from an end towards the line
	enterS, leaveS float64    // clip's clock
	text           string
}

// newPitchLine places the line of one swing on a screen; nil when there is none.
// scaled says that metres mean something in this clip.
func newPitchLine(cur metrics.Curves, sw metrics.Swing, scaled bool, scr Screen) *pitchLine {
	if !cur.Tracked {
		return nil
	}
	before, after := cur.View.At(cur.Line[0], 0), cur.View.At(cur.Line[1], 0)
	mid := geom.World{X: (before.X + after.X) / 2, Z: (before.Z + after.Z) / 2}
	ux, uz := before.X-mid.X, before.Z-mid.Z
	on := func(m float64) draw.Point {
		return scr.On(cur.View.Project(geom.World{X: mid.X + m*ux, Z: mid.Z + m*uz}))
	}
	// Where the barrel stands beside the line at contact, m.
	foot := along(on(0), on(1), scr.On(cur.Barrel(cur.ContactS)))
	turn := 0.0
	if sw.Line != "tracked" {
		// A line from the card does not know where the ball was met.
		turn = foot
	}
	l := &pitchLine{from: on(turn + lineBeforeM), contact: on(turn), to: on(turn - lineAfterM)}
	if !finitePoint(l.from) || !finitePoint(l.contact) || !finitePoint(l.to) {
		return nil
	}
	if !scaled || !(cur.LinePx > 0) {
		return l
	}
	// Across the line, down the picture.
	dx, dy := l.from.X-l.to.X, l.from.Y-l.to.Y
	lengthPx := math.Hypot(dx, dy)
	if lengthPx == 0 {
		return l
	}
	nx, ny := -dy/lengthPx, dx/lengthPx
	if ny < 0 {
		nx, ny = -nx, -ny
	}
	halfPx := scr.Size(cur.LinePx)
	side := func(p draw.Point, k float64) draw.Point {
		return draw.Point{X: p.X + k*nx, Y: p.Y + k*ny}
	}
	front := on(turn + bandBeforeM)
	l.band = [4]draw.Point{side(front, -halfPx), side(l.to, -halfPx), side(l.to, halfPx), side(front, halfPx)}
	l.banded = true
	length, behind, ahead := sw.Metrics[catalogue.ZoneLengthM], sw.Metrics[catalogue.ZoneBehindM], sw.Metrics[catalogue.ZoneAheadM]
	enter, leave := sw.Metrics[catalogue.ZoneEnterS], sw.Metrics[catalogue.ZoneLeaveS]
	if length.Known() && behind.Known() && ahead.Known() && enter.Known() && leave.Known() {
		off := halfPx * 1.35
		l.zone = &zoneBracket{
			behind: side(on(foot-behind.Float()), off), ahead: side(on(foot+ahead.Float()), off),
			tick:   draw.Point{X: -nx * halfPx * 0.35, Y: -ny * halfPx * 0.35},
			enterS: cur.ContactS + enter.Float(), leaveS: cur.ContactS + leave.Float(),
			text: number(length, "%.2f m", 1),
		}
	}
	return l
}

// draw puts the band and the line on the canvas.
func (l *pitchLine) draw(c *draw.Canvas, place func(draw.Point) draw.Point, widthPx float64) {
	if l.banded {
		var b [4]draw.Point
		for i, p := range l.band {
			b[i] = place(p)
		}
		c.FillPolygon(b[:], draw.Band)
		for _, e := range [2][2]draw.Point{{b[0], b[1]}, {b[3], b[2]}} {
			c.Line(e[0], e[1], widthPx*0.4, draw.BandEdge)
		}
	}
	style := draw.Stroke{WidthPx: widthPx * 0.8, Colour: draw.PitchLine, CasingPx: widthPx * 0.25}
	c.Polyline([]draw.Point{place(l.from), place(l.contact)}, style)
	style.DashPx, style.GapPx = 3.5*widthPx, 2.5*widthPx
	c.Polyline([]draw.Point{place(l.contact), place(l.to)}, style)
}

// draw grows the bracket from its rear end as the zone is passed.
func (z *zoneBracket) draw(c *draw.Canvas, place func(draw.Point) draw.Point, t, widthPx float64) {
	if t < z.enterS || !(z.leaveS > z.enterS) {
		return
	}
	k := math.Min(1, (t-z.enterS)/(z.leaveS-z.enterS))
	tip := draw.Point{X: z.behind.X + k*(z.ahead.X-z.behind.X), Y: z.behind.Y + k*(z.ahead.Y-z.behind.Y)}
	shape := []draw.Point{place(z.ticked(z.behind)), place(z.behind), place(tip)}
	if k == 1 {
		shape = append(shape, place(z.ticked(z.ahead)))
	}
	c.Polyline(shape, draw.Stroke{WidthPx: widthPx * 0.6, Colour: draw.KeyLabel, CasingPx: widthPx * 0.3})
}

func (z *zoneBracket) ticked(p draw.Point) draw.Point {
	return draw.Point{X: p.X + z.tick.X, Y: p.Y + z.tick.Y}
}

// middle is where the value belongs.
func (z *zoneBracket) middle() draw.Point {
	return draw.Point{X: (z.behind.X + z.ahead.X) / 2, Y: (z.behind.Y + z.ahead.Y) / 2}
}

// along is how far p stands along the line through a and b: 0 at a, 1 at b.
func along(a, b, p draw.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	return ((p.X-a.X)*dx + (p.Y-a.Y)*dy) / (dx*dx + dy*dy)
}

func finitePoint(p draw.Point) bool {
	return !math.IsNaN(p.X) && !math.IsNaN(p.Y) && !math.IsInf(p.X, 0) && !math.IsInf(p.Y, 0)
}
