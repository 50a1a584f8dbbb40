package svg

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// The hues are those of Okabe and Ito, "Color Universal Design" (2008), which
// people with the common kinds of colour blindness tell apart. Lines differ in
// width or dashes too.
const (
	Ink     = "#10151c"
	Grey    = "#6b7280"
	InZone  = "#0072b2" // the barrel's path in the zone
	OutZone = "#d55e00" // before and after it
	Pitch   = "#e69f00"
	Hands   = "#a3467a" // Okabe and Ito's purple, darker: a thin line on white
	Joint   = "#009e73"
	Band    = "#56b4e9"
	Paper   = "#ffffff"
)

// Canvas collects the marks of one drawing. Places are px, y down.
type Canvas struct {
	b strings.Builder
}

// XY is a place, px.
type XY [2]float64

// Draw makes the file of a drawing of widthPx × heightPx: title and description
// are read out where the picture cannot be seen.
func Draw(widthPx, heightPx int, title, desc string, draw func(c *Canvas)) []byte {
	c := &Canvas{}
	fmt.Fprintf(&c.b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" role=\"img\" font-family=\"sans-serif\" font-size=\"15\">\n", widthPx, heightPx, widthPx, heightPx)
	fmt.Fprintf(&c.b, "<title>%s</title>\n<desc>%s</desc>\n", html.EscapeString(Plain(title)), html.EscapeString(Plain(desc)))
	fmt.Fprintf(&c.b, "<rect width=\"%d\" height=\"%d\" fill=\"%s\"/>\n", widthPx, heightPx, Paper)
	draw(c)
	c.b.WriteString("</svg>\n")
	return []byte(c.b.String())
}

// Pen is how a line looks; the zero value is a thin line of ink.
type Pen struct {
	Hue   string  // Defaults to Ink.
	Width float64 // px. Defaults to 1.5.
	Dash  string  // px on and off, in turn. Defaults to a whole line.
	Fill  string  // Defaults to none.
	Fade  float64 // opacity of the fill, 0 is opaque
}

func (p Pen) attrs() string {
	hue, width, fill := p.Hue, p.Width, p.Fill
	if hue == "" {
		hue = Ink
	}
	if width == 0 {
		width = 1.5
	}
	if fill == "" {
		fill = "none"
	}
	out := fmt.Sprintf("fill=%q stroke=%q stroke-width=\"%.4g\" stroke-linecap=\"round\"", fill, hue, width)
	if p.Dash != "" {
		out += fmt.Sprintf(" stroke-dasharray=%q", p.Dash)
	}
	if p.Fade != 0 {
		out += fmt.Sprintf(" fill-opacity=\"%.2f\"", p.Fade)
	}
	return out
}

// Lines joins points.
func (c *Canvas) Lines(p Pen, points ...XY) {
	c.b.WriteString("<polyline points=\"")
	for i, q := range points {
		if i > 0 {
			c.b.WriteByte(' ')
		}
		fmt.Fprintf(&c.b, "%.1f,%.1f", q[0], q[1])
	}
	fmt.Fprintf(&c.b, "\" %s/>\n", p.attrs())
}

// Circle draws a circle of radius r, px.
func (c *Canvas) Circle(at XY, r float64, p Pen) {
	fmt.Fprintf(&c.b, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\" %s/>\n", at[0], at[1], r, p.attrs())
}

// Rect draws a rectangle between two of its corners.
func (c *Canvas) Rect(from, to XY, p Pen) {
	c.Lines(p, from, XY{to[0], from[1]}, to, XY{from[0], to[1]}, from)
}

// Dot marks a place.
func (c *Canvas) Dot(at XY, hue string) { c.Circle(at, 5, Pen{Hue: Paper, Width: 1.5, Fill: hue}) }

// Arrow is a line with a head at its end.
func (c *Canvas) Arrow(p Pen, from, to XY) {
	const long, wide = 11, 4.5
	d := Unit(from, to)
	root := XY{to[0] - long*d[0], to[1] - long*d[1]}
	c.Lines(p, from, root)
	head := Pen{Hue: p.Hue, Width: 1, Fill: p.Hue}
	if p.Hue == "" {
		head.Fill = Ink
	}
	c.Lines(head, to, XY{root[0] - wide*d[1], root[1] + wide*d[0]}, XY{root[0] + wide*d[1], root[1] - wide*d[0]}, to)
}

// Span is a dimension line with a bar at each end.
func (c *Canvas) Span(p Pen, from, to XY) {
	const half = 5
	d := Unit(from, to)
	c.Lines(p, from, to)
	for _, q := range []XY{from, to} {
		c.Lines(p, XY{q[0] - half*d[1], q[1] + half*d[0]}, XY{q[0] + half*d[1], q[1] - half*d[0]})
	}
}

// Arc is part of a circle; angles in degrees, anticlockwise from the right.
func (c *Canvas) Arc(p Pen, centre XY, r, fromDeg, toDeg float64) {
	var points []XY
	const steps = 24
	for i := range steps + 1 {
		sin, cos := math.Sincos((fromDeg + (toDeg-fromDeg)*float64(i)/steps) * math.Pi / 180)
		points = append(points, XY{centre[0] + r*cos, centre[1] - r*sin})
	}
	c.Lines(p, points...)
}

// Within draws only what lies in a rectangle; places stay as they are.
func (c *Canvas) Within(from, to XY, draw func()) {
	x, y, wide, high := from[0], from[1], to[0]-from[0], to[1]-from[1]
	fmt.Fprintf(&c.b, "<svg x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" viewBox=\"%.1f %.1f %.1f %.1f\">\n", x, y, wide, high, x, y, wide, high)
	draw()
	c.b.WriteString("</svg>\n")
}

// Unit is the direction from one place to another.
func Unit(from, to XY) XY {
	d := XY{to[0] - from[0], to[1] - from[1]}
	n := math.Hypot(d[0], d[1])
	return XY{d[0] / n, d[1] / n}
}
