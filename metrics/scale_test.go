package metrics

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

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

// A coach's click is off by a pixel and a half each way: over 100 px the scale errs by
// 1.5·√2 in a hundred, which clicking anew a thousand times gives too; over 1000 px the
// tape's four in a thousand are more. Without the camera's distance a twentieth is added.
func TestScaleOfClicks(t *testing.T) {
	t.Parallel()
	use := func(card Card, px float64) ScaleUse {
		card.Scale = []Scale{{Points: []geom.Point{{400, 300}, {400 + px, 300}}, LengthM: 0.5}}
		_, s := NewView(card, 1280, 720)
		return s
	}
	lens := Card{Camera: Camera{DistanceM: 6}}
	for _, c := range []struct {
		name     string
		card     Card
		px, want float64
	}{
		{"100 px", lens, 100, 0.0212132},
		{"1000 px", lens, 1000, 0.004},
		{"100 px, no distance", Card{}, 100, math.Hypot(0.0212132, 0.05)},
	} {
		if got := use(c.card, c.px); !near(got.RelSD, c.want, 1e-6) || got.Source != "points" || !got.known() {
			t.Errorf("%s: %+v, want %g", c.name, got, c.want)
		}
	}
	if got := use(lens, 3.9); got.Source != "guess" || got.known() || got.RelSD != 0.3 {
		t.Errorf("clicks 3.9 px apart: %+v, want a guess", got)
	}

	rng, grow := rand.New(rand.NewPCG(3, 1)), make([]float64, 1000)
	for i := range grow {
		off := func() float64 { return 1.5 * rng.NormFloat64() }
		card := lens
		card.Scale = []Scale{{Points: []geom.Point{{400 + off(), 300 + off()}, {500 + off(), 300 + off()}}, LengthM: 0.5}}
		v, _ := NewView(card, 1280, 720)
		grow[i] = v.MetresPerPixel(geom.Point{639.5, 359.5}) / 0.005
	}
	// An s.d. of a thousand is known to 2.2 %.
	if sd := stat.StdDev(grow, nil); !near(sd, 0.0212, 0.0015) {
		t.Errorf("clicked anew the scale scatters by %.4f, want 0.0212", sd)
	}
}

// Home plate is 17 in deep (Official Baseball Rules 2.02): 86.36 px of it are 200 px a
// metre. The first source on the card that can be used counts.
func TestScaleOfThePlate(t *testing.T) {
	t.Parallel()
	card := Card{Camera: Camera{DistanceM: 6}, Scale: []Scale{
		{Ball: true},
		{Points: []geom.Point{{1, 1}, {300, 1}}},
		{Plate: []geom.Point{{600, 360}, {600 + 86.36, 360}}},
		{Points: []geom.Point{{1, 1}, {300, 1}}, LengthM: 7},
	}}
	v, use := NewView(card, 1280, 720)
	if got := v.MetresPerPixel(geom.Point{640, 360}); use.Source != "plate" || !near(got, 0.005, 1e-6) {
		t.Errorf("%+v: %.6f m/px, want 0.005", use, got)
	}
	// Nothing of use: four metres across the picture.
	if v, use := NewView(Card{}, 1280, 720); use.Source != "guess" || !near(v.MetresPerPixel(geom.Point{640, 360}), 4.0/1280, 1e-6) {
		t.Errorf("guess: %+v, %g m/px", use, v.MetresPerPixel(geom.Point{640, 360}))
	}
}

// By hand: a level line that falls by 3 in 100 to the right is a camera that is rolled
// against the clock by atan 0.03, whichever end comes first; angles on the card are degrees.
func TestCardAngles(t *testing.T) {
	t.Parallel()
	const degree = math.Pi / 180
	for _, points := range [][]geom.Point{{{100, 200}, {200, 203}}, {{200, 203}, {100, 200}}} {
		v, _ := NewView(Card{Camera: Camera{Level: points, RollDeg: 9}}, 1280, 720)
		if !near(v.RollRad, -math.Atan(0.03), 1e-12) {
			t.Errorf("%v: roll %.4f, want %.4f", points, v.RollRad, -math.Atan(0.03))
		}
		// In the plane the line is level.
		a, b := v.At(points[0], 0), v.At(points[1], 0)
		if !near(a.Z, b.Z, 1e-9) {
			t.Errorf("%v: ends at %.6f and %.6f m", points, a.Z, b.Z)
		}
	}
	for pitcher, sign := range map[string]float64{"right": 1, "left": -1} {
		v, _ := NewView(Card{Camera: Camera{RollDeg: 2, TiltDeg: -3, YawDeg: 4, Pitcher: pitcher}}, 1281, 721)
		if !near(v.RollRad, 2*degree, 1e-12) || !near(v.TiltRad, -3*degree, 1e-12) || !near(v.YawRad, 4*degree*sign, 1e-12) || v.Sign != sign || v.CX != 640 || v.CY != 360 || v.Lens {
			t.Errorf("%s: %+v", pitcher, v)
		}
	}
}

