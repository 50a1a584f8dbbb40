package follow

import (
	"testing"

	"ashline/metrics"
	"ashline/pipeline/footage"
	"ashline/pipeline/track"
)

// What flies beside the barrel is the bat, in whatever part of the clip it is looked for.
func TestHitsAreNotTheBat(t *testing.T) {
	t.Parallel()
	const n, from, to, fps = 120, 60, 80, 240.0
	r := NewRuler(metrics.Card{}, 1280, 720)
	ppm := r.PxPerM()
	for name, c := range map[string]struct {
		asideM float64 // of the barrel from what flies
		want   int
	}{
		"on the barrel":      {0, 0},
		"a hand's breadth":   {overlapM / 2, 0},
		"clear of it":        {4 * overlapM, 1},
		"across the picture": {2, 1},
	} {
		s := Sightings{Footage: footage.Footage{FPS: fps}, Blobs: make([][]track.Blob, n)}
		b := balls{ruler: r, ppm: ppm, blobs: make([][]track.Blob, n)}
		for f := range n {
			at := float64(f) / fps
			s.TimesS = append(s.TimesS, at)
			x := 100 + 30*ppm*(at-from/fps) // 30 m/s
			if f < from || f >= to {
				continue
			}
			b.blobs[f] = []track.Blob{{X: x, Y: 300, Mass: 40, Along: 3, Cross: 3}}
			b.barrel = append(b.barrel, metrics.Sample{Frame: f, TimeS: at, XPx: x, YPx: 300 + c.asideM*ppm})
		}
		b.s = s
		if got := len(b.between(from, to, b.hits(hitMinMPS, 0))); got != c.want {
			t.Errorf("%s: %d flights, want %d", name, got, c.want)
		}
	}
}
