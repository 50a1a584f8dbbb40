package footage

import (
	"math"
	"testing"

	"ashline/pipeline/media"
	"ashline/pipeline/steady"
)

func TestNearest(t *testing.T) {
	t.Parallel()
	times := []float64{0, 0.1, 0.2, 0.5}
	for at, want := range map[float64]int{-1: 0, 0: 0, 0.04: 0, 0.06: 1, 0.2: 2, 0.34: 2, 0.36: 3, 9: 3} {
		if got := Nearest(times, at); got != want {
			t.Errorf("Nearest(%g) = %d, want %d", at, got, want)
		}
	}
}

func TestFrameAt(t *testing.T) {
	t.Parallel()
	f := Footage{TimesS: []float64{0, 0.1, 0.2, 0.5}}
	for at, want := range map[float64]float64{-0.05: 0, 0: 0, 0.04: 0.4, 0.06: 0.6, 0.2: 2, 0.35: 2.5, 0.5: 3, 0.8: 4} {
		if got := f.FrameAt(at); math.Abs(got-want) > 1e-12 {
			t.Errorf("FrameAt(%g) = %g, want %g", at, got, want)
		}
	}
	if got := (Footage{TimesS: []float64{0}}).FrameAt(3); got != 0 {
		t.Errorf("of one frame: got %g, want 0", got)
	}
}

// A camera that goes 3 px to the right and 4 px down moves all it films the other way.
func TestMoved(t *testing.T) {
	t.Parallel()
	f := Footage{Info: media.Info{Width: 640, Height: 360}, Moves: []steady.Transform{
		steady.Still, {XX: 1, YY: 1, TX: 3, TY: 4}, {XX: 1, YY: 1, TX: 1},
	}}
	if dx, dy := f.MiddleMoved(1); math.Abs(dx+3) > 1e-12 || math.Abs(dy+4) > 1e-12 {
		t.Errorf("the middle moved by [%g, %g], want [-3, -4]", dx, dy)
	}
	if px, frame := f.FarthestMoved(); math.Abs(px-5) > 1e-12 || frame != 1 {
		t.Errorf("moved %g px in frame %d, want 5 in 1", px, frame)
	}
	if got := f.Drift(); math.Abs(got-5) > 1e-12 {
		t.Errorf("drift %g px, want 5", got)
	}
}
