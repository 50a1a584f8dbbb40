package overlay

import (
	"math"
	"testing"

	"ashline/metrics/geom"
	"ashline/pipeline/draw"
	"ashline/pipeline/media"
)

// A mirrored, shrunk screen shows everything where the whole one does, mirrored and
// shrunk.
func TestMirroredScreen(t *testing.T) {
	t.Parallel()
	scr := Screen{kx: -0.5, ky: 0.5, atX: 320, atY: 10}
	cur, sw := lineCurves(), zoneSwing()
	whole, got := newPitchLine(cur, sw, true, Whole), newPitchLine(cur, sw, true, scr)
	same := func(what string, a, b draw.Point) {
		t.Helper()
		if w := scr.On(geom.Point{a.X, a.Y}); math.Hypot(w.X-b.X, w.Y-b.Y) > 1e-9 {
			t.Errorf("%s at (%.3f, %.3f), want (%.3f, %.3f)", what, b.X, b.Y, w.X, w.Y)
		}
	}
	same("from", whole.from, got.from)
	same("contact", whole.contact, got.contact)
	same("to", whole.to, got.to)
	for i := range whole.band {
		same("band", whole.band[i], got.band[i])
	}
	same("zone's rear end", whole.zone.behind, got.zone.behind)
	same("zone's front end", whole.zone.ahead, got.zone.ahead)
	if p := scr.Off(scr.On(geom.Point{31, 77})); math.Hypot(p[0]-31, p[1]-77) > 1e-9 {
		t.Errorf("there and back: %v", p)
	}
}

// A warped frame shows the picture's places where the screen says, mirrored too.
func TestWarp(t *testing.T) {
	t.Parallel()
	from := media.NewFrame(200, 100)
	from.Fill(30, 128, 128)
	// A round spot, wide enough that sampling it more coarsely does not move it.
	spot := func(pix []byte, w int, x0, y0, sd, size float64) {
		for i := range pix {
			x, y := float64(i%w)-x0, float64(i/w)-y0
			pix[i] = uint8(math.Round(float64(pix[i]) + size*math.Exp(-(x*x+y*y)/(2*sd*sd))))
		}
	}
	spot(from.Y, 200, 123.5, 43.5, 5, 190)
	spot(from.U, 100, 61.5, 21.5, 3, -68) // the same place: (123.5 − 0.5) / 2
	p := NewWarper()
	defer p.Close()
	for _, scr := range []Screen{Whole, {kx: 0.5, ky: 0.5, atX: 7, atY: 3}, {kx: -1.5, ky: 1.5, atX: 280, atY: -20}} {
		to := media.NewFrame(160, 90)
		if err := p.Show(to, from, scr); err != nil {
			t.Fatal(err)
		}
		at := scr.On(geom.Point{123.5, 43.5})
		for _, plane := range []struct {
			name       string
			pix        []byte
			w, h, grey int
			x, y       float64
		}{{"luma", to.Y, 160, 90, 30, at.X, at.Y}, {"chroma", to.U, 80, 45, 128, (at.X - 0.5) / 2, (at.Y - 0.5) / 2}} {
			var sum, sx, sy float64
			for y := range plane.h {
				for x := range plane.w {
					// Beyond the picture's end it is dark, not grey.
					if q := scr.Off(draw.Point{X: float64(x) * at.X / plane.x, Y: float64(y) * at.Y / plane.y}); q[0] < 60 || q[0] > 190 || q[1] < 10 || q[1] > 90 {
						continue
					}
					k := math.Abs(float64(plane.pix[y*plane.w+x]) - float64(plane.grey))
					sum, sx, sy = sum+k, sx+k*float64(x), sy+k*float64(y)
				}
			}
			if math.Hypot(sx/sum-plane.x, sy/sum-plane.y) > 0.15 {
				t.Errorf("%v: %s at (%.2f, %.2f), want (%.2f, %.2f)", scr, plane.name, sx/sum, sy/sum, plane.x, plane.y)
			}
		}
	}
}

// A region fills its screen with the picture, with contact in it.
func TestRegion(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name       string
		wide, high int
		scaled     bool
	}{{"landscape", 640, 360, true}, {"without a scale", 640, 360, false}, {"upright", 720, 1280, true}, {"small", 320, 180, true}} {
		for _, mirrored := range []bool{false, true} {
			cur := lineCurves()
			s := region(cur, c.scaled, c.wide, c.high, 480, 540, mirrored, 0)
			a, b := s.On(geom.Point{0, 0}), s.On(geom.Point{float64(c.wide), float64(c.high)})
			if math.Min(a.X, b.X) > 0.5 || a.Y > 0.5 || math.Max(a.X, b.X) < 478.5 || b.Y < 539.5 {
				t.Errorf("%s, mirrored %v: the picture from %v to %v does not fill 480 × 540", c.name, mirrored, a, b)
			}
			at := s.On(cur.Barrel(cur.ContactS))
			if c.high > 300 && (at.X < 0 || at.X > 479 || at.Y < 0 || at.Y > 539) {
				t.Errorf("%s, mirrored %v: contact is drawn at %v", c.name, mirrored, at)
			}
			if (s.kx < 0) != mirrored {
				t.Errorf("%s: kx %g", c.name, s.kx)
			}
		}
	}
}
