package draw

import "math"

// Label is a text that belongs to a point.
type Label struct {
	Text string
	At   Point
}

// PlaceLabels chooses for each label on which side of its point it stands, so
// that labels cover neither each other nor the points to avoid (those of the
// path, say), and stay in the frame. Earlier labels have the choice. It returns
// the places in the form that Text takes; compute them once for a clip, or the
// labels will jump.
func (c *Canvas) PlaceLabels(labels []Label, gapPx float64, s TextStyle, avoid []Point) []PlacedLabel {
	var out []PlacedLabel
	var taken []Box
	frame := Box{0, 0, float64(c.frame.W - 1), float64(c.frame.H - 1)}
	for _, l := range labels {
		best, bestCost := PlacedLabel{}, math.Inf(1)
		var bestBox Box
		for rank, d := range directions {
			// The text's anchor is the corner or side that faces the point.
			at := Point{l.At.X + d.x*gapPx, l.At.Y + d.y*gapPx}
			style := s
			style.Anchor = d.anchor
			box := c.Measure(l.Text, style).moved(at)
			cost := float64(rank) / 100
			for _, other := range taken {
				cost += 40 * box.shared(other) / (box.W() * box.H())
			}
			cost += 60 * (1 - box.shared(frame)/(box.W()*box.H()))
			for _, p := range avoid {
				if box.holds(p) {
					cost++
				}
			}
			for _, other := range labels {
				if box.Grow(gapPx / 2).holds(other.At) {
					cost += 5
				}
			}
			if cost < bestCost {
				best, bestCost, bestBox = PlacedLabel{l.Text, l.At, at, d.anchor}, cost, box
			}
		}
		out = append(out, best)
		taken = append(taken, bestBox)
	}
	return out
}

// PlacedLabel is a label with its place and the anchor there.
type PlacedLabel struct {
	Text   string
	Of     Point // the point it belongs to
	At     Point // the place of the text's anchor
	Anchor Anchor
}

// DrawLabels draws each label with a dot on its point and a line between the
// two.
func (c *Canvas) DrawLabels(labels []PlacedLabel, dotPx float64, s TextStyle) {
	for _, l := range labels {
		c.Polyline([]Point{l.Of, l.At}, Stroke{WidthPx: dotPx / 4, Colour: KeyLabel, CasingPx: dotPx / 8})
		c.Disc(l.Of, dotPx*0.7, Casing)
		c.Disc(l.Of, dotPx*0.5, KeyLabel)
	}
	for _, l := range labels {
		s.Anchor = l.Anchor
		c.Text(l.Text, l.At, s)
	}
}

// directions are the sides of a point in order of preference.
var directions = []struct {
	x, y   float64
	anchor Anchor
}{
	{0, -1, Bottom},
	{0, 1, Top},
	{0.7, -0.7, BottomLeft},
	{-0.7, -0.7, BottomRight},
	{0.7, 0.7, TopLeft},
	{-0.7, 0.7, TopRight},
	{1, 0, Left},
	{-1, 0, Right},
	{0, -2.5, Bottom},
	{0, 2.5, Top},
	{2, -2, BottomLeft},
	{-2, -2, BottomRight},
	{2, 2, TopLeft},
	{-2, 2, TopRight},
	{2.5, 0, Left},
	{-2.5, 0, Right},
	{0, -5, Bottom},
	{0, 5, Top},
}

func (b Box) moved(p Point) Box { return Box{b.X0 + p.X, b.Y0 + p.Y, b.X1 + p.X, b.Y1 + p.Y} }

func (b Box) holds(p Point) bool { return p.X >= b.X0 && p.X <= b.X1 && p.Y >= b.Y0 && p.Y <= b.Y1 }

// shared is the area that the boxes have in common, px².
func (b Box) shared(o Box) float64 {
	w := min(b.X1, o.X1) - max(b.X0, o.X0)
	h := min(b.Y1, o.Y1) - max(b.Y0, o.Y0)
	return max(w, 0) * max(h, 0)
}
