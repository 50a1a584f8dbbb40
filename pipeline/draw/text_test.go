package draw

import (
	"math"
	"testing"

	"ashline/pipeline/media"

	"golang.org/x/image/font"
)

func TestTextFillsItsBox(t *testing.T) {
	t.Parallel()
	for _, bold := range []bool{false, true} {
		for anchor := TopLeft; anchor <= BottomRight; anchor++ {
			c, f := black(t, 400, 200)
			box := c.Text("gH 12.3 ms", Point{200, 100}, TextStyle{SizePx: 40, Bold: bold, Anchor: anchor})
			at := Point{box.X0 + box.W()*float64(anchor%3)/2, box.Y0 + box.H()*float64(anchor/3)/2}
			if math.Hypot(at.X-200, at.Y-100) > 1e-9 {
				t.Errorf("anchor %d: box %v is not at the place", anchor, box)
			}
			ink := inkBox(f)
			// Letters have side bearings and round to whole rows.
			if ink.X0 < box.X0-2 || ink.X1 > box.X1+2 || ink.Y0 < box.Y0-2 || ink.Y1 > box.Y1+2 {
				t.Errorf("anchor %d: letters in %v, box %v", anchor, ink, box)
			}
			if ink.W() < 0.9*box.W() || ink.H() < 0.9*box.H() {
				t.Errorf("anchor %d: letters in %v fill too little of %v", anchor, ink, box)
			}
		}
	}
}

// inkBox is the box of all covered pixels.
func inkBox(f *media.Frame) Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i, v := range f.Y {
		if v > 0 {
			x, y := float64(i%f.W), float64(i/f.W)
			b = Box{min(b.X0, x-0.5), min(b.Y0, y-0.5), max(b.X1, x+0.5), max(b.Y1, y+0.5)}
		}
	}
	return b
}

func TestTextMovesByQuarters(t *testing.T) {
	t.Parallel()
	centre := func(x float64) Point {
		c, f := black(t, 100, 60)
		c.Text("o", Point{x, 20}, TextStyle{SizePx: 20})
		return centroid(f)
	}
	from := centre(30)
	for _, step := range []float64{0.25, 0.5, 0.75, 1, 7.25} {
		if got := centre(30+step).X - from.X; math.Abs(got-step) > 0.06 {
			t.Errorf("moved by %g px, the letter by %g", step, got)
		}
	}
}

func TestTextStaysInside(t *testing.T) {
	t.Parallel()
	c, _ := black(t, 300, 100)
	for _, at := range []Point{{-50, -50}, {400, 200}, {150, 99}, {299, 0}} {
		box := c.Text("contact", at, TextStyle{SizePx: 20, Inside: true, Plate: Plate, Anchor: Bottom})
		if box.X0 < 0 || box.Y0 < 0 || box.X1 > 299 || box.Y1 > 99 {
			t.Errorf("at %v: box %v leaves the frame", at, box)
		}
	}
}

func TestMeasureMatchesText(t *testing.T) {
	t.Parallel()
	c, _ := black(t, 300, 100)
	s := TextStyle{SizePx: 22, Plate: Plate, HaloPx: 2}
	want := c.Measure("slot 48 ms", s)
	got := c.Text("slot 48 ms", Point{10, 20}, s)
	if math.Abs(got.W()-want.W()) > 1e-9 || math.Abs(got.H()-want.H()) > 1e-9 {
		t.Errorf("got %v, measured %v", got, want)
	}
}

// Halo, letters and plate of a text over a mid-grey must differ clearly in
// luma, whatever the ground.
func TestTextHasContrast(t *testing.T) {
	t.Parallel()
	space := media.ColourSpace{}
	for _, ground := range []uint8{20, 128, 230} {
		f := media.NewFrame(200, 80)
		f.Fill(ground, 128, 128)
		New(space).On(f).Text("HHHH", Point{20, 20}, TextStyle{SizePx: 32, HaloPx: 3})
		var low, high uint8 = 255, 0
		for _, v := range f.Y {
			low, high = min(low, v), max(high, v)
		}
		if high < 230 || low > 90 {
			t.Errorf("ground %d: luma from %d to %d", ground, low, high)
		}
	}
}

func TestTextPx(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		w, h int
		want float64
	}{{1920, 1080, 1080. / 28}, {1280, 720, 720. / 28}, {1080, 1920, 1080. / 16}, {64, 48, 8}} {
		if got := TextPx(tt.w, tt.h); got != tt.want {
			t.Errorf("TextPx(%d, %d) = %g, want %g", tt.w, tt.h, got, tt.want)
		}
	}
}

// The layout takes its constants from the fonts.
func TestFontHeights(t *testing.T) {
	t.Parallel()
	for _, bold := range []bool{false, true} {
		var g glyphCache
		face := g.face(faceKey{quarters: 4 * 200, bold: bold})
		m := face.Metrics()
		if got := float64(m.CapHeight) / 64 / 200; math.Abs(got-capHeight) > 0.01 {
			t.Errorf("capitals are %g of the size high, want %g", got, capHeight)
		}
		box, _ := font.BoundString(face, "gjpqy")
		if got := float64(box.Max.Y) / 64 / 200; math.Abs(got-descent) > 0.02 {
			t.Errorf("letters hang %g of the size below the line, want %g", got, descent)
		}
	}
}

func TestUnknownLetters(t *testing.T) {
	t.Parallel()
	c, f := black(t, 200, 60)
	if box := c.Text("\u4e00\U0001f3cf\xff", Point{5, 5}, TextStyle{SizePx: 24}); !(box.W() > 0) {
		t.Errorf("box %v", box)
	}
	if area(f) == 0 {
		t.Error("unknown letters leave no trace")
	}
}

func TestCacheIsBounded(t *testing.T) {
	t.Parallel()
	c, _ := black(t, 64, 48)
	for i := range 200 {
		c.Text("0123456789", Point{1, 1}, TextStyle{SizePx: 8 + float64(i)/4})
	}
	if len(c.glyphs.faces) > maxFaces || len(c.glyphs.glyphs) > maxGlyphs {
		t.Errorf("cache holds %d faces, %d letters", len(c.glyphs.faces), len(c.glyphs.glyphs))
	}
}
