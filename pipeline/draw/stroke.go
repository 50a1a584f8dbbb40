package draw

// Stroke says how a line looks.
type Stroke struct {
	// WidthPx is the line's width. Lines thinner than one pixel are drawn one
	// pixel wide and paler. Defaults to 1.
	WidthPx float64
	// Colour of the line.
	Colour Colour
	// Segments are the colours of the single segments, the i-th from point i
	// to point i+1; segments beyond take Colour. Defaults to none.
	Segments []Colour
	// CasingPx is the width of a border on both sides, which keeps a bright
	// line readable on a bright ground. Defaults to none.
	CasingPx float64
	// Casing is the colour of the border. Defaults to the palette's.
	Casing Colour
	// DashPx and GapPx are the lengths of dashes and gaps, round ends
	// included. Default to an unbroken line.
	DashPx, GapPx float64
}

// Line draws a straight line with round ends.
func (c *Canvas) Line(a, b Point, widthPx float64, col Colour) {
	c.Polyline([]Point{a, b}, Stroke{WidthPx: widthPx, Colour: col})
}

// Polyline draws a line through the points with round ends and corners. A point
// that is no number leaves a gap. Overlapping segments are blended once.
func (c *Canvas) Polyline(points []Point, s Stroke) {
	width := s.WidthPx
	if width == 0 {
		width = 1
	}
	if !(width > 0) {
		return
	}
	if s.CasingPx > 0 {
		casing := s.Casing
		if casing == (Colour{}) {
			casing = Casing
		}
		c.strokeRun(points, width/2+s.CasingPx, s, s.CasingPx)
		c.paint(casing)
	}
	thin := min(width, 1)
	radius := max(width, 1) / 2
	if len(s.Segments) == 0 {
		c.strokeRun(points, radius, s, 0)
		c.paint(s.Colour.WithOpacity(s.Colour.Opacity * thin))
		return
	}
	colour := func(i int) Colour {
		if i < len(s.Segments) {
			return s.Segments[i]
		}
		return s.Colour
	}
	for i := 0; i+1 < len(points); {
		j := i + 1
		for j+1 < len(points) && colour(j) == colour(i) {
			j++
		}
		c.strokeRun(points[i:j+1], radius, s, 0)
		c.mask.take(&c.taken)
		col := colour(i)
		c.paint(col.WithOpacity(col.Opacity * thin))
		i = j
	}
	c.taken.clear()
}

// strokeRun puts the line into the mask. more is how much longer each dash is
// at both ends, for its casing.
func (c *Canvas) strokeRun(points []Point, radius float64, s Stroke, more float64) {
	if s.DashPx > 0 && s.GapPx > 0 {
		c.dashes(points, radius-more, more, s.DashPx, s.GapPx)
		return
	}
	for i := 1; i < len(points); i++ {
		c.mask.capsule(points[i-1], points[i], radius)
	}
}
