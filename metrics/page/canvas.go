package page

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// widthPx is the width of every figure, px.
const widthPx = 600

// The hues are those of Okabe and Ito, "Color Universal Design" (2008), which
// people with the common kinds of colour blindness tell apart. Lines differ in
// width or dashes too.
const (
	ink      = "#10151c"
	grey     = "#6b7280"
	inZone   = "#0072b2"
	outZone  = "#d55e00"
	pitch    = "#e69f00"
	handsHue = "#a3467a" // Okabe and Ito's purple, darker: a thin line on white
	green    = "#009e73"
	band     = "#56b4e9"
	paper    = "#ffffff"
)

// canvas collects the marks of one figure. Places are px, y down.
type canvas struct {
	b      strings.Builder
	height int
}

type xy [2]float64

// figure makes the file of a figure: title and description are read out where
// the picture cannot be seen.
func figure(height int, title, desc string, draw func(c *canvas)) []byte {
	c := &canvas{height: height}
	fmt.Fprintf(&c.b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" role=\"img\" font-family=\"sans-serif\" font-size=\"15\">\n", widthPx, height, widthPx, height)
	fmt.Fprintf(&c.b, "<title>%s</title>\n<desc>%s</desc>\n", html.EscapeString(title), html.EscapeString(desc))
	fmt.Fprintf(&c.b, "<rect width=\"%d\" height=\"%d\" fill=\"%s\"/>\n", widthPx, height, paper)
	draw(c)
	c.b.WriteString("</svg>\n")
	return []byte(c.b.String())
}

// pen is how a line looks; the zero value is a thin line of ink.
type pen struct {
	hue   string
	width float64
	dash  string
	fill  string
	fade  float64 // opacity of the fill, 0 is opaque
}

func (p pen) attrs() string {
	hue, width, fill := p.hue, p.width, p.fill
	if hue == "" {
		hue = ink
	}
	if width == 0 {
		width = 1.5
	}
	if fill == "" {
		fill = "none"
	}
	out := fmt.Sprintf("fill=%q stroke=%q stroke-width=\"%.4g\" stroke-linecap=\"round\"", fill, hue, width)
	if p.dash != "" {
		out += fmt.Sprintf(" stroke-dasharray=%q", p.dash)
	}
	if p.fade != 0 {
		out += fmt.Sprintf(" fill-opacity=\"%.2f\"", p.fade)
	}
	return out
}

func (c *canvas) lines(p pen, points ...xy) {
	c.b.WriteString("<polyline points=\"")
	for i, q := range points {
		if i > 0 {
			c.b.WriteByte(' ')
		}
		fmt.Fprintf(&c.b, "%.1f,%.1f", q[0], q[1])
	}
	fmt.Fprintf(&c.b, "\" %s/>\n", p.attrs())
}

func (c *canvas) circle(at xy, r float64, p pen) {
	fmt.Fprintf(&c.b, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\" %s/>\n", at[0], at[1], r, p.attrs())
}

func (c *canvas) rect(from, to xy, p pen) {
	c.lines(p, from, xy{to[0], from[1]}, to, xy{from[0], to[1]}, from)
}

func (c *canvas) dot(at xy, hue string) { c.circle(at, 5, pen{hue: paper, width: 1.5, fill: hue}) }

// arrow is a line with a head at its end.
func (c *canvas) arrow(p pen, from, to xy) {
	const long, wide = 11, 4.5
	d := unit(from, to)
	root := xy{to[0] - long*d[0], to[1] - long*d[1]}
	c.lines(p, from, root)
	head := pen{hue: p.hue, width: 1, fill: p.hue}
	if p.hue == "" {
		head.fill = ink
	}
	c.lines(head, to, xy{root[0] - wide*d[1], root[1] + wide*d[0]}, xy{root[0] + wide*d[1], root[1] - wide*d[0]}, to)
}

// span is a dimension line with a bar at each end.
func (c *canvas) span(p pen, from, to xy) {
	const half = 5
	d := unit(from, to)
	c.lines(p, from, to)
	for _, q := range []xy{from, to} {
		c.lines(p, xy{q[0] - half*d[1], q[1] + half*d[0]}, xy{q[0] + half*d[1], q[1] - half*d[0]})
	}
}

// arc is part of a circle; angles in degrees, anticlockwise from the right.
func (c *canvas) arc(p pen, centre xy, r, fromDeg, toDeg float64) {
	var points []xy
	const steps = 24
	for i := range steps + 1 {
		sin, cos := math.Sincos(rad(fromDeg + (toDeg-fromDeg)*float64(i)/steps))
		points = append(points, xy{centre[0] + r*cos, centre[1] - r*sin})
	}
	c.lines(p, points...)
}

// anchor is which part of a text its place holds.
type anchor string

const (
	left   anchor = "start"
	middle anchor = "middle"
	right  anchor = "end"
)

// text writes one line on a white halo, its baseline at at.
func (c *canvas) text(at xy, a anchor, line string) { c.write(at, a, line, "") }

func (c *canvas) bold(at xy, a anchor, line string) {
	c.write(at, a, line, " font-weight=\"bold\"")
}

func (c *canvas) write(at xy, a anchor, line, more string) {
	fmt.Fprintf(&c.b, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\" fill=\"%s\" stroke=\"%s\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"%s>%s</text>\n",
		at[0], at[1], a, ink, paper, more, html.EscapeString(line))
}

func unit(from, to xy) xy {
	d := xy{to[0] - from[0], to[1] - from[1]}
	n := math.Hypot(d[0], d[1])
	return xy{d[0] / n, d[1] / n}
}

// window puts a part of the plane of the pitch on the canvas.
type window struct {
	originPx xy // where x = 0, z = 0 is drawn
	pxPerM   float64
}

func (w window) at(p [2]float64) xy {
	return xy{w.originPx[0] + w.pxPerM*p[0], w.originPx[1] - w.pxPerM*p[1]}
}

// path draws a motion from one time to another.
func (w window) path(c *canvas, p pen, from, to float64, at func(t float64) [2]float64) {
	const steps = 60
	var points []xy
	for i := range steps + 1 {
		points = append(points, w.at(at(from+(to-from)*float64(i)/steps)))
	}
	c.lines(p, points...)
}
