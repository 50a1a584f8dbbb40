package draw

import (
	"math"
	"slices"
	"testing"
	"time"

	"ashline/pipeline/bounds"
	"ashline/pipeline/media"
)

// areaTol is the share by which a covered area may differ from the shape's.
const areaTol = 0.01

// TestAreas compares coverage with the shapes' areas by geometry and its centre
// with theirs.
func TestAreas(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name   string
		draw   func(c *Canvas)
		area   float64
		centre Point
	}{
		{"disc", func(c *Canvas) { c.Disc(Point{50.3, 40.7}, 12.4, opaque) }, math.Pi * 12.4 * 12.4, Point{50.3, 40.7}},
		{"small disc", func(c *Canvas) { c.Disc(Point{50.5, 40.2}, 2.1, opaque) }, math.Pi * 2.1 * 2.1, Point{50.5, 40.2}},
		{"large disc", func(c *Canvas) { c.Disc(Point{100, 75}, 70, opaque) }, math.Pi * 70 * 70, Point{100, 75}},
		{"ring", func(c *Canvas) { c.Ring(Point{60.2, 70.9}, 30, 4, opaque) }, 2 * math.Pi * 30 * 4, Point{60.2, 70.9}},
		{"level line", func(c *Canvas) { c.Line(Point{20, 50}, Point{180, 50}, 6, opaque) }, 160*6 + math.Pi*9, Point{100, 50}},
		{"upright line", func(c *Canvas) { c.Line(Point{50.5, 20}, Point{50.5, 130}, 5, opaque) }, 110*5 + math.Pi*6.25, Point{50.5, 75}},
		{"slanting line", func(c *Canvas) { c.Line(Point{20, 30}, Point{170, 110}, 7, opaque) }, 170*7 + math.Pi*12.25, Point{95, 70}},
		{
			"steep line", func(c *Canvas) { c.Line(Point{90, 10.2}, Point{60.5, 140}, 3, opaque) },
			math.Hypot(29.5, 129.8)*3 + math.Pi*2.25,
			Point{75.25, 75.1},
		},
		{"thin line", func(c *Canvas) { c.Line(Point{20, 30}, Point{170, 110}, 0.5, opaque) }, 170 * 0.5, Point{95, 70}},
		{"triangle", func(c *Canvas) { c.FillPolygon([]Point{{10.5, 10}, {110.5, 20}, {60, 90}}, opaque) }, 0.5 * (100*80 - 10*49.5), Point{181. / 3, 40}},
		{"square the other way round", func(c *Canvas) { c.FillPolygon([]Point{{10, 10}, {10, 60}, {60, 60}, {60, 10}}, opaque) }, 2500, Point{35, 35}},
		{"star crossing itself", func(c *Canvas) {
			var p []Point
			for i := range 5 {
				sin, cos := math.Sincos(float64(i) * 4 * math.Pi / 5)
				p = append(p, Point{100 + 60*cos, 75 + 60*sin})
			}
			c.FillPolygon(p, opaque)
		}, starArea(60), Point{100, 75}},
		{"panel", func(c *Canvas) { c.Panel(Box{20.5, 30.25, 120.5, 80.25}, 12, opaque) }, 100*50 - (4-math.Pi)*144, Point{70.5, 55.25}},
		{"sharp panel", func(c *Canvas) { c.Panel(Box{20.5, 30.25, 120.5, 80.25}, 0, opaque) }, 5000, Point{70.5, 55.25}},
		{
			"corner", func(c *Canvas) {
				c.Polyline([]Point{{20, 20}, {120, 20}, {120, 100}}, Stroke{WidthPx: 8, Colour: opaque})
			},
			100*8 + 80*8 + math.Pi*16*1.25 - 16,
			Point{},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			c, f := black(t, 200, 150)
			tt.draw(c)
			if got := area(f); math.Abs(got-tt.area) > areaTol*tt.area {
				t.Errorf("got %.2f px², want %.2f", got, tt.area)
			}
			// A twentieth of a pixel is far below what is seen.
			if got := centroid(f); tt.centre != (Point{}) && math.Hypot(got.X-tt.centre.X, got.Y-tt.centre.Y) > 0.05 {
				t.Errorf("centre at %.3f, want %.3f", got, tt.centre)
			}
		})
	}
}

// starArea is the area of the five-pointed star with its points on a circle,
// the inner pentagon counted once.
func starArea(r float64) float64 {
	inner := r * math.Cos(2*math.Pi/5) / math.Cos(math.Pi/5)
	return 10 * 0.5 * r * inner * math.Sin(math.Pi/5)
}

