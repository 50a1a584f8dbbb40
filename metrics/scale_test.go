package metrics

import (
	"math"
	"testing"

	"ashline/metrics/geom"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// One source of scale that contradicts the others is not used; two that differ within
// their errors are weighed, and the error grows with what they differ by.
func TestRulersTogether(t *testing.T) {
	t.Parallel()
	points, ball, marks := ruler{"points", 1, 0.017}, ruler{"ball", 1.02, 0.02}, ruler{"bat_marks", 0.99, 0.03}
	for _, c := range []struct {
		name   string
		rulers []ruler
		odd    int
	}{
		{"alone", []ruler{points}, -1},
		{"agree", []ruler{points, ball, marks}, -1},
		{"small ball", []ruler{points, {"ball", 1.21, 0.02}, marks}, 1},
		{"wrong click", []ruler{{"points", 0.8, 0.017}, ball, marks}, 0},
		{"of two the later", []ruler{points, {"ball", 1.21, 0.02}}, 1},
	} {
		if got := odd(c.rulers); got != c.odd {
			t.Errorf("%s: odd is %d, want %d", c.name, got, c.odd)
		}
	}
	// By hand: equal errors of 2 %, 4 % apart in the logarithm: chi² = 2 for one degree
	// of freedom, so the error of the mean, 2 %/√2, grows by √2.
	grow, relSD := together([]ruler{{"a", math.Exp(-0.02), 0.02}, {"b", math.Exp(0.02), 0.02}})
	if math.Abs(grow) > 1e-12 || math.Abs(relSD-0.02) > 1e-12 {
		t.Errorf("together %g ± %g, want 0 ± 0.02", grow, relSD)
	}
}

func TestViewScaleWithYawAndHeight(t *testing.T) {
	t.Parallel()
	// The lens stands 1.2 m up, 6 m from the plane, turned 12° to the pitcher.
	truth := geom.View{FocalPx: 1700, CX: 639.5, CY: 359.5, DistanceM: 6, YawRad: 12 * math.Pi / 180, Sign: 1, Lens: true}
	front, rear := geom.World{X: 0.2159, Z: -1.2}, geom.World{X: -0.2159, Z: -1.2}
	p, q := truth.Project(front), truth.Project(rear)
	card := Card{Camera: Camera{DistanceM: math.Hypot(6, 1.2), YawDeg: 12}, Scale: []Scale{{Points: []geom.Point{p, q}, LengthM: 0.4318}}}
	v, use := NewView(card, 1280, 720)
	if use.Source != "points" {
		t.Fatalf("source %q", use.Source)
	}
	// The middle of the two pixels is not the picture of the middle, hence 0.2 %.
	if math.Abs(v.FocalPx/truth.FocalPx-1) > 0.002 || math.Abs(v.DistanceM/6-1) > 0.002 {
		t.Errorf("focal %.1f px at %.3f m, want 1700 at 6", v.FocalPx, v.DistanceM)
	}
}

func TestPitcherSide(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		bats, side, pitcher string
		want                bool
	}{
		{"right", "open", "", true},
		{"right", "closed", "", false},
		{"left", "open", "", false},
		{"left", "closed", "", true},
		{"right", "open", "left", false},
		{"", "", "", true},
	} {
		card := Card{Bats: c.bats, Camera: Camera{Side: c.side, Pitcher: c.pitcher}}
		if got := card.PitcherRight(); got != c.want {
			t.Errorf("%+v: pitcher right = %v", c, got)
		}
	}
}
