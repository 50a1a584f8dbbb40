package guide

import (
	"fmt"
	"math"
	"strings"

	"ashline/metrics/zone"
	"ashline/pipeline/svg"
)

// Drawing is one picture of the page.
type Drawing struct {
	File string // in metrics/figures
	Alt  string // what it shows, in words
	SVG  []byte
}

// sketch is a drawing before it is drawn.
type sketch struct {
	file, title, desc string
	height            int
	draw              func(c *svg.Canvas)
}

// sketches are the drawings, by the order of the page.
var sketches = []sketch{
	{"frame.svg", "The plane of the pitch", "Seen from the side: x runs towards the pitcher, z up, both from the barrel at contact; time is 0 there.", 250, drawFrame},
	{"keys.svg", "Key positions on the barrel's path", "The barrel's path from launch down behind the hitter, through slot, lag and contact, and up to the finish, with the hands' path inside it.", 440, drawKeys},
	{"attack.svg", "Attack angle, descent and gap", "At contact the barrel rises by the attack angle, the pitch falls by the descent, and the gap is the difference of the two.", 250, drawAttack},
	{"offset.svg", "Offset", "The barrel's centre lies above the pitch line at contact, which counts as a positive offset; the ball's centre lies on the line.", 270, drawOffset},
	{"zone.svg", "Zone", "The barrel enters the zone behind contact and leaves it ahead of contact; bars show when it is near the line, along the line, and both.", 405, drawZone},
	{"timing.svg", "Timing window", "The same swing at its earliest, as it was and at its latest with solid contact, and the windows in milliseconds.", 390, drawTiming},
	{"hands.svg", "The hands' path", "The hands' path from launch to contact and the straight line between its ends.", 230, drawHands},
	{"slot.svg", "Slot and lag", "Left: at slot, the distances along the pitch from back elbow to back hip and from hands to back elbow. Right: at lag, the distance from belt buckle to hands.", 370, drawSlot},
	{"arm.svg", "Lead arm, head and shoulders", "Left: the lead elbow's angle, small when bent and 180 degrees when straight. Right: the head's drift and the turn of the shoulder line.", 340, drawArm},
	{"finish.svg", "Extension and finish", "After contact the barrel travels towards the pitcher by the extension and rises to the finish height.", 420, drawFinish},
}

// Drawings draws all drawings.
func Drawings() []Drawing {
	out := make([]Drawing, len(sketches))
	for i, d := range sketches {
		out[i] = Drawing{File: d.file, Alt: d.desc, SVG: svg.Draw(widthPx, d.height, d.title, d.desc, d.draw)}
	}
	return out
}

// pos leaves the velocity of a motion out.
func pos(p zone.Path) func(float64) [2]float64 {
	return func(t float64) [2]float64 {
		at, _ := p.At(t)
		return at
	}
}

// onLine is the place on the pitch line at alongM from its point.
func onLine(l zone.Line, alongM float64) [2]float64 {
	u := l.Against()
	return [2]float64{l.PointM[0] + alongM*u[0], l.PointM[1] + alongM*u[1]}
}

// pitchIn draws the pitch line from the pitcher's side to the point, whole, and
// carried on beyond it, dashed.
func pitchIn(c *svg.Canvas, w window, l zone.Line, fromM, toM float64) {
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 3}, w.at(onLine(l, fromM)), w.at(l.PointM))
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 3, Dash: "9 7"}, w.at(l.PointM), w.at(onLine(l, toM)))
}

