package page

import (
	"fmt"
	"math"
	"strings"

	"ashline/metrics/zone"
)

// Figure is one drawing of the page.
type Figure struct {
	File string // in metrics/figures
	Alt  string // what it shows, in words
	SVG  []byte
}

// drawing is a figure before it is drawn.
type drawing struct {
	file, title, desc string
	height            int
	draw              func(c *canvas)
}

// drawings are the figures, by the order of the page.
var drawings = []drawing{
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

// Figures draws all figures.
func Figures() []Figure {
	out := make([]Figure, len(drawings))
	for i, d := range drawings {
		out[i] = Figure{File: d.file, Alt: d.desc, SVG: figure(d.height, d.title, d.desc, d.draw)}
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
func pitchIn(c *canvas, w window, l zone.Line, fromM, toM float64) {
	c.lines(pen{hue: pitch, width: 3}, w.at(onLine(l, fromM)), w.at(l.PointM))
	c.lines(pen{hue: pitch, width: 3, dash: "9 7"}, w.at(l.PointM), w.at(onLine(l, toM)))
}

func drawFrame(c *canvas) {
	w := window{originPx: xy{300, 150}, pxPerM: 330}
	l := example.line()
	pitchIn(c, w, l, 0.75, -0.75)
	w.path(c, pen{hue: outZone, width: 4}, -0.032, 0.022, pos(example))
	o := w.at([2]float64{})
	c.arrow(pen{}, xy{30, o[1]}, xy{575, o[1]})
	c.arrow(pen{}, xy{o[0], 240}, xy{o[0], 15})
	c.dot(o, ink)
	for i := range 4 {
		c.circle(w.at(onLine(l, 0.17*float64(i))), ballR*w.pxPerM, pen{fill: paper})
	}
	c.text(xy{o[0] + 12, 24}, left, "z: up")
	c.text(xy{575, o[1] + 22}, right, "x: towards the pitcher")
	c.text(xy{575, 104}, right, "the pitch")
	c.text(xy{25, 80}, left, "the barrel")
	c.text(xy{o[0] - 14, o[1] + 46}, right, "behind contact: x below 0")
	c.text(xy{o[0] - 14, o[1] + 66}, right, "before contact: t below 0")
	c.bold(xy{o[0] + 12, o[1] + 46}, left, "contact: x = 0, z = 0, t = 0")
}

func drawKeys(c *canvas) {
	s := example
	w := window{originPx: xy{393, 375}, pxPerM: 285}
	launch, lag, finish := s.launchS(), s.lagS(), s.finishS()
	z := s.zone()
	l := s.line()
	pitchIn(c, w, l, 0.62, -0.3)
	w.path(c, pen{hue: handsHue, width: 2.5, dash: "2 5"}, launch, finish, s.hands)
	w.path(c, pen{hue: outZone, width: 4}, launch, z.EnterS, pos(s))
	w.path(c, pen{hue: inZone, width: 8}, z.EnterS, z.LeaveS, pos(s))
	w.path(c, pen{hue: outZone, width: 4}, z.LeaveS, finish, pos(s))
	for _, k := range []struct {
		t    float64
		name string
		dx   float64
		dy   float64
		a    anchor
	}{
		{launch, "launch", -10, -26, right},
		{slotS, "slot", -12, -2, right},
		{lag, "lag", -12, 14, right},
		{0, "contact", 6, 30, left},
		{finish, "finish", -14, -12, right},
	} {
		p := w.at(pos(s)(k.t))
		c.lines(pen{hue: grey, width: 2.5}, w.at(s.hands(k.t)), p)
		c.dot(w.at(s.hands(k.t)), handsHue)
		c.dot(p, ink)
		c.bold(xy{p[0] + k.dx, p[1] + k.dy}, k.a, k.name)
		if k.t != 0 {
			c.text(xy{p[0] + k.dx, p[1] + k.dy + 17}, k.a, ms(k.t))
		}
	}
	in := w.at(pos(s)(z.EnterS))
	c.text(xy{in[0] + 20, in[1] + 26}, middle, "zone")
	h := w.at(s.hands(0.03))
	c.text(xy{h[0] - 12, h[1] - 4}, right, "hands")
	b := w.at(pos(s)(s.farS()))
	c.text(xy{b[0] - 12, b[1] + 5}, right, "barrel's path")
	c.text(xy{590, w.at(onLine(l, 0.5))[1] + 32}, right, "pitch line")
}

// ms writes a time with its sign.
func ms(t float64) string {
	if t == 0 {
		return "0 ms"
	}
	return strings.Replace(fmt.Sprintf("%+.0f ms", 1000*t), "-", "−", 1)
}

func drawAttack(c *canvas) {
	s := example
	s.attackDeg, s.offsetM = 15, 0
	const reach = 330
	w := window{originPx: xy{110, 180}, pxPerM: 640}
	o := w.at([2]float64{})
	point := func(deg, r float64) xy {
		sin, cos := math.Sincos(rad(deg))
		return xy{o[0] + r*cos, o[1] - r*sin}
	}
	c.lines(pen{hue: grey, dash: "4 5"}, point(0, -100), point(0, reach+150))
	c.lines(pen{hue: pitch, width: 3, dash: "9 7"}, point(s.descentDeg, -100), o)
	c.arrow(pen{hue: pitch, width: 3}, point(s.descentDeg, reach+120), point(s.descentDeg, 20))
	w.path(c, pen{hue: outZone, width: 4}, -0.008, 0.013, pos(s))
	c.arrow(pen{hue: inZone, width: 3}, o, point(s.attackDeg, reach))
	c.arc(pen{hue: inZone, width: 2}, o, 230, 0, s.attackDeg)
	c.arc(pen{hue: pitch, width: 3}, o, 270, 0, s.descentDeg)
	c.arc(pen{width: 3}, o, 305, s.descentDeg, s.attackDeg)
	c.dot(o, ink)
	c.text(xy{o[0], o[1] + 26}, middle, "contact")
	c.bold(xy{o[0] + 128, o[1] - 66}, right, fmt.Sprintf("attack %.0f°", s.attackDeg))
	c.lines(pen{width: 1}, xy{o[0] + 132, o[1] - 66}, point(7.5, 228))
	c.bold(xy{o[0] + 250, o[1] + 40}, middle, fmt.Sprintf("descent %.0f°", s.descentDeg))
	c.lines(pen{width: 1}, xy{o[0] + 258, o[1] + 24}, point(3, 268))
	c.bold(point(9.6, 315), left, fmt.Sprintf("gap %.0f°", s.attackDeg-s.descentDeg))
	c.text(xy{590, o[1] + 20}, right, "level")
	c.text(xy{590, o[1] - 56}, right, "the pitch")
	tip := point(s.attackDeg, reach)
	c.text(xy{tip[0] + 8, tip[1] + 2}, left, "barrel's velocity")
	top, _ := s.At(0.013)
	end := w.at(top)
	c.text(xy{end[0] - 10, end[1] - 4}, right, "barrel's path")
}

func drawOffset(c *canvas) {
	s := example
	s.offsetM = 0.020
	l := s.line()
	w := window{originPx: xy{265, 105}, pxPerM: 1750}
	pitchIn(c, w, l, 0.11, -0.21)
	c.circle(w.at([2]float64{}), barrelR*w.pxPerM, pen{hue: inZone, width: 3, fill: band, fade: 0.25})
	c.circle(w.at(l.PointM), ballR*w.pxPerM, pen{width: 2})
	u := l.Against()
	foot := w.at([2]float64{s.offsetM * u[1], -s.offsetM * u[0]})
	o := w.at([2]float64{})
	c.dot(o, ink)
	c.dot(w.at(l.PointM), ink)
	c.span(pen{width: 2.5}, o, foot)
	c.text(xy{o[0], 30}, middle, "barrel, end on")
	ball := w.at(l.PointM)
	c.text(xy{ball[0] + 10, ball[1] + 90}, left, "ball, touching")
	c.text(xy{10, 110}, left, "above the line: +")
	c.text(xy{10, 215}, left, "below the line: −")
	c.text(xy{595, 140}, right, "pitch line")
	c.bold(xy{200, 255}, left, fmt.Sprintf("offset %+.0f mm", 1000*s.zone().OffsetM))
	c.lines(pen{width: 1}, xy{250, 240}, xy{(o[0] + foot[0]) / 2, (o[1]+foot[1])/2 + 3})
}

func drawHands(c *canvas) {
	s := example
	w := window{originPx: xy{400, 270}, pxPerM: 440}
	launch := s.launchS()
	arc, chord := s.handsPath()
	first, last := w.at(s.hands(launch)), w.at(s.hands(0))
	c.lines(pen{width: 2, dash: "7 6"}, first, last)
	w.path(c, pen{hue: handsHue, width: 4}, launch, 0, s.hands)
	for _, k := range []float64{0.25, 0.5, 0.75} {
		c.circle(w.at(s.hands(launch*k)), 3.5, pen{hue: handsHue, fill: paper})
	}
	c.dot(first, ink)
	c.dot(last, ink)
	c.bold(xy{first[0], first[1] - 14}, middle, "launch")
	c.bold(xy{last[0] + 12, last[1] + 5}, left, "contact")
	c.text(xy{135, 185}, right, fmt.Sprintf("path %.2f m", arc))
	c.text(xy{270, 112}, left, fmt.Sprintf("straight line %.2f m", chord))
	c.bold(xy{592, 30}, right, "straightness = straight line ÷ path")
	c.bold(xy{592, 52}, right, fmt.Sprintf("%.2f ÷ %.2f = %.2f", chord, arc, chord/arc))
}

func drawFinish(c *canvas) {
	s := example
	w := window{originPx: xy{226, 365}, pxPerM: 300}
	finish := s.finishS()
	shoulder := [2]float64{-0.23, 0.62}
	o, far, high := w.at([2]float64{}), w.at(pos(s)(s.farS())), w.at(pos(s)(finish))
	w.path(c, pen{hue: outZone, width: 2, dash: "3 5"}, -0.035, 0, pos(s))
	w.path(c, pen{hue: outZone, width: 4}, 0, finish, pos(s))
	c.lines(pen{hue: grey, dash: "4 5"}, far, xy{far[0], 405})
	c.lines(pen{hue: grey, dash: "4 5"}, o, xy{o[0], 405})
	c.span(pen{width: 2}, xy{o[0], 396}, xy{far[0], 396})
	c.lines(pen{hue: grey, dash: "4 5"}, o, xy{48, o[1]})
	c.lines(pen{hue: grey, dash: "4 5"}, high, xy{48, high[1]})
	c.span(pen{width: 2}, xy{60, o[1]}, xy{60, high[1]})
	sh := w.at(shoulder)
	c.lines(pen{hue: grey, dash: "4 5"}, sh, xy{118, sh[1]})
	c.span(pen{width: 2}, xy{128, sh[1]}, xy{128, high[1]})
	c.circle(sh, 7, pen{hue: green, width: 3, fill: paper})
	for _, p := range []xy{o, far, high} {
		c.dot(p, ink)
	}
	c.text(xy{sh[0] + 14, sh[1] + 5}, left, "lead shoulder")
	c.bold(xy{o[0] - 12, o[1] + 24}, right, "contact")
	c.bold(xy{high[0], high[1] - 14}, middle, "finish")
	c.bold(xy{(o[0] + far[0]) / 2, 390}, middle, "extension")
	c.text(xy{far[0] + 12, far[1]}, left, "farthest towards")
	c.text(xy{far[0] + 12, far[1] + 18}, left, "the pitcher, "+ms(s.farS()))
	c.bold(xy{68, 300}, left, "height")
	c.bold(xy{138, (sh[1]+high[1])/2 - 12}, left, "above")
	c.bold(xy{138, (sh[1]+high[1])/2 + 6}, left, "shoulder")
}
