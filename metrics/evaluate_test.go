package metrics

import (
	"testing"

	"ashline/metrics/fit"
)

// Source: A. M. Nathan, trajectory spreadsheet's coefficient set (read, quoted);
// rows computed from it by Runge–Kutta: 90 mph with 2200 rpm of backspin and 78
// mph with 2500 rpm of topspin, released 6 ft up and 54.5 ft out, pass the plate's
// front at 2.5 ft falling at 5.11° and 10.18°.
func TestComputedFlight(t *testing.T) {
	t.Parallel()
	const mph, foot = 0.44704, 0.3048
	for _, c := range []struct{ mph, rpm, want float64 }{{90, 2200, 5.11}, {78, -2500, 10.18}} {
		pitch := PitchCard{
			Line: "flight", SpeedMPS: c.mph * mph, SpinRPM: c.rpm, ReleaseHeightM: 6 * foot,
			ReleaseDistanceM: (54.5 - 17.0/12) * foot, PlateHeightM: 2.5 * foot,
		}
		got, ok := flightDescent(pitch)
		if !ok || !near(got, c.want, 0.02) {
			t.Errorf("%g mph, %g rpm: %.3f°, want %.2f°", c.mph, c.rpm, got, c.want)
		}
	}
}

// Contact taken a little later or earlier than the impact that the path was smoothed
// with is still before it on one side and after it on the other.
func TestImpactAtAnotherTime(t *testing.T) {
	t.Parallel()
	const impactS, before, after = 0.5, 30.0, 26.0
	var s []fit.Sample
	for i := range 61 {
		at := 0.375 + float64(i)/240
		v := before
		if at > impactS {
			v = after
		}
		s = append(s, fit.Sample{TimeS: at, Pos: [2]float64{v * (at - impactS), 0}, Cov: [2][2]float64{{1e-8, 0}, {0, 1e-8}}})
	}
	smoother := fit.Smoother{Order: aroundOrder, FitNoise: true, Kinks: []fit.Kink{{TimeS: impactS, SD: []float64{kinkMPS, kinkMPS2, kinkMPS3}}}}
	path, err := smoother.Fit(s)
	if err != nil {
		t.Fatal(err)
	}
	m := motion{dir: [2]float64{1, 0}, impactS: impactS}
	for _, off := range []float64{-0.0004, 0, 0.0004} {
		b := sided{path: path.Mean(), motion: m, tc: impactS + off}
		if _, v := b.At(0); !near(v[0], before, 0.1) {
			t.Errorf("contact %+g s: %.2f m/s before it, want %g", off, v[0], before)
		}
		if _, v := b.At(1e-6); !near(v[0], after, 0.1) {
			t.Errorf("contact %+g s: %.2f m/s after it, want %g", off, v[0], after)
		}
	}
}

// A swing that gains 4000 m/s² goes on gaining up to where contact is taken, 0.4 ms after
// the impact of its path: by hand 1.6 m/s, and half of that times the time in place.
func TestImpactAtAnotherTimeOfASwingThatGains(t *testing.T) {
	t.Parallel()
	const impactS, before, after, gain = 0.5, 30.0, 26.0, 4000.0
	var s []fit.Sample
	for i := range 61 {
		at := float64(i)/240 - 0.125
		x := at * (before + gain*at/2)
		if at > 0 {
			x = after * at
		}
		s = append(s, fit.Sample{TimeS: impactS + at, Pos: [2]float64{x, 0}, Cov: [2][2]float64{{1e-8, 0}, {0, 1e-8}}})
	}
	smoother := fit.Smoother{Order: aroundOrder, FitNoise: true, Kinks: []fit.Kink{{TimeS: impactS, SD: []float64{kinkMPS, kinkMPS2, kinkMPS3}}}}
	path, err := smoother.Fit(s)
	if err != nil {
		t.Fatal(err)
	}
	const off = 0.0004
	late := sided{path: path.Mean(), motion: motion{dir: [2]float64{1, 0}, impactS: impactS}, tc: impactS + off}
	if p, v := late.At(0); !near(v[0], before+gain*off, 0.1) || !near(p[0], off*(before+gain*off/2), 1e-4) {
		t.Errorf("at contact %.3f m/s and %.5f m, want %.3f and %.5f", v[0], p[0], before+gain*off, off*(before+gain*off/2))
	}
}
