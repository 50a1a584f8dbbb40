package draw

import "math"

// Box is an upright rectangle, px.
type Box struct{ X0, Y0, X1, Y1 float64 }

// W is the width of the box, px.
func (b Box) W() float64 { return b.X1 - b.X0 }

// H is the height of the box, px.
func (b Box) H() float64 { return b.Y1 - b.Y0 }

// Grow returns the box with a margin on all sides.
func (b Box) Grow(px float64) Box { return Box{b.X0 - px, b.Y0 - px, b.X1 + px, b.Y1 + px} }

// Overlaps reports whether the boxes have an area in common.
func (b Box) Overlaps(o Box) bool {
	return b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1
}

// FillPolygon fills the outline. Parts that it runs round twice are filled
// once.
func (c *Canvas) FillPolygon(points []Point, col Colour) {
	c.fill.add(points)
	c.fill.fill(&c.mask)
	c.paint(col)
}

// Disc fills a circle.
func (c *Canvas) Disc(centre Point, radiusPx float64, col Colour) {
	c.fill.add(c.circle(centre, radiusPx, 1))
	c.fill.fill(&c.mask)
	c.paint(col)
}

// Ring draws a circle's line, half its width on each side of the radius.
func (c *Canvas) Ring(centre Point, radiusPx, widthPx float64, col Colour) {
	if !(widthPx > 0) {
		return
	}
	c.fill.add(c.circle(centre, radiusPx+widthPx/2, 1))
	c.fill.add(c.circle(centre, radiusPx-widthPx/2, -1))
	c.fill.fill(&c.mask)
	c.paint(col)
}

// sagittaPx is how far the corners of a circle's outline may lie from its
// sides.
const sagittaPx = 0.03

// circle returns a polygon of the circle's area; dir −1 runs round it the other
// way.
func (c *Canvas) circle(centre Point, radius float64, dir float64) []Point {
	c.scratch = c.scratch[:0]
	if !(radius > 0) || !finite(centre) || radius > far {
		return nil
	}
	n := 8
	if radius > sagittaPx {
		n = min(max(n, int(math.Ceil(math.Pi/math.Acos(1-sagittaPx/radius)))), 2000)
	}
	step := 2 * math.Pi / float64(n)
	r := radius * math.Sqrt(step/math.Sin(step)) // equal areas
	for i := range n {
		sin, cos := math.Sincos(float64(i) * step * dir)
		c.scratch = append(c.scratch, Point{centre.X + r*cos, centre.Y + r*sin})
	}
	return c.scratch
}

// Arrow draws a line that ends in a filled head at to. headPx is the length of
// the head, its width is four fifths of that; 0 means four times the width of
// the line.
func (c *Canvas) Arrow(from, to Point, widthPx, headPx float64, col Colour) {
	if !finite(from, to) || !(widthPx > 0) {
		return
	}
	if headPx == 0 {
		headPx = 4 * widthPx
	}
	length := math.Hypot(to.X-from.X, to.Y-from.Y)
	if length == 0 || math.IsInf(length, 0) {
		return
	}
	headPx = min(headPx, length)
	ux, uy := (to.X-from.X)/length, (to.Y-from.Y)/length
	neck := Point{to.X - ux*headPx, to.Y - uy*headPx}
	half := 0.4 * headPx
	c.fill.add([]Point{to, {neck.X - uy*half, neck.Y + ux*half}, {neck.X + uy*half, neck.Y - ux*half}})
	c.fill.fill(&c.mask)
	c.mask.capsule(from, neck, widthPx/2)
	c.paint(col)
}

// Panel fills a rectangle with rounded corners.
func (c *Canvas) Panel(b Box, radiusPx float64, col Colour) {
	if !finite(Point{b.X0, b.Y0}, Point{b.X1, b.Y1}) || !(b.W() > 0) || !(b.H() > 0) {
		return
	}
	r := min(max(radiusPx, 0), b.W()/2, b.H()/2)
	if !(r > 0.25) {
		c.FillPolygon([]Point{{b.X0, b.Y0}, {b.X1, b.Y0}, {b.X1, b.Y1}, {b.X0, b.Y1}}, col)
		return
	}
	c.scratch = c.scratch[:0]
	n := max(3, int(math.Ceil(math.Pi/2/(2*math.Acos(max(1-sagittaPx/r, 0))))))
	centres := [4]Point{{b.X1 - r, b.Y1 - r}, {b.X0 + r, b.Y1 - r}, {b.X0 + r, b.Y0 + r}, {b.X1 - r, b.Y0 + r}}
	for quarter, p := range centres {
		for i := range n + 1 {
			sin, cos := math.Sincos((float64(quarter) + float64(i)/float64(n)) * math.Pi / 2)
			c.scratch = append(c.scratch, Point{p.X + r*cos, p.Y + r*sin})
		}
	}
	c.FillPolygon(c.scratch, col)
}