func drawFrame(c *svg.Canvas) {
	w := window{originPx: svg.XY{300, 150}, pxPerM: 330}
	l := example.line()
	pitchIn(c, w, l, 0.75, -0.75)
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, -0.032, 0.022, pos(example))
	o := w.at([2]float64{})
	c.Arrow(svg.Pen{}, svg.XY{30, o[1]}, svg.XY{575, o[1]})
	c.Arrow(svg.Pen{}, svg.XY{o[0], 240}, svg.XY{o[0], 15})
	c.Dot(o, svg.Ink)
	for i := range 4 {
		c.Circle(w.at(onLine(l, 0.17*float64(i))), ballR*w.pxPerM, svg.Pen{Fill: svg.Paper})
	}
	c.Text(svg.XY{o[0] + 12, 24}, svg.Left, "z: up")
	c.Text(svg.XY{575, o[1] + 22}, svg.Right, "x: towards the pitcher")
	c.Text(svg.XY{575, 104}, svg.Right, "the pitch")
	c.Text(svg.XY{25, 80}, svg.Left, "the barrel")
	c.Text(svg.XY{o[0] - 14, o[1] + 46}, svg.Right, "behind contact: x below 0")
	c.Text(svg.XY{o[0] - 14, o[1] + 66}, svg.Right, "before contact: t below 0")
	c.Bold(svg.XY{o[0] + 12, o[1] + 46}, svg.Left, "contact: x = 0, z = 0, t = 0")
}

func drawKeys(c *svg.Canvas) {
	s := example
	w := window{originPx: svg.XY{393, 375}, pxPerM: 285}
	launch, lag, finish := s.launchS(), s.lagS(), s.finishS()
	z := s.zone()
	l := s.line()
	pitchIn(c, w, l, 0.62, -0.3)
	w.path(c, svg.Pen{Hue: svg.Hands, Width: 2.5, Dash: "2 5"}, launch, finish, s.hands)
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, launch, z.EnterS, pos(s))
	w.path(c, svg.Pen{Hue: svg.InZone, Width: 8}, z.EnterS, z.LeaveS, pos(s))
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, z.LeaveS, finish, pos(s))
	for _, k := range []struct {
		t    float64
		name string
		dx   float64
		dy   float64
		a    svg.Anchor
	}{
		{launch, "launch", -10, -26, svg.Right},
		{slotS, "slot", -12, -2, svg.Right},
		{lag, "lag", -12, 14, svg.Right},
		{0, "contact", 6, 30, svg.Left},
		{finish, "finish", -14, -12, svg.Right},
	} {
		p := w.at(pos(s)(k.t))
		c.Lines(svg.Pen{Hue: svg.Grey, Width: 2.5}, w.at(s.hands(k.t)), p)
		c.Dot(w.at(s.hands(k.t)), svg.Hands)
		c.Dot(p, svg.Ink)
		c.Bold(svg.XY{p[0] + k.dx, p[1] + k.dy}, k.a, k.name)
		if k.t != 0 {
			c.Text(svg.XY{p[0] + k.dx, p[1] + k.dy + 17}, k.a, ms(k.t))
		}
	}
	in := w.at(pos(s)(z.EnterS))
	c.Text(svg.XY{in[0] + 20, in[1] + 26}, svg.Middle, "zone")
	h := w.at(s.hands(0.03))
	c.Text(svg.XY{h[0] - 12, h[1] - 4}, svg.Right, "hands")
	b := w.at(pos(s)(s.farS()))
	c.Text(svg.XY{b[0] - 12, b[1] + 5}, svg.Right, "barrel's path")
	c.Text(svg.XY{590, w.at(onLine(l, 0.5))[1] + 32}, svg.Right, "pitch line")
}

// ms writes a time with its sign.
func ms(t float64) string {
	if t == 0 {
		return "0 ms"
	}
	return strings.Replace(fmt.Sprintf("%+.0f ms", 1000*t), "-", "−", 1)
}

