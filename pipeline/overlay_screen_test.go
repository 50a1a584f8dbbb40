package pipeline

import (
	"math"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/draw"
)

// A mirrored, shrunk screen shows everything where the whole one does, mirrored and
// shrunk.
func TestMirroredScreen(t *testing.T) {
	t.Parallel()
	scr := screen{kx: -0.5, ky: 0.5, atX: 320, atY: 10}
	cur, sw := lineCurves(), zoneSwing()
	whole, got := newPitchLine(cur, sw, true, wholeScreen), newPitchLine(cur, sw, true, scr)
	same := func(what string, a, b draw.Point) {
		t.Helper()
		if w := scr.on(metrics.Point{a.X, a.Y}); math.Hypot(w.X-b.X, w.Y-b.Y) > 1e-9 {
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
	if p := scr.off(scr.on(metrics.Point{31, 77})); math.Hypot(p[0]-31, p[1]-77) > 1e-9 {
		t.Errorf("there and back: %v", p)
	}
}