// TestClipping draws shapes over the border: what is inside must be what a
// larger frame shows there.
func TestClipping(t *testing.T) {
	t.Parallel()
	const w, h, off = 61, 47, 100
	shapes := func(c *Canvas, d float64) {
		c.Disc(Point{-3 + d, 10 + d}, 14, opaque)
		c.FillPolygon([]Point{{-80 + d, 20 + d}, {90 + d, -30 + d}, {95 + d, 80 + d}}, opaque.WithOpacity(0.5))
		c.Line(Point{-50 + d, -20 + d}, Point{100 + d, 70 + d}, 5, Colour{200, 30, 60, 0.7})
		c.Ring(Point{60 + d, 46 + d}, 20, 3, opaque)
		c.Panel(Box{30 + d, 40 + d, 90 + d, 90 + d}, 8, Colour{20, 200, 60, 0.6})
	}
	c, got := black(t, w, h)
	shapes(c, 0)
	large, want := black(t, w+2*off, h+2*off)
	shapes(large, off)
	for y := range h {
		for x := range w {
			g, v := got.Y[y*w+x], want.Y[(y+off)*want.W+x+off]
			if d := int(g) - int(v); d > 1 || d < -1 {
				t.Fatalf("pixel (%d, %d): got %d, want %d", x, y, g, v)
			}
		}
	}
}

func TestHostileCoordinates(t *testing.T) {
	t.Parallel()
	values := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, 1e9, -1e9, -5, 0, 31.5, 64, 1e-320}
	c, f := black(t, 65, 33)
	for _, x := range values {
		for _, y := range values {
			for _, r := range values {
				p, q := Point{x, y}, Point{y, r}
				c.Line(p, q, r, opaque)
				c.Line(p, Point{10, 10}, 3, opaque)
				c.Disc(p, r, opaque)
				c.Ring(p, r, x, opaque)
				c.Ring(p, 4, r, opaque)
				c.FillPolygon([]Point{p, q, {3, 3}, {r, x}}, opaque)
				c.Arrow(p, q, r, x, opaque)
				c.Panel(Box{x, y, r, y}, r, opaque)
				c.Panel(Box{x, y, y, r}, x, opaque)
				c.Polyline([]Point{p, q, {1, 2}, p}, Stroke{WidthPx: 2, Colour: opaque, DashPx: r, GapPx: x, CasingPx: y})
			}
			c.Text("a", Point{x, y}, TextStyle{SizePx: 9, HaloPx: 1, Plate: Plate})
			c.Text("a", Point{x, y}, TextStyle{SizePx: 9, Inside: true})
		}
		c.Text("a", Point{3, 3}, TextStyle{SizePx: x, HaloPx: x})
	}
	c.FillPolygon(nil, opaque)
	c.Polyline([]Point{{1, 1}}, Stroke{Colour: opaque})
	c.Text("", Point{1, 1}, TextStyle{})
	New(fullRange).Disc(Point{1, 1}, 5, opaque) // no frame yet
	if len(f.Y) != 65*33 {
		t.Errorf("the frame has %d samples now", len(f.Y))
	}
}

// A point that is no number draws nothing, and nothing stays in the mask.
func TestNothingDrawn(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	c, f := black(t, 40, 30)
	c.Line(Point{nan, 3}, Point{10, 10}, 3, opaque)
	c.Disc(Point{3, nan}, 5, opaque)
	c.Disc(Point{10, 10}, 5, Colour{255, 255, 255, 0})
	c.Disc(Point{10, 10}, 5, Colour{255, 255, 255, nan})
	c.FillPolygon([]Point{{1, 1}, {nan, 9}, {9, 9}}, opaque)
	c.Line(Point{500, 500}, Point{600, 600}, 3, opaque)
	if got := area(f); got != 0 {
		t.Errorf("got %g px² of coverage, want none", got)
	}
	c.Disc(Point{-100, 3}, 5, opaque)
	c.Line(Point{20, 15}, Point{20, 15}, 6, opaque)
	if got, want := area(f), math.Pi*9+math.Pi/12; math.Abs(got-want) > areaTol*want {
		t.Errorf("a line without length covers %g px², want the dot of %g", got, want)
	}
}

func TestOverlapsBlendOnce(t *testing.T) {
	t.Parallel()
	c, f := black(t, 120, 60)
	half := opaque.WithOpacity(0.5)
	red := Colour{255, 255, 255, 0.5000001} // another colour to the run, the same to the eye
	zigzag := []Point{{20, 30}, {60, 30}, {40, 30}, {100, 30}}
	c.Polyline(zigzag, Stroke{WidthPx: 9, Colour: half, Segments: []Colour{half, red, half}})
	if got := slices.Max(f.Y); got > 129 {
		t.Errorf("brightest sample is %d, want half of white", got)
	}
}

func TestSegmentColours(t *testing.T) {
	t.Parallel()
	c, f := black(t, 100, 40)
	grey := Colour{128, 128, 128, 1}
	c.Polyline([]Point{{10, 20}, {50, 20}, {90, 20}}, Stroke{WidthPx: 6, Colour: opaque, Segments: []Colour{grey}})
	if got := f.Y[20*100+25]; got != 128 {
		t.Errorf("first segment is %d, want 128", got)
	}
	if got := f.Y[20*100+75]; got != 255 {
		t.Errorf("second segment is %d, want 255", got)
	}
}