func drawAttack(c *svg.Canvas) {
	s := example
	s.attackDeg, s.offsetM = 15, 0
	const reach = 330
	w := window{originPx: svg.XY{110, 180}, pxPerM: 640}
	o := w.at([2]float64{})
	point := func(deg, r float64) svg.XY {
		sin, cos := math.Sincos(rad(deg))
		return svg.XY{o[0] + r*cos, o[1] - r*sin}
	}
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, point(0, -100), point(0, reach+150))
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 3, Dash: "9 7"}, point(s.descentDeg, -100), o)
	c.Arrow(svg.Pen{Hue: svg.Pitch, Width: 3}, point(s.descentDeg, reach+120), point(s.descentDeg, 20))
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, -0.008, 0.013, pos(s))
	c.Arrow(svg.Pen{Hue: svg.InZone, Width: 3}, o, point(s.attackDeg, reach))
	c.Arc(svg.Pen{Hue: svg.InZone, Width: 2}, o, 230, 0, s.attackDeg)
	c.Arc(svg.Pen{Hue: svg.Pitch, Width: 3}, o, 270, 0, s.descentDeg)
	c.Arc(svg.Pen{Width: 3}, o, 305, s.descentDeg, s.attackDeg)
	c.Dot(o, svg.Ink)
	c.Text(svg.XY{o[0], o[1] + 26}, svg.Middle, "contact")
	c.Bold(svg.XY{o[0] + 128, o[1] - 66}, svg.Right, fmt.Sprintf("attack %.0f°", s.attackDeg))
	c.Lines(svg.Pen{Width: 1}, svg.XY{o[0] + 132, o[1] - 66}, point(7.5, 228))
	c.Bold(svg.XY{o[0] + 250, o[1] + 40}, svg.Middle, fmt.Sprintf("descent %.0f°", s.descentDeg))
	c.Lines(svg.Pen{Width: 1}, svg.XY{o[0] + 258, o[1] + 24}, point(3, 268))
	c.Bold(point(9.6, 315), svg.Left, fmt.Sprintf("gap %.0f°", s.attackDeg-s.descentDeg))
	c.Text(svg.XY{590, o[1] + 20}, svg.Right, "level")
	c.Text(svg.XY{590, o[1] - 56}, svg.Right, "the pitch")
	tip := point(s.attackDeg, reach)
	c.Text(svg.XY{tip[0] + 8, tip[1] + 2}, svg.Left, "barrel's velocity")
	top, _ := s.At(0.013)
	end := w.at(top)
	c.Text(svg.XY{end[0] - 10, end[1] - 4}, svg.Right, "barrel's path")
}

func drawOffset(c *svg.Canvas) {
	s := example
	s.offsetM = 0.020
	l := s.line()
	w := window{originPx: svg.XY{265, 105}, pxPerM: 1750}
	pitchIn(c, w, l, 0.11, -0.21)
	c.Circle(w.at([2]float64{}), barrelR*w.pxPerM, svg.Pen{Hue: svg.InZone, Width: 3, Fill: svg.Band, Fade: 0.25})
	c.Circle(w.at(l.PointM), ballR*w.pxPerM, svg.Pen{Width: 2})
	u := l.Against()
	foot := w.at([2]float64{s.offsetM * u[1], -s.offsetM * u[0]})
	o := w.at([2]float64{})
	c.Dot(o, svg.Ink)
	c.Dot(w.at(l.PointM), svg.Ink)
	c.Span(svg.Pen{Width: 2.5}, o, foot)
	c.Text(svg.XY{o[0], 30}, svg.Middle, "barrel, end on")
	ball := w.at(l.PointM)
	c.Text(svg.XY{ball[0] + 10, ball[1] + 90}, svg.Left, "ball, touching")
	c.Text(svg.XY{10, 110}, svg.Left, "above the line: +")
	c.Text(svg.XY{10, 215}, svg.Left, "below the line: −")
	c.Text(svg.XY{595, 140}, svg.Right, "pitch line")
	c.Bold(svg.XY{200, 255}, svg.Left, fmt.Sprintf("offset %+.0f mm", 1000*s.zone().OffsetM))
	c.Lines(svg.Pen{Width: 1}, svg.XY{250, 240}, svg.XY{(o[0] + foot[0]) / 2, (o[1]+foot[1])/2 + 3})
}

