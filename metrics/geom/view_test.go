package geom

import (
	"math"
	"testing"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestViewProjectsBack(t *testing.T) {
	t.Parallel()
	v := View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.2, RollRad: 0.05, TiltRad: 0.07, YawRad: -0.2, Sign: -1, Lens: true}
	for _, w := range []World{{X: 0.3, Z: -0.4}, {X: -1.2, Y: 0.5, Z: 0.2}, {X: 0.8, Y: -0.6, Z: 0.9}} {
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
