package metrics

import "testing"

// Source: A. M. Nathan, trajectory spreadsheet's coefficient set (read, quoted);
// rows computed from it by Runge–Kutta: 90 mph with 2200 rpm of backspin and 78
// mph with 2500 rpm of topspin, released 6 ft up and 54.5 ft out, pass the plate's
// front at 2.5 ft falling at 5.11° and 10.18°.
func TestComputedFlight(t *testing.T) {
	t.Parallel()
	const mph, foot = 0.44704, 0.3048
	for _, c := range []struct{ mph, rpm, want float64 }{{90, 2200, 5.11}, {78, -2500, 10.18}} {
		in := &swingInput{card: Card{Pitch: PitchCard{
			Line: "flight", SpeedMPS: c.mph * mph, SpinRPM: c.rpm, ReleaseHeightM: 6 * foot,
			ReleaseDistanceM: (54.5 - 17.0/12) * foot, PlateHeightM: 2.5 * foot,
		}}}
		got, ok := in.flightDescent()
		if !ok || !near(got, c.want, 0.02) {
			t.Errorf("%g mph, %g rpm: %.3f°, want %.2f°", c.mph, c.rpm, got, c.want)
		}
	}
}
