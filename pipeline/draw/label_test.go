package draw

import (
	"math"
	"testing"
)

func TestLabelsKeepClear(t *testing.T) {
	t.Parallel()
	c, _ := black(t, 1280, 720)
	var path []Point
	for i := range 200 {
		sin, cos := math.Sincos(float64(i) / 45)
		path = append(path, Point{640 + 420*sin, 340 + 200*cos})
	}
	s := TextStyle{Plate: Plate, Inside: true}
	labels := []Label{{"launch −180 ms", path[0]}, {"slot −90 ms", path[50]}, {"lag −55 ms", path[62]}, {"contact", path[120]}, {"finish +150 ms", path[199]}}
	placed := c.PlaceLabels(labels, 20, s, path)
	if len(placed) != len(labels) {
		t.Fatalf("got %d labels, want %d", len(placed), len(labels))
	}
	var boxes []Box
	for i, p := range placed {
		style := s
		style.Anchor = p.Anchor
		box := c.Text(p.Text, p.At, style)
		if box.X0 < 0 || box.Y0 < 0 || box.X1 > 1279 || box.Y1 > 719 {
			t.Errorf("%s leaves the frame: %v", p.Text, box)
		}
		for j, other := range boxes {
			if box.Overlaps(other) {
				t.Errorf("%s covers %s", p.Text, placed[j].Text)
			}
		}
		for _, q := range path {
			if box.holds(q) {
				t.Errorf("%s covers the path", p.Text)
				break
			}
		}
		if d := math.Hypot(p.At.X-labels[i].At.X, p.At.Y-labels[i].At.Y); d > 5*20 {
			t.Errorf("%s stands %g px from its point", p.Text, d)
		}
		boxes = append(boxes, box)
	}
}

func TestLabelsInACorner(t *testing.T) {
	t.Parallel()
	c, _ := black(t, 640, 360)
	for _, at := range []Point{{2, 2}, {637, 2}, {2, 357}, {637, 357}} {
		p := c.PlaceLabels([]Label{{"contact", at}}, 12, TextStyle{}, nil)[0]
		box := c.Measure(p.Text, TextStyle{Anchor: p.Anchor}).moved(p.At)
		if box.X0 < 0 || box.Y0 < 0 || box.X1 > 639 || box.Y1 > 359 {
			t.Errorf("at %v: %v leaves the frame", at, box)
		}
	}
}
