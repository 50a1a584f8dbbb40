package draw

import (
	"math"
	"slices"
)

// edge is one side of an area, in pixels whose corners are at integers, going
// down when dir is 1 and up when it is −1.
type edge struct {
	x0, y0, x1, y1 float64 // y0 < y1
	dir            float64
}

// filler covers areas exactly: the coverage of a pixel is the sum, over all
// edges, of the signed area between the edge and the pixel's right side.
type filler struct {
	edges  []edge
	active []int
	row    []float64
}

// add takes one closed outline. Outlines that turn the other way cut holes.
func (f *filler) add(points []Point) {
	if len(points) < 3 || !finite(points...) {
		return
	}
	last := points[len(points)-1]
	for _, p := range points {
		f.addEdge(bounded(last.X)+0.5, bounded(last.Y)+0.5, bounded(p.X)+0.5, bounded(p.Y)+0.5)
		last = p
	}
}

func (f *filler) addEdge(x0, y0, x1, y1 float64) {
	switch {
	case y0 < y1:
		f.edges = append(f.edges, edge{x0, y0, x1, y1, 1})
	case y0 > y1:
		f.edges = append(f.edges, edge{x1, y1, x0, y0, -1})
	}
}

// fill writes the areas added so far into m and forgets them.
func (f *filler) fill(m *mask) {
	defer func() { f.edges = f.edges[:0] }()
	if len(f.edges) == 0 {
		return
	}
	slices.SortFunc(f.edges, func(a, b edge) int {
		switch {
		case a.y0 < b.y0:
			return -1
		case a.y0 > b.y0:
			return 1
		}
		return 0
	})
	left, right, bottom := math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, e := range f.edges {
		left, right = min(left, e.x0, e.x1), max(right, e.x0, e.x1)
		bottom = max(bottom, e.y1)
	}
	x0 := int(math.Floor(max(left, 0)))
	x1 := int(math.Ceil(min(right, float64(m.w))))
	y0 := int(math.Floor(max(f.edges[0].y0, 0)))
	y1 := int(math.Ceil(min(bottom, float64(m.h))))
	if x0 >= x1 || y0 >= y1 {
		return
	}
	f.row = slices.Grow(f.row[:0], x1-x0+2)[:x1-x0+2]
	clear(f.row)
	f.active = f.active[:0]
	next := 0
	for y := y0; y < y1; y++ {
		for next < len(f.edges) && f.edges[next].y0 < float64(y+1) {
			f.active = append(f.active, next)
			next++
		}
		f.active = slices.DeleteFunc(f.active, func(i int) bool { return f.edges[i].y1 <= float64(y) })
		if len(f.active) > 0 {
			f.fillRow(m, y, x0, x1)
		}
	}
}

func (f *filler) fillRow(m *mask, y, x0, x1 int) {
	lo, hi := x1-x0, 0
	for _, i := range f.active {
		a, b := f.cover(&f.edges[i], y, x0, x1)
		lo, hi = min(lo, a), max(hi, b)
	}
	lo, hi = max(lo, 0), min(hi, x1-x0)
	if lo >= hi {
		clear(f.row)
		return
	}
	m.touch(y, x0+lo, x0+hi)
	dst := m.pix[y*m.w+x0+lo:][:hi-lo]
	sum := 0.0
	for i, d := range f.row[lo:hi] {
		sum += d
		v := uint8(min(math.Abs(sum), 1)*255 + 0.5)
		dst[i] = max(dst[i], v)
	}
	clear(f.row[lo : hi+2])
}

// cover adds the part of e within row y to the row of differences and returns
// the span of columns it touched. What lies left of x0 covers from x0 on; what
// lies right of x1 covers nothing.
func (f *filler) cover(e *edge, y, x0, x1 int) (lo, hi int) {
	ya, yb := max(e.y0, float64(y)), min(e.y1, float64(y+1))
	if ya >= yb {
		return len(f.row), 0
	}
	slope := (e.x1 - e.x0) / (e.y1 - e.y0)
	xa, xb := e.x0+(ya-e.y0)*slope-float64(x0), e.x0+(yb-e.y0)*slope-float64(x0)
	h := (yb - ya) * e.dir
	if xa > xb {
		xa, xb = xb, xa
	}
	width := float64(x1 - x0)
	// Split where the edge leaves the frame: the parts outside count as
	// upright edges on the border.
	if xb <= 0 {
		f.row[0] += h
		return 0, 1
	}
	if xa >= width {
		return int(width), int(width)
	}
	if xa < 0 {
		part := h * -xa / (xb - xa)
		f.row[0] += part
		h -= part
		xa = 0
	}
	if xb > width {
		h *= (width - xa) / (xb - xa)
		xb = width
	}
	first, last := int(xa), int(xb)
	if first == last || xb-xa < 1e-9 {
		// Within one pixel: mid is the mean distance from the pixel's left side.
		mid := (xa+xb)/2 - float64(first)
		f.row[first] += h * (1 - mid)
		f.row[first+1] += h * mid
		return first, first + 1
	}
	// Over several pixels: the covered part grows with the square of the way
	// within the first and the last one and evenly between them.
	per := h / (xb - xa)
	at := xa
	for i := first; i <= last; i++ {
		to := min(float64(i+1), xb)
		if to <= at {
			break
		}
		part := per * (to - at)
		right := float64(i+1) - (at+to)/2 // mean width between edge and right side
		f.row[i] += part * right
		f.row[i+1] += part * (1 - right)
		at = to
	}
	return first, min(last+2, int(width))
}
