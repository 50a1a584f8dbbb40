package metrics

import (
	"math"
	"testing"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestViewProjectsBack(t *testing.T) {
	t.Parallel()
	v := View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.2, RollRad: 0.05, TiltRad: 0.07, YawRad: -0.2, Sign: -1, Lens: true}
	for _, w := range []World{{0.3, 0, -0.4}, {-1.2, 0.5, 0.2}, {0.8, -0.6, 0.9}} {
		got := v.At(v.Project(w), w.Y)
		if !near(got.X, w.X, 1e-9) || !near(got.Z, w.Z, 1e-9) {
			t.Errorf("At(Project(%v)) = %v", w, got)
		}
	}
}

// A camera 6 m away shows a thing 0.3 m nearer larger by D/(D−d), 5.26 %.
// Source: pinhole geometry; the figure is computed.
func TestViewDepthScale(t *testing.T) {
	t.Parallel()
	v := View{FocalPx: 1800, DistanceM: 6, Sign: 1, Lens: true}
	a, b := v.Project(World{X: 1, Y: 0.3}), v.Project(World{X: 1})
	if got := a[0]/b[0] - 1; !near(got, 0.3/5.7, 1e-12) {
		t.Errorf("scale error %.6f, want %.6f", got, 0.3/5.7)
	}
}

func TestViewScaleWithYawAndHeight(t *testing.T) {
	t.Parallel()
	// The lens stands 1.2 m up, 6 m from the plane, turned 12° to the pitcher.
	truth := View{FocalPx: 1700, CX: 639.5, CY: 359.5, DistanceM: 6, YawRad: 12 * math.Pi / 180, Sign: 1, Lens: true}
	front, rear := World{X: 0.2159, Z: -1.2}, World{X: -0.2159, Z: -1.2}
	p, q := truth.Project(front), truth.Project(rear)
	card := Card{Camera: Camera{DistanceM: math.Hypot(6, 1.2), YawDeg: 12}, Scale: []Scale{{Points: []Point{p, q}, LengthM: 0.4318}}}
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