func drawHands(c *svg.Canvas) {
	s := example
	w := window{originPx: svg.XY{400, 270}, pxPerM: 440}
	launch := s.launchS()
	arc, chord := s.handsPath()
	first, last := w.at(s.hands(launch)), w.at(s.hands(0))
	c.Lines(svg.Pen{Width: 2, Dash: "7 6"}, first, last)
	w.path(c, svg.Pen{Hue: svg.Hands, Width: 4}, launch, 0, s.hands)
	for _, k := range []float64{0.25, 0.5, 0.75} {
		c.Circle(w.at(s.hands(launch*k)), 3.5, svg.Pen{Hue: svg.Hands, Fill: svg.Paper})
	}
	c.Dot(first, svg.Ink)
	c.Dot(last, svg.Ink)
	c.Bold(svg.XY{first[0], first[1] - 14}, svg.Middle, "launch")
	c.Bold(svg.XY{last[0] + 12, last[1] + 5}, svg.Left, "contact")
	c.Text(svg.XY{135, 185}, svg.Right, fmt.Sprintf("path %.2f m", arc))
	c.Text(svg.XY{270, 112}, svg.Left, fmt.Sprintf("straight line %.2f m", chord))
	c.Bold(svg.XY{592, 30}, svg.Right, "straightness = straight line ÷ path")
	c.Bold(svg.XY{592, 52}, svg.Right, fmt.Sprintf("%.2f ÷ %.2f = %.2f", chord, arc, chord/arc))
}

func drawFinish(c *svg.Canvas) {
	s := example
	w := window{originPx: svg.XY{226, 365}, pxPerM: 300}
	finish := s.finishS()
	shoulder := [2]float64{-0.23, 0.62}
	o, far, high := w.at([2]float64{}), w.at(pos(s)(s.farS())), w.at(pos(s)(finish))
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 2, Dash: "3 5"}, -0.035, 0, pos(s))
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, 0, finish, pos(s))
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, far, svg.XY{far[0], 405})
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, o, svg.XY{o[0], 405})
	c.Span(svg.Pen{Width: 2}, svg.XY{o[0], 396}, svg.XY{far[0], 396})
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, o, svg.XY{48, o[1]})
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, high, svg.XY{48, high[1]})
	c.Span(svg.Pen{Width: 2}, svg.XY{60, o[1]}, svg.XY{60, high[1]})
	sh := w.at(shoulder)
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, sh, svg.XY{118, sh[1]})
	c.Span(svg.Pen{Width: 2}, svg.XY{128, sh[1]}, svg.XY{128, high[1]})
	c.Circle(sh, 7, svg.Pen{Hue: svg.Joint, Width: 3, Fill: svg.Paper})
	for _, p := range []svg.XY{o, far, high} {
		c.Dot(p, svg.Ink)
	}
	c.Text(svg.XY{sh[0] + 14, sh[1] + 5}, svg.Left, "lead shoulder")
	c.Bold(svg.XY{o[0] - 12, o[1] + 24}, svg.Right, "contact")
	c.Bold(svg.XY{high[0], high[1] - 14}, svg.Middle, "finish")
	c.Bold(svg.XY{(o[0] + far[0]) / 2, 390}, svg.Middle, "extension")
	c.Text(svg.XY{far[0] + 12, far[1]}, svg.Left, "farthest towards")
	c.Text(svg.XY{far[0] + 12, far[1] + 18}, svg.Left, "the pitcher, "+ms(s.farS()))
	c.Bold(svg.XY{68, 300}, svg.Left, "height")
	c.Bold(svg.XY{138, (sh[1]+high[1])/2 - 12}, svg.Left, "above")
	c.Bold(svg.XY{138, (sh[1]+high[1])/2 + 6}, svg.Left, "shoulder")
}
