package contact

import (
	"math"
	"testing"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// A barrel that runs along x at 30 m/s meets a ball that comes at 35 m/s, above
// its line by some offset: first touch is where the distance of centres is the
// radii's sum, by Pythagoras.
func TestTouchClosedForm(t *testing.T) {
	t.Parallel()
	// By hand: a baseball of 9⅛ in around and a barrel of 66 mm.
	const reach = 9.125*0.0254/(2*math.Pi) + 0.033
	in := Seen{ReachM: reach}
	for _, c := range []struct {
		name   string
		offset float64
		ok     bool
	}{{"square", 0, true}, {"under", 0.03, true}, {"missed", 0.15, false}} {
		var seen []fit.Sample
		for k := -14; k < -1; k++ {
			s := float64(k) / 240
			seen = append(seen, fit.Sample{TimeS: s, Pos: [2]float64{-35 * s, c.offset - flight.GravityMPS2*s*s/2}, Cov: [2][2]float64{{1e-8, 0}, {0, 1e-8}}})
		}
		ball, ok := FitPitch(seen, flight.Ball{Name: "heavy", MassKg: 1e6, CircumferenceM: 0.23})
		if !ok {
			t.Fatal("no pitch")
		}
		barrel := func(t float64) [2]float64 { return [2]float64{30 * t, -flight.GravityMPS2 * t * t / 2} }
		got, sd, ok := in.touch(ball, barrel, 0.002)
		if ok != c.ok {
			t.Errorf("%s: ok %v, want %v", c.name, ok, c.ok)
		}
		if !c.ok {
			continue
		}
		// A microsecond: the barrel's speed is a difference over half a millisecond.
		if want := -math.Sqrt(reach*reach-c.offset*c.offset) / 65; math.Abs(got-want) > 2e-6 {
			t.Errorf("%s: touch at %.4f ms, want %.4f", c.name, 1000*got, 1000*want)
		}
		if least := touchM / 65; sd < 0.999*least || sd > 2*least {
			t.Errorf("%s: s.d. %.3f ms", c.name, 1000*sd)
		}
	}
}

func TestTurnAndTouchAgree(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name              string
		turn, turnSD      float64 // ms
		touch, touchSD    float64
		want, sd          float64
		how               How
		sureLow, sureHigh float64
	}{
		{"sharp turn", 0.00, 0.03, 0.2, 0.3, 0.002, 0.0299, "turn", 0.999, 1},
		{"weak turn", 0.6, 0.9, 0.0, 0.3, 0.06, 0.2846, "turn", 0.9, 0.95},
		{"false turn", 4.0, 0.9, 0.0, 0.3, 0.0, 2.0, "approach", 0.3, 0.5},
		{"barrel lost", 0.0, 0.05, 3.0, 0.3, 0.0, 1.5, "turn", 0.15, 0.25},
		{"nearly as good as each other", 0.0, 0.29, 2.0, 0.3, 0.0, 1.0, "turn", 0.15, 0.4},
	}
	for _, c := range cases {
		got := Contact{TimeS: c.turn / 1000, SDS: c.turnSD / 1000, How: Turn}.agree(c.touch/1000, c.touchSD/1000)
		if math.Abs(1000*got.TimeS-c.want) > 0.001 || math.Abs(1000*got.SDS-c.sd) > 0.001 || got.How != c.how {
			t.Errorf("%s: %s at %.3f ± %.3f ms, want %s at %.3f ± %.3f", c.name, got.How, 1000*got.TimeS, 1000*got.SDS, c.how, c.want, c.sd)
		}
		if got.Confidence < c.sureLow || got.Confidence > c.sureHigh {
			t.Errorf("%s: confidence %.3f, want %.2f to %.2f", c.name, got.Confidence, c.sureLow, c.sureHigh)
		}
		if apart := math.Abs(c.turn-c.touch) > apartSD*math.Hypot(c.turnSD, c.touchSD); apart != (got.Why != "") {
			t.Errorf("%s: why %q", c.name, got.Why)
		}
	}
}
