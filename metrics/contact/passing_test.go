package contact

import (
	"math"
	"testing"
)

// bowl is a barrel that goes against the pitch at 30 m/s on a parabola, lowest at 0, of the
// radius of an arm and a bat there.
func bowl(low float64) Path {
	const radiusM = 1.6
	return func(t float64) [2]float64 { return [2]float64{30 * t, low + 30*30*t*t/(2*radiusM)} }
}

// By symmetry a barrel on a bowl has its contact where it is lowest, whether it is near
// the line there, over it all the time, or dips so far under it that it is near on its
// way down and up alone. A ball that passed there 18 ms before, level at that time, is 18
// ms early. Its tangent at contact has fallen by g·t²/2 and turned by g·t/v: both are known.
func TestPassing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		low, late float64
	}{
		{"near", 0.05, 0}, {"over", 0.12, 0}, {"under", -0.12, 0}, {"near and late", 0.05, 0.018}, {"over and early", 0.12, -0.018},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			seen := Seen{
				Before: thrown([2]float64{-35 * c.late, 0}, [2]float64{-35, 0}, 0, -0.08, 0.05), Ball: stone, ReachM: reachM, LensM: 5, FrameS: frameS,
				FromS: -0.05, ToS: 0.05,
			}
			// At contact the ball, level at 0, is level at its place.
			got := Find(seen, bowl(c.low))
			if got.Outcome != Miss || got.How != Line || math.Abs(got.TimeS) > 2*passStepS {
				t.Errorf("%s by %s at %.2f ms, want a miss at 0", got.Outcome, got.How, 1000*got.TimeS)
			}
			if !(got.SDS >= passStepS && got.SDS < 0.005) {
				t.Errorf("s.d. %.2f ms", 1000*got.SDS)
			}
		})
	}
}

// A swing that is held up at 15 m/s slows as exp(−t/D): below half at D·ln 2. Before that
// it has not come to the line, half a metre below.
func TestCheck(t *testing.T) {
	t.Parallel()
	const d, speed = 0.02, 15.0
	held := func(t float64) [2]float64 {
		w := t
		if t > 0 {
			w = d * (1 - math.Exp(-t/d))
		}
		return [2]float64{-0.8 + speed*w*0.8, 0.7 - speed*w*0.6}
	}
	seen := Seen{
		Before: thrown([2]float64{}, [2]float64{-35, 0}, 0, -0.08, 0.05), Ball: stone, ReachM: reachM, LensM: 5, FrameS: frameS,
		PeakS: -0.01, FromS: -0.05, ToS: 0.1,
	}
	got := Find(seen, held)
	// Against the pitch it has four fifths of its speed, so that half of the peak is left
	// when exp(−t/D) is 5/8.
	if want := d * math.Log(8.0/5); got.Outcome != Check || math.Abs(got.TimeS-want) > 2*passStepS {
		t.Errorf("%s at %.2f ms, want a check at %.2f", got.Outcome, 1000*got.TimeS, 1000*want)
	}
	if got.Chance < 0.95 || !got.Unmet() || got.Touched() {
		t.Errorf("chance %.2f", got.Chance)
	}
	// Half a metre farther on, it stops beyond the line: a swing.
	on := func(t float64) [2]float64 { q := held(t - 0.03); return [2]float64{q[0] + 0.3, q[1] - 0.6} }
	if got := Find(seen, on); got.Outcome == Check {
		t.Errorf("a check at %.2f ms: %s", 1000*got.TimeS, got.Why)
	}
}
