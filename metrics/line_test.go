package metrics

import (
	"math"
	"testing"

	"ashline/metrics/contact"
	"ashline/metrics/geom"
)

// By hand, at 200 px a metre: a line drawn over 200 px that falls by 20 px towards the
// hitter falls by atan 0.1, whichever end was drawn first and whichever side the pitcher
// stands on; it passes its end at the hitter.
func TestDrawnLine(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		sign   float64
		points []geom.Point
	}{
		{"pitcher at the right", 1, []geom.Point{{840, 340}, {640, 360}}},
		{"drawn backwards", 1, []geom.Point{{640, 360}, {840, 340}}},
		{"pitcher at the left", -1, []geom.Point{{440, 340}, {640, 360}}},
	} {
		s := setting{
			view: geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: c.sign, Lens: true},
			card: Card{Pitch: PitchCard{Line: "drawn", Points: c.points}},
		}
		got := lineAt(s, motion{}, contact.Pitch{}, [2]float64{5, 5})
		if want := math.Atan(0.1) * 180 / math.Pi; !got.ok || !near(got.line.DescentDeg, want, 1e-9) || math.Hypot(got.line.PointM[0], got.line.PointM[1]) > 1e-9 || got.ball != nil || got.speed != 0 {
			t.Errorf("%s: %+v, want a descent of %.3f° through 0, 0", c.name, got, want)
		}
		if src := lineSource(s.card, motion{}); src != "drawn" {
			t.Errorf("source %q", src)
		}
	}
	none := setting{card: Card{Pitch: PitchCard{Line: "drawn", Points: []geom.Point{{1, 2}}}}}
	if got := lineAt(none, motion{}, contact.Pitch{}, [2]float64{}); got.ok {
		t.Errorf("from one point: %+v", got)
	}
}

// A flight computed from the card passes where the barrel was when no ball was seen, and
// a nuisance adds its degrees.
func TestComputedLinePasses(t *testing.T) {
	t.Parallel()
	s := setting{card: Card{Pitch: PitchCard{Line: "flight", SpeedMPS: 38}}}
	a := lineAt(s, motion{}, contact.Pitch{}, [2]float64{0.3, 0.7})
	b := lineAt(s, motion{wrong: nuisance{descent: 1.5}}, contact.Pitch{}, [2]float64{0.3, 0.7})
	if !a.ok || a.line.PointM != [2]float64{0.3, 0.7} || !near(b.line.DescentDeg-a.line.DescentDeg, 1.5, 1e-12) {
		t.Errorf("%+v and %+v", a, b)
	}
	if src := lineSource(s.card, motion{}); src != "flight" {
		t.Errorf("source %q", src)
	}
	// Without a speed there is no flight.
	s.card.Pitch.SpeedMPS = 0
	if got := lineAt(s, motion{}, contact.Pitch{}, [2]float64{}); got.ok {
		t.Errorf("without a speed: %+v", got)
	}
}
