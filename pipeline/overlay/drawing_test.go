package overlay

import (
	"math"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"
)

// grey is a canvas on an even grey frame.
func grey(w, h int) (*draw.Canvas, *media.Frame) {
	f := media.NewFrame(w, h)
	f.Fill(120, 128, 128)
	return draw.New(media.ColourSpace{Matrix: "bt709"}).On(f), f
}

// drawnSwing is a swing on the level curve of lineCurves, with all key
// positions but lag.
func drawnSwing(c *draw.Canvas) *Drawing {
	cur, sw := lineCurves(), zoneSwing()
	// Up and down again, so that launch and finish lie apart from contact.
	cur.Barrel = func(t float64) geom.Point {
		d := t - 0.5
		return geom.Point{286 + 900*d, 197 - 3000*d*d}
	}
	cur.FirstS, cur.LastS = 0.3, 0.75
	key := func(s float64) metrics.Key {
		return metrics.Key{TimeS: &s, Status: metrics.Measured}
	}
	sw.Keys = metrics.Keys{Launch: key(-0.16), Contact: key(0), Finish: key(0.19)}
	s := footage.Footage{FPS: 240, TimesS: evenTimes(240, 1)}
	return NewDrawing(c, s, metrics.Study{Swings: []metrics.Curves{cur}, Result: metrics.Result{Swings: []metrics.Swing{sw}}}, 0, Whole)
}

// changed reports whether the luma within 2 px of p differs from the grey.
func changed(f *media.Frame, p draw.Point) bool {
	for y := int(p.Y) - 2; y <= int(p.Y)+2; y++ {
		for x := int(p.X) - 2; x <= int(p.X)+2; x++ {
			if x >= 0 && y >= 0 && x < f.W && y < f.H && f.Y[y*f.W+x] != 120 {
				return true
			}
		}
	}
	return false
}

func TestKeysAppearWhenReached(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		atS    float64 // from contact
		launch bool
		cont   bool
		finish bool
	}{
		{"before launch", -0.18, false, false, false},
		{"frame nearest to launch", -0.161, true, false, false},
		{"one frame before contact", -0.0042, true, false, false},
		{"frame nearest to contact", -0.0018, true, true, false},
		{"after contact", 0.1, true, true, false},
		{"after finish", 0.2, true, true, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			c, f := grey(640, 360)
			d := drawnSwing(c)
			d.Draw(c, 0.5+tc.atS, steady.Still)
			want := map[string]bool{"launch": tc.launch, "contact": tc.cont, "finish": tc.finish}
			for _, k := range d.keys {
				// The dot is white: brighter than the grey, the path and casings.
				got := f.Y[int(math.Round(k.at.Y))*f.W+int(math.Round(k.at.X))] > 220
				if got != want[k.name] {
					t.Errorf("dot of %s drawn: %v, want %v", k.name, got, want[k.name])
				}
			}
			rows := d.panel.box
			inRows := draw.Point{X: rows.X0 + 6, Y: (rows.Y0 + rows.Y1) / 2}
			if got := changed(f, inRows); got != tc.cont {
				t.Errorf("figures drawn: %v, want %v", got, tc.cont)
			}
		})
	}
}

// What is drawn follows the camera: a frame that shows everything 60 px
// higher than the first carries the path there.
func TestDrawFollowsCamera(t *testing.T) {
	t.Parallel()
	move := steady.Still
	move.TY = 60
	c, f := grey(640, 360)
	d := drawnSwing(c)
	at := d.cur.Barrel(0.44)
	d.Draw(c, 0.46, move)
	if !changed(f, draw.Point{X: at[0], Y: at[1] - 60}) {
		t.Error("no path where the frame shows it")
	}
	if changed(f, draw.Point{X: at[0], Y: at[1]}) {
		t.Error("path drawn where the first frame would show it")
	}
}

func TestLabelsAndPanelKeepApart(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{640, 360}, {1280, 720}, {720, 1280}} {
		c, _ := grey(size[0], size[1])
		d := drawnSwing(c)
		if len(d.taken) != 4 {
			t.Fatalf("%v: %d labels, want launch, contact, finish and the zone's", size, len(d.taken))
		}
		frame := draw.Box{X1: float64(size[0]), Y1: float64(size[1])}
		boxes := append([]draw.Box{d.panel.box}, d.taken...)
		for i, a := range boxes {
			if a.X0 < frame.X0 || a.Y0 < frame.Y0 || a.X1 > frame.X1 || a.Y1 > frame.Y1 {
				t.Errorf("%v: box %d %v leaves the frame", size, i, a)
			}
			for j, b := range boxes[:i] {
				if a.Overlaps(b) {
					t.Errorf("%v: boxes %d %v and %d %v overlap", size, i, a, j, b)
				}
			}
		}
	}
}

func TestReadouts(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	got := func(v float64, unit string) metrics.Value { return metrics.Got(v, nan, nan, unit) }
	var sw metrics.Swing
	sw.Metrics[catalogue.PlaneAttackDeg] = got(-3.14, "deg").As(metrics.Assumed, "contact is assumed")
	sw.Metrics[catalogue.PlaneGapDeg] = got(4.26, "deg")
	sw.Metrics[catalogue.ZoneDurationS], sw.Metrics[catalogue.ZoneLengthM] = got(0.0184, "s"), got(0.393, "m")
	sw.Metrics[catalogue.SpeedBarrelContactMPS] = got(31.2928, "m/s") // 70 mph
	want := [][2]string{{"≈ −3.1°", ""}, {"–", ""}, {"+4.3°", ""}, {"18 ms", "0.39 m"}, {"31.3 m/s", "70 mph"}}
	for i, r := range readouts(sw) {
		if r.value != want[i][0] || r.small != want[i][1] {
			t.Errorf("%s: %q %q, want %q %q", r.name, r.value, r.small, want[i][0], want[i][1])
		}
	}
	for s, text := range map[float64]string{-0.0243: "−24 ms", 0.0004: "0 ms", -0.0004: "0 ms", 0.192: "+192 ms"} {
		if got := clock(s); got != text {
			t.Errorf("clock(%g) = %q, want %q", s, got, text)
		}
	}
}
