package metrics

import (
	"math"
	"testing"

	"ashline/metrics/bat/battest"
	"ashline/metrics/geom"
)

// The barrel is told in every frame of a swing: where the band was seen from the sighting,
// on the bat's axis; where it was hidden from the bat as a whole.
func TestBarrelInEveryFrame(t *testing.T) {
	t.Parallel()
	b, truth := fitted(t)
	span := Span{0, len(b.p.barrel)}
	cur := curvesOf(b.p, b.m, b.whole, span)
	view := geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: filmDistanceM, Sign: 1, Lens: true}
	for f, s := range b.whole.axisPx {
		w, _ := truth(s.TimeS, battest.LeverM)
		px := view.Project(w)
		for name, c := range map[string]struct {
			seen    Sample
			sighted bool
			how     How
		}{"seen": {s, true, Seen}, "hidden": {Sample{}, false, Filled}} {
			got, ok := cur.place(f, s.TimeS, c.seen, c.sighted)
			if !ok || got.How != c.how || got.Frame != f || math.Hypot(got.XPx-px[0], got.YPx-px[1]) > 1.5 || got.VarXX <= 0 || got.VarXX != got.VarYY {
				t.Errorf("%s, frame %d: %+v, known %v; want %s at %.1f", name, f, got, ok, c.how, px)
			}
		}
		// A sighting that is off by what both are unsure of is believed.
		hidden, _ := cur.place(f, s.TimeS, Sample{}, false)
		on := s
		on.XPx = hidden.XPx + 2.8*math.Sqrt(hidden.VarXX+s.VarXX)
		on.YPx = hidden.YPx
		if got, ok := cur.place(f, s.TimeS, on, true); !ok || got.How != Seen {
			t.Errorf("2.8 s.d. off, frame %d: %+v, known %v", f, got, ok)
		}
		// What lies 30 px off is another thing, or the bat is wrong: told as neither.
		s.XPx += 30
		if got, ok := cur.place(f, s.TimeS, s, true); ok || got.How != Filled || got.VarXX < 400 {
			t.Errorf("30 px off, frame %d: %+v, known %v", f, got, ok)
		}
	}
	// Curves give the same place, and the pitch line through the ball's, 1 m each way and
	// ball and barrel wide.
	if !cur.Known || !cur.Tracked || cur.ContactS != b.m.contact.TimeS {
		t.Fatalf("known %v, tracked %v, contact %g s", cur.Known, cur.Tracked, cur.ContactS)
	}
	for _, at := range []float64{0.1, 0.16} {
		w, _ := truth(at, battest.LeverM)
		px := view.Project(w)
		if p := cur.Barrel(at); math.Hypot(p[0]-px[0], p[1]-px[1]) > 1.5 {
			t.Errorf("barrel at %g s: %.1f, want %.1f", at, p, px)
		}
	}
	u, v := cur.Line[0], cur.Line[1]
	perM := 1500 / filmDistanceM
	if long := math.Hypot(u[0]-v[0], u[1]-v[1]); !near(long, 2*perM, 0.02*perM) || u[0] < v[0] {
		t.Errorf("line from %.1f to %.1f, want 2 m, pitcher's end first", u, v)
	}
	if want := 0.0699 * perM; !near(cur.LinePx, want, 0.02*want) { // the card's barrel is 66 mm wide
		t.Errorf("zone %.2f px wide, want %.2f", cur.LinePx, want)
	}
	// By hand: the film's ball falls by atan(3.66/34.8).
	if got, want := (u[1]-v[1])/(u[0]-v[0]), -3.66/34.8; !near(got, want, 0.003) {
		t.Errorf("slope %.4f, want %.4f", got, want)
	}
}

// By hand: frames at 0, 1, 3 and 4 s.
func TestFrameAt(t *testing.T) {
	t.Parallel()
	times := []float64{0, 1, 3, 4}
	for at, want := range map[float64]float64{0: 0, 0.5: 0.5, 1: 1, 2.5: 1.75, 3.25: 2.25, 4: 3, 5: 4, -1: -1} {
		if got := frameAt(times, at); !near(got, want, 1e-12) {
			t.Errorf("%g s is frame %g, want %g", at, got, want)
		}
	}
	if got := frameAt([]float64{7}, 3); got != 0 {
		t.Errorf("of one frame: %g", got)
	}
	if got := rate(times); !near(got, 0.75, 1e-12) {
		t.Errorf("%g frames a second, want 3 in 4 s", got)
	}
	if got := rate(times[:1]); got != 1 {
		t.Errorf("of one frame: %g", got)
	}
}

// By hand: of the six frames less than 60 ms from contact three were seen, one carried by
// flow and one of the seen is farther away.
func TestSeenShare(t *testing.T) {
	t.Parallel()
	var tr Track
	for _, ms := range []float64{-70, -59, -30, -10, 10, 30, 59, 61} {
		tr.TimesS = append(tr.TimesS, 1+ms/1000)
	}
	s := []Sample{{TimeS: 0.93, How: Seen}, {TimeS: 0.941, How: Seen}, {TimeS: 0.97, How: Seen}, {TimeS: 0.99, How: Flow}, {TimeS: 1.01, How: Seen}}
	if got := seenShare(tr, s, 1); !near(got, 0.5, 1e-12) {
		t.Errorf("share %g, want a half", got)
	}
	if got := seenShare(Track{}, s, 1); got != 0 {
		t.Errorf("of no frames: %g", got)
	}
}

// The quality counts what was seen and says how far the network is from the bands.
func TestQualityCounts(t *testing.T) {
	t.Parallel()
	tr := Track{
		Barrel: []Sample{{How: Seen}, {How: Seen}, {How: Flow}, {How: Filled}},
		Balls:  []BallFlight{{In: make([]Sample, 3), Out: make([]Sample, 2)}, {In: make([]Sample, 4)}},
		Joints: map[string][]Sample{backHip: {{Frame: 1, XPx: 10}, {Frame: 2, XPx: 10}, {Frame: 3}}},
		Pose:   map[string][]Sample{backHip: {{Frame: 1, XPx: 13, YPx: 4}, {Frame: 2, XPx: 16, YPx: 8}, {Frame: 3, XPx: 20}, {Frame: 9}}},
	}
	v := geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: 1, Lens: true}
	q := quality(tr, v, ScaleUse{Source: "ball", RelSD: 0.02})
	if q.BarrelSeen != 2 || q.BarrelFlow != 1 || q.BallSeen != 9 || q.ScaleSource != "ball" || q.ScaleError != 0.02 || !near(q.MetresPerPixel, 0.005, 1e-9) {
		t.Errorf("%+v", q)
	}
	// By hand: 5, 10 and 20 px apart, at 200 px a metre.
	const want = "back hip: band and pose network are 50 mm apart (median of 3 frames); the band is used"
	if len(q.Notes) != 1 || q.Notes[0] != want {
		t.Errorf("notes %q, want %q", q.Notes, want)
	}
	if q = quality(tr, v, ScaleUse{Source: "guess"}); q.ScaleSource != "none" || q.MetresPerPixel != 0 || len(q.Notes) != 2 {
		t.Errorf("without a scale: %+v", q)
	}
}
