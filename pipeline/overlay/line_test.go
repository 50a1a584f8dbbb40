package overlay

import (
	"math"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
)

// lineCurves is a level view of 200 px a metre, the pitch from the right, with
// the ball met at (300, 200) and the barrel 14 px behind it, 3 px above.
func lineCurves() metrics.Curves {
	v := geom.View{FocalPx: 200 * 6, CX: 300, CY: 200, DistanceM: 6, Sign: 1}
	return metrics.Curves{
		Known: true, Tracked: true, View: v, ContactS: 0.5, LinePx: 14,
		Line:   [2]geom.Point{v.Project(geom.World{X: 1, Z: 0.1}), v.Project(geom.World{X: -1, Z: -0.1})},
		Barrel: func(t float64) geom.Point { return geom.Point{286 + 5000*(t-0.5), 197} },
	}
}

func zoneSwing() metrics.Swing {
	nan := math.NaN()
	got := func(v float64, unit string) metrics.Value { return metrics.Got(v, nan, nan, unit) }
	var sw metrics.Swing
	sw.Line = "tracked"
	sw.Metrics[catalogue.ZoneEnterS], sw.Metrics[catalogue.ZoneLeaveS] = got(-0.01, "s"), got(0.02, "s")
	sw.Metrics[catalogue.ZoneLengthM], sw.Metrics[catalogue.ZoneBehindM], sw.Metrics[catalogue.ZoneAheadM] = got(0.5, "m"), got(0.2, "m"), got(0.3, "m")
	return sw
}

func TestPitchLinePlaces(t *testing.T) {
	t.Parallel()
	l := newPitchLine(lineCurves(), zoneSwing(), true, Whole)
	want := func(name string, p draw.Point, x, y float64) {
		t.Helper()
		if math.Hypot(p.X-x, p.Y-y) > 0.01 {
			t.Errorf("%s at (%.2f, %.2f), want (%.2f, %.2f)", name, p.X, p.Y, x, y)
		}
	}
	// One metre along the line is 200 px right and 20 px up.
	want("contact", l.contact, 300, 200)
	want("from", l.from, 300+200*lineBeforeM, 200-20*lineBeforeM)
	want("to", l.to, 300-200*lineAfterM, 200+20*lineAfterM)
	// Every corner of the band lies the zone's distance from the line.
	for i, p := range l.band {
		if d := math.Abs((p.X-300)*20+(p.Y-200)*200) / math.Hypot(200, 20); math.Abs(d-14) > 0.01 {
			t.Errorf("corner %d of the band lies %.2f px from the line, want 14", i, d)
		}
	}
	// The zone counts from the barrel's place beside the line, 14.2 px behind
	// the ball's.
	z := l.zone
	if z == nil {
		t.Fatal("no bracket")
	}
	if got := math.Hypot(z.ahead.X-z.behind.X, z.ahead.Y-z.behind.Y); math.Abs(got-0.5*math.Hypot(200, 20)) > 0.01 {
		t.Errorf("bracket is %.2f px long, want 0.5 m", got)
	}
	foot := (-14.0*200 + -3*-20) / math.Hypot(200, 20)
	mid := ((z.middle().X-300)*200 + (z.middle().Y-200)*-20) / math.Hypot(200, 20)
	if wantMid := foot + 0.05*math.Hypot(200, 20); math.Abs(mid-wantMid) > 0.1 {
		t.Errorf("bracket's middle %.2f px from contact, want %.2f", mid, wantMid)
	}
	if z.enterS != 0.49 || z.leaveS != 0.52 || z.text != "0.50 m" {
		t.Errorf("bracket %g to %g s, %q", z.enterS, z.leaveS, z.text)
	}
}

func TestPitchLineWhatIsKnown(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name                 string
		change               func(*metrics.Curves, *metrics.Swing)
		scaled               bool
		line, banded, bracke bool
	}{
		{"all", func(*metrics.Curves, *metrics.Swing) {}, true, true, true, true},
		{"no scale", func(*metrics.Curves, *metrics.Swing) {}, false, true, false, false},
		{"no line", func(c *metrics.Curves, _ *metrics.Swing) { c.Tracked = false }, true, false, false, false},
		{"never in the zone", func(_ *metrics.Curves, s *metrics.Swing) {
			for m := range s.Metrics {
				s.Metrics[m] = metrics.Value{}
			}
			s.Metrics[catalogue.ZoneLengthM] = metrics.Got(0, 0, 0, "m")
		}, true, true, true, false},
		{"not a number", func(c *metrics.Curves, _ *metrics.Swing) { c.Line[0][0] = math.NaN() }, true, false, false, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			cur, sw := lineCurves(), zoneSwing()
			tc.change(&cur, &sw)
			l := newPitchLine(cur, sw, tc.scaled, Whole)
			if (l != nil) != tc.line || l != nil && (l.banded != tc.banded || (l.zone != nil) != tc.bracke) {
				t.Errorf("line %+v, want line %v, band %v, bracket %v", l, tc.line, tc.banded, tc.bracke)
			}
		})
	}
}

// A line from the card turns from unbroken to dashed beside the barrel, not in
// the middle of the two points that the coach drew.
func TestDrawnLineTurnsAtBarrel(t *testing.T) {
	t.Parallel()
	cur, sw := lineCurves(), zoneSwing()
	sw.Line = "drawn"
	cur.Barrel = func(float64) geom.Point { return geom.Point{380, 192} }
	l := newPitchLine(cur, sw, true, Whole)
	if math.Hypot(l.contact.X-380, l.contact.Y-192) > 0.01 {
		t.Errorf("turns at %v, want (380, 192)", l.contact)
	}
}
