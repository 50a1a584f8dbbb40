package bat

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashline/metrics/bat/battest"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

var testEye = geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true, TiltRad: -0.03}

// someBat is a bat with unknowns at random, about as large as they are in swings.
func someBat(seed uint64) *Bat {
	rng := rand.New(rand.NewPCG(seed, 1))
	b := &Bat{
		sight:  Sight{RadiusM: battest.RadiusM, WidthM: battest.WidthM, ExposureS: 0.002, lamp: geom.World{X: 0.1, Y: 0.2, Z: 0.5}}.Through(testEye),
		leverM: 0.6, markM: 0.05, slipM: 0.01, knots: fit.NewKnots(-0.05, 0.05, 0.0125, 0),
	}
	b.x = make([]float64, unknowns*b.knots.Count())
	for i := range b.x {
		b.x[i] = 0.1 * rng.NormFloat64()
		if i%unknowns == 4 {
			b.x[i]++
		}
	}
	return b
}

// cubic is a bat whose unknowns are cubics in time, c[k][n]·tⁿ: its coefficients are
// solved for from values at as many times as there are of them.
func cubic(t *testing.T, c [unknowns][4]float64) *Bat {
	t.Helper()
	b := someBat(1)
	n := fit.NewNormal(len(b.x), 7*unknowns)
	clear(b.x)
	for i := range 200 {
		at := -0.05 + 0.1*(float64(i)+0.5)/200
		s := b.knots.At(at, fit.Before)
		for k := range c {
			var g [unknowns]float64
			g[k] = 1
			n.Add(unknowns*s.First, through(s, 0, g), 0, -(c[k][0] + at*(c[k][1]+at*(c[k][2]+at*c[k][3]))))
		}
	}
	if !n.Factor(0) {
		t.Fatal("no cubic")
	}
	b.x, _, _ = n.Step()
	return b
}

func residuals(b *Bat, t term) (out []float64) {
	t.rows(b, true, func(_ int, _ []float64, _, r float64) { out = append(out, r) })
	return out
}

// Every term's gradient is what a small change of each unknown, and of the slip, does to
// its residuals.
func TestGradientsAreDifferences(t *testing.T) {
	t.Parallel()
	b := someBat(2)
	b.sight.ExposureS = 0 // blur counts in residuals, and is left out of gradients
	at := b.knots.At(0.013, fit.Before)
	seen := Sighting{TimeS: 0.013, Px: geom.Point{600, 300}, VarXX: 0.2, VarXY: 0.05, VarYY: 0.3, Shape: Shape{
		Mass: 0.8, SXX: 20, SXY: 3, SYY: 9, Third: [4]float64{5, 1, 2, 7}, Skewed: true, LitX: 0.4, LitY: -0.3,
	}}
	for name, tm := range map[string]term{
		"hands change evenly": evenHands{at, 0.08},
		"turn changes evenly": evenTurn{at, 0.08},
		"length":              unitLength{at},
		"impact":              impactOf(b.knots, 0, true)[0],
		"guess":               guess{at, startPose{Hands: geom.World{X: 0.1}, Dir: geom.World{Y: 1}}},
		"depth at contact":    contactDepth{at, 0.02, 0.03},
		"slip":                slip{},
		"hands' depth":        handsDepth{at, -0.4},
		"hands' drift":        handsDrift{at, 1.5},
		"barrel's band":       barrelBand{at: at, seen: seen, whole: 1.1, shapeSD: 4, place: 0.9, look: 0.8, bulge: 0.7},
		"hands' band":         handsBand{at, seen, 0.6},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var grads [][]float64
			var commons []float64
			tm.rows(b, false, func(first int, g []float64, common, _ float64) {
				whole := make([]float64, len(b.x))
				copy(whole[first:], g)
				grads, commons = append(grads, whole), append(commons, common)
			})
			const h = 1e-6
			differs := func(what string, k int, change func(b *Bat, h float64)) {
				up, down := *b, *b
				up.x, down.x = append([]float64(nil), b.x...), append([]float64(nil), b.x...)
				change(&up, h)
				change(&down, -h)
				p, q := residuals(&up, tm), residuals(&down, tm)
				for i := range p {
					want, got := (p[i]-q[i])/(2*h), commons[i]
					if k >= 0 {
						got = grads[i][k]
					}
					// Those by differences of 1e-5 m bend by so much in it.
					if math.Abs(got-want) > 2e-3*(1+math.Abs(want)) {
						t.Errorf("row %d, %s %d: %.6g, by difference %.6g", i, what, k, got, want)
					}
				}
			}
			for k := range b.x {
				differs("unknown", k, func(b *Bat, h float64) { b.x[k] += h })
			}
			differs("slip", -1, func(b *Bat, h float64) { b.slipM += h })
		})
	}
}