// By hand, at 200 px a metre: a ball of 73.78 mm is 14.755 px wide, and 0.6 px more as it
// is seen. Six sightings are enough.
func TestScaleFromTheBall(t *testing.T) {
	t.Parallel()
	v := geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: 1, Lens: true}
	var tr Track
	for i := range 6 {
		tr.Balls = append(tr.Balls, BallFlight{In: []Sample{{XPx: 600, YPx: 300, SizePx: 1.1*14.7553 + 0.6}, {SizePx: 0}}})
		got := ballRuler(v, nil, tr, Card{})
		if i < 5 {
			if len(got) != 0 {
				t.Errorf("a ruler from %d sightings", i+1)
			}
			continue
		}
		if len(got) != 1 || got[0].source != "ball" || !near(got[0].grow, 1/1.1, 1e-3) || got[0].relSD != 0.02 {
			t.Errorf("%+v, want 1/1.1 ± 0.02", got)
		}
	}
	v.Lens = false
	if got := ballRuler(v, nil, tr, Card{}); !near(got[0].relSD, math.Hypot(0.02, 0.05), 1e-12) {
		t.Errorf("without a distance: %+v", got)
	}
}

// By hand, at 200 px a metre: marks 0.6 m apart that lie half a metre behind the plane,
// 6.5 m away, are seen 110.8 px apart. Thirty frames tell, and of those the fifth longest.
func TestScaleFromTheMarks(t *testing.T) {
	t.Parallel()
	v := geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: 1, Lens: true}
	card := Card{Bat: Bat{MarksApartM: 0.6}}
	film := func(n int) Track {
		var tr Track
		for i := range n {
			long := 50.0
			switch {
			case i < 4:
				long = 900 // stray
			case i == 4:
				long = 0.6 * 1200 / 6.5
			}
			tr.Barrel = append(tr.Barrel, Sample{Frame: i, XPx: 640 + 0.6*long, YPx: 360 + 0.8*long}, Sample{Frame: 1000 + i})
			tr.Hands = append(tr.Hands, Sample{Frame: i, XPx: 640, YPx: 360})
		}
		return tr
	}
	if got := marksRuler(v, nil, film(29), card); len(got) != 0 {
		t.Errorf("from 29 frames: %+v", got)
	}
	if got := marksRuler(v, nil, film(30), Card{}); len(got) != 0 {
		t.Errorf("without their distance: %+v", got)
	}
	got := marksRuler(v, []ruler{{"points", 1, 0.01}}, film(30), card)
	if len(got) != 2 || got[1].source != "bat_marks" || !near(got[1].grow, 1, 1e-3) || got[1].relSD != 0.03 {
		t.Errorf("%+v, want 1 ± 0.03", got)
	}
}

// The scale that counts is the mean of those that agree, by their errors; one that does
// not is named and left out. By hand: points at 1 ± 2 % and a ball that makes lengths 3 %
// larger, ± 2 %, meet half way, in the logarithm, and err by the half of what they differ.
func TestMeasuredView(t *testing.T) {
	t.Parallel()
	v := geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: 1, Lens: true}
	ball := func(share float64) Track {
		var f BallFlight
		for range 8 {
			f.In = append(f.In, Sample{XPx: 600, YPx: 300, SizePx: 14.7553/share + 0.6})
		}
		return Track{Balls: []BallFlight{f}}
	}
	card := Card{Scale: []Scale{{Points: []geom.Point{{0, 0}, {9, 9}}, LengthM: 1}, {Ball: true}}}
	points := ScaleUse{Source: "points", RelSD: 0.02}
	got, use := measuredView(v, points, ball(1.03), card)
	if want := math.Sqrt(1.03); !near(v.FocalPx/got.FocalPx, want, 1e-4) || !near(use.RelSD, math.Log(1.03)/2, 1e-5) || len(use.Refused) != 0 {
		t.Errorf("grows by %.4f, %+v; want %.4f", v.FocalPx/got.FocalPx, use, want)
	}
	got, use = measuredView(v, points, ball(1.2), card)
	if got.FocalPx != v.FocalPx || len(use.Refused) != 1 || !strings.Contains(use.Refused[0], "ball is 17 % off") {
		t.Errorf("a ball a fifth off: grows by %.4f, %+v", v.FocalPx/got.FocalPx, use)
	}
	// The ball alone, where nothing on the card is of use.
	got, use = measuredView(v, ScaleUse{Source: "guess"}, ball(1.2), Card{Scale: []Scale{{Ball: true}}})
	if !near(v.FocalPx/got.FocalPx, 1.2, 1e-3) || use.Source != "ball" || use.RelSD != 0.02 {
		t.Errorf("the ball alone: grows by %.4f, %+v", v.FocalPx/got.FocalPx, use)
	}
	if got, use := measuredView(v, ScaleUse{Source: "guess"}, Track{}, card); got != v || use.Source != "guess" {
		t.Errorf("nothing: %+v, %+v", got, use)
	}
}
