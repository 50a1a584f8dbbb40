package scene

import (
	"math"
	"testing"
)

// setup builds a scene or fails the test.
func setup(t *testing.T, p Params) *Scene {
	t.Helper()
	s, err := New(p)
	if err != nil {
		t.Fatalf("New(%+v): %v", p, err)
	}
	return s
}

// small is a scene that renders quickly.
func small(p Params) Params {
	p.WidthPx, p.HeightPx = 320, 180
	p.LeadInS, p.RunOutS = 0.1, 0.05
	return p
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", what, got, want, tol)
	}
}

// lit renders frame i in linear light without the sensor's noise, and the same
// without anything that moves.
func lit(s *Scene, i int) (picture, empty []float32) {
	s.once.Do(func() { s.stage = newStage(s); s.crew = newCrew(s) })
	n := 3 * s.P.WidthPx * s.P.HeightPx
	d := &studio{base: make([]float32, n), acc: make([]float32, n), people: newLayer(s.P.WidthPx, s.P.HeightPx)}
	s.light(i, d)
	return d.acc, d.base
}