// By hand, from cubics in time: hands at x = 50·t³ have a jerk of 300 m/s³, which is
// 0.75 of 400 m/s² per √s over a second; a direction (0, 1, 40·t + 7·t³) has an angular
// jerk u × u‴ + u′ × u″ of (42, 0, 0) at 0 and, with u″ = (0, 60, 0), of
// (42 − 40·60, 0, 0), of 3500 rad/s² per √s.
func TestLawsByHand(t *testing.T) {
	t.Parallel()
	b := cubic(t, [unknowns][4]float64{0: {0, 0, 0, 50}, 1: {-0.5, 3, 0, 0}, 2: {0, 2, 0, 0}, 4: {1}, 5: {0, 40, 0, 7}})
	bent := cubic(t, [unknowns][4]float64{4: {1, 0, 30}, 5: {0, 40, 0, 7}})
	at := b.knots.At(0, fit.Before)
	for _, c := range []struct {
		name string
		b    *Bat
		term term
		want []float64
	}{
		{"hands' jerk", b, evenHands{at, 1}, []float64{0.75, 0, 0}},
		{"turning jerk", b, evenTurn{at, 1}, []float64{42.0 / 3500, 0, 0}},
		{"turning jerk, bent", bent, evenTurn{at, 1}, []float64{(42 - 2400.0) / 3500, 0, 0}},
		{"a direction of length 1", b, unitLength{at}, []float64{0}},
		// Half of (1 + (40·0.01 + 7e-6)² − 1), of 0.01.
		{"a longer one", b, unitLength{b.knots.At(0.01, fit.Before)}, []float64{0.400007 * 0.400007 / 2 / 0.01}},
		// 3 m/s to the camera where 1.5 m/s away are usual: 4.5 of 2 m/s; 2 m/s up of 7.
		{"hands' drift", b, handsDrift{at, -1.5}, []float64{0, 2.25, 2.0 / 7}},
		{"hands' depth", b, handsDepth{at, -0.35}, []float64{-0.5}},
		// Along the axis 0.6 m on the barrel is at −0.5 + 0.6.
		{"barrel's depth", b, contactDepth{at, 0.16, 0.03}, []float64{-2}},
		{"slip of 10 mm", b, slip{}, []float64{10.0 / 15}},
		{"a guess 50 mm off, and 0.1", b, guess{at, startPose{Hands: geom.World{X: -0.05, Y: -0.5}, Dir: geom.World{Y: 0.9}}}, []float64{1, 0, 0, 0, 1, 0}},
	} {
		got := residuals(c.b, c.term)
		if len(got) != len(c.want) {
			t.Fatalf("%s: %d rows, want %d", c.name, len(got), len(c.want))
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 2e-6*(1+math.Abs(c.want[i])) {
				t.Errorf("%s: row %d is %.7f, want %.7f", c.name, i, got[i], c.want[i])
			}
		}
	}
	// Over each span of time h two points stand for half of it each: with an even jerk
	// the squares sum up to that of the whole time.
	sum := 0.0
	for _, tm := range evenly(b.knots) {
		if e, ok := tm.(evenHands); ok {
			for _, r := range residuals(b, e) {
				sum += r * r
			}
		}
	}
	if want := 0.75 * 0.75 * 0.1; math.Abs(sum-want) > 1e-6 {
		t.Errorf("a tenth of a second of jerk sums to %.7f, want %.7f", sum, want)
	}
}

// A bat that loses an eighth of its turning, and the square of what is left of its bend,
// where its hands lose nothing, is as an impact has it; one that goes on as it was is off
// by that eighth.
func TestImpactByHand(t *testing.T) {
	t.Parallel()
	b := someBat(3)
	// Before: u = (0, 1, 40·t + 300·t²); after: what is kept of the rate and the bend.
	set := func(kept float64) {
		clear(b.x)
		n := fit.NewNormal(len(b.x), 7*unknowns)
		for i := range 200 {
			at := -0.05 + 0.1*(float64(i)+0.5)/200
			side, rate, bend := fit.Before, 40.0, 300.0
			if at > 0 {
				side, rate, bend = fit.After, 40*kept, 300*kept*kept
			}
			s := b.knots.At(at, side)
			for k, v := range [unknowns]float64{0.1 + 2*at, -0.5, 0.3 * at, 0, 1, at * (rate + at*bend)} {
				var g [unknowns]float64
				g[k] = 1
				n.Add(unknowns*s.First, through(s, 0, g), 0, -v)
			}
		}
		n.Factor(0)
		b.x, _, _ = n.Step()
	}
	check := func(name string, hit bool, want map[int]float64) {
		t.Helper()
		for i, r := range residuals(b, impactOf(b.knots, 0, hit)[0]) {
			if math.Abs(r-want[i]) > 1e-4*(1+math.Abs(want[i])) {
				t.Errorf("%s: row %d is %.5f, want %.5f", name, i, r, want[i])
			}
		}
	}
	set(0.875)
	check("an eighth lost", true, nil)
	// 5 rad/s of 5; and 600·(1 − 0.875²) = 140.6 of 2000 rad/s².
	check("no hit expected", false, map[int]float64{5: -1, 11: -140.625 / 2000})
	set(1)
	check("nothing lost", true, map[int]float64{5: 1, 11: 140.625 / 2000})
	if got := impactOf(b.knots, 0.2, true); got != nil {
		t.Errorf("an impact outside of what was seen: %v", got)
	}
}

// Hands come to the plate for 0.15 s before contact and go from it after, whichever side
// the camera stands on.
func TestHandsRecede(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ handsY, at, want float64 }{
		{-0.5, -0.1, 1.5},
		{-0.5, 0.1, -3.5},
		{-0.5, -0.16, 0},
		{-0.5, 0.16, 0},
		{-0.5, 0, 0},
		{0.5, -0.1, -1.5},
		{0.5, 0.1, 3.5},
	} {
		if got := (Seen{HandsYM: c.handsY}).recede(c.at); got != c.want {
			t.Errorf("hands at %g m, %g s: %g m/s, want %g", c.handsY, c.at, got, c.want)
		}
	}
}