func TestDashes(t *testing.T) {
	t.Parallel()
	c, f := black(t, 300, 40)
	c.Polyline([]Point{{20, 20}, {120, 20}, {260, 20}}, Stroke{WidthPx: 4, Colour: opaque, DashPx: 16, GapPx: 8})
	runs, on := 0, false
	for x := range 300 {
		lit := f.Y[20*300+x] > 127
		if lit && !on {
			runs++
		}
		on = lit
	}
	// 240 px hold ten periods of 24 px.
	if runs != 10 {
		t.Errorf("got %d dashes, want 10", runs)
	}
	want := 10 * (12*4 + math.Pi*4)
	if got := area(f); math.Abs(got-want) > 0.04*want {
		t.Errorf("got %.1f px², want %.1f", got, want)
	}
}

func TestArrowPointsAtItsEnd(t *testing.T) {
	t.Parallel()
	c, f := black(t, 100, 60)
	c.Arrow(Point{10, 30}, Point{90, 30}, 4, 16, opaque)
	want := 64*4 + math.Pi*2 + 16*0.8*16/2
	if got := area(f); math.Abs(got-want) > 0.02*want {
		t.Errorf("got %.1f px², want %.1f", got, want)
	}
	if f.Y[30*100+88] == 0 || f.Y[30*100+92] != 0 {
		t.Error("the head does not end at the end")
	}
}

// TestChroma: colour follows coverage at half resolution, odd ends included.
func TestChroma(t *testing.T) {
	t.Parallel()
	space := media.ColourSpace{Matrix: "bt709"}
	f := media.NewFrame(31, 21)
	f.Fill(space.YUV(0, 0, 0))
	c := New(space).On(f)
	red := Colour{255, 0, 0, 1}
	y, u, v := space.YUV(255, 0, 0)
	// Left half of one chroma sample, whole others, and the odd corner.
	c.Panel(Box{-0.5, -0.5, 10.5, 3.5}, 0, red)
	c.Panel(Box{29.5, 19.5, 30.5, 20.5}, 0, red)
	at := func(x, y int) [2]uint8 { return [2]uint8{f.U[y*16+x], f.V[y*16+x]} }
	if f.Y[0] != y || at(0, 0) != [2]uint8{u, v} || at(4, 1) != [2]uint8{u, v} {
		t.Errorf("inside: got %d %v, want %d [%d %d]", f.Y[0], at(0, 0), y, u, v)
	}
	half := [2]uint8{uint8((128 + int(u)) / 2), uint8((128 + int(v)) / 2)}
	if got := at(5, 0); diffs(got, half) > 1 {
		t.Errorf("half covered: got %v, want %v", got, half)
	}
	if got := at(6, 0); got != [2]uint8{128, 128} {
		t.Errorf("outside: got %v", got)
	}
	if got := at(15, 10); got != [2]uint8{u, v} || f.Y[20*31+30] != y {
		t.Errorf("odd corner: got %v, want [%d %d]", got, u, v)
	}
}

func diffs(a, b [2]uint8) int {
	d := 0
	for i := range a {
		d = max(d, int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return d
}

// Pixels outside the shape stay bit for bit.
func TestRestIsUntouched(t *testing.T) {
	t.Parallel()
	f := media.NewFrame(64, 48)
	for i := range f.Y {
		f.Y[i] = uint8(i * 7)
	}
	for i := range f.U {
		f.U[i], f.V[i] = uint8(i*5), uint8(i*3)
	}
	var before media.Frame
	before.CopyFrom(f)
	New(fullRange).On(f).Disc(Point{20, 20}, 8, opaque)
	for i := range f.Y {
		if math.Hypot(float64(i%64)-20, float64(i/64)-20) > 10 && f.Y[i] != before.Y[i] {
			t.Fatalf("luma at (%d, %d) changed", i%64, i/64)
		}
	}
	for i := range f.U {
		x, y := float64(2*(i%32))+0.5, float64(2*(i/32))+0.5
		if math.Hypot(x-20, y-20) > 11 && (f.U[i] != before.U[i] || f.V[i] != before.V[i]) {
			t.Fatalf("chroma at (%g, %g) changed", x, y)
		}
	}
}

func FuzzFill(f *testing.F) {
	f.Add(1.0, 2.0, 30.0, 4.0, 5.0, 60.0, -3.0, 7.5)
	f.Add(-1e9, 2.0, 1e9, 4.0, 5.0, math.Inf(1), math.NaN(), 7.5)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g, h, i float64) {
		canvas, frame := black(t, 33, 17)
		points := []Point{{a, b}, {c, d}, {e, g}, {h, i}}
		bounds.Limit{Bytes: 1 << 20, CPU: time.Second}.Call(t, func() {
			canvas.FillPolygon(points, opaque)
			canvas.Polyline(points, Stroke{WidthPx: 3, Colour: opaque})
			canvas.mask.clear()
		})
		for _, v := range canvas.mask.pix {
			if v != 0 {
				t.Fatal("the mask was not emptied")
			}
		}
		_ = frame
	})
}
