package contact

import (
	"math"
	"testing"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// stone is a ball that air does not slow.
var stone = flight.Ball{Name: "stone", MassKg: 1e6, CircumferenceM: 0.23}

const (
	frameS = 1.0 / 240
	reachM = 0.07
)

// thrown are sightings, exact to 0.1 mm, of what flies at vel from p at time t0, between
// two times.
func thrown(p, vel [2]float64, t0, from, to float64) (out []fit.Sample) {
	for k := math.Ceil(from / frameS); k*frameS <= to; k++ {
		t := k*frameS + 0.0007
		d := t - t0
		out = append(out, fit.Sample{
			TimeS: t, Pos: [2]float64{p[0] + vel[0]*d, p[1] + vel[1]*d - flight.GravityMPS2*d*d/2},
			Cov: [2][2]float64{{1e-8, 0}, {0, 1e-8}},
		})
	}
	return out
}

// A barrel that runs along x at 30 m/s and falls with the ball, through the origin at 0.
func running(t float64) [2]float64 { return [2]float64{30 * t, -flight.GravityMPS2 * t * t / 2} }

// Everything that a contact may come from, by hand: centres 70 mm apart touch at
// 70 mm/(30 + 35 m/s) before they would meet. A barrel that runs on with the ball's own
// fall is as far from the line all the time; the fall from the line, g·t²/2, is least at 0.
func TestFind(t *testing.T) {
	t.Parallel()
	in := thrown([2]float64{}, [2]float64{-35, 0}, 0, -0.08, -0.003)
	over := thrown([2]float64{0, 0.3}, [2]float64{-35, 0}, 0, -0.08, -0.003)
	const touch = -reachM / 65
	hit := [2]float64{-35 * touch, -flight.GravityMPS2 * touch * touch / 2}
	away := func(v [2]float64) []fit.Sample { return thrown(hit, v, touch, touch, 0.05) }
	on := thrown([2]float64{}, [2]float64{-35, 0}, 0, -0.08, 0.05)
	for _, c := range []struct {
		name          string
		seen          Seen
		how           How
		outcome       Outcome
		want, within  float64
		assumed       bool
		least, most   float64 // of the confidence
		leastS, mostS float64 // of the s.d.
	}{
		{"a turn at the barrel", Seen{Before: in, After: away([2]float64{38, 9})}, Turn, Hit, touch, 2e-5, false, 0.99, 1, 0, 1e-4},
		// A graze throws it up and leaves it most of its way: seen as a flight of its own, or
		// as one with the pitch.
		{"a tip", Seen{Before: in, After: away([2]float64{-30, 14})}, Turn, Tip, touch, 2e-5, false, 0.99, 1, 0, 1e-4},
		{"a tip in one flight", Seen{Before: append(in[:len(in):len(in)], away([2]float64{-32, 9})...)}, Turn, Tip, touch, 1e-4, false, 0.9, 1, 0, 3e-4},
		{"the turn not seen", Seen{Before: in}, Approach, Hit, touch, 2e-5, false, 0.59, 0.6, 0.02 / 65, 0.021 / 65},
		// The side view shows the two in one place, but the ball goes on: it passed beside.
		{"a ball that goes on", Seen{Before: on}, Line, Miss, 0, 0.06, false, 0, 1, passStepS, 1},
		{"a ball over the barrel", Seen{Before: over}, Line, Miss, 0, 0.06, false, 0, 1, passStepS, 1},
		{"no ball", Seen{}, Peak, None, 0.004, 1e-12, true, 0.2, 0.2, 0.005, 0.005},
		{"three sightings of a ball", Seen{Before: in[:3]}, Peak, None, 0.004, 1e-12, true, 0.2, 0.2, 0.005, 0.005},
		// It leaves at 50 m/s, 20 m/s faster than the barrel.
		{"off a tee", Seen{Tee: true, After: thrown([2]float64{reachM, 0}, [2]float64{50, 0}, 0, 0, 0.05)}, Crossing, Hit, 0, 4e-4, false, 0.7, 0.7, 0.0009, 0.0011},
		{"a dry swing at a tee", Seen{Tee: true}, Peak, None, 0.004, 1e-12, true, 0.2, 0.2, 0.005, 0.005},
		// A net 0.5 m behind the barrel turns what was missed: not contact.
		{"a turn at a net", Seen{Before: over, After: thrown([2]float64{0.9, 0.3}, [2]float64{5, 1}, -0.9/35, -0.9/35, 0.05)}, Line, Miss, 0, 0.06, false, 0, 1, 0, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := c.seen
			s.Ball, s.ReachM, s.LensM, s.FrameS, s.PeakS, s.FromS, s.ToS = stone, reachM, 5, frameS, 0.004, -0.05, 0.05
			got := Find(s, running)
			if got.How != c.how || got.Assumed != c.assumed || got.Outcome != c.outcome {
				t.Fatalf("%s, assumed %v, %s; want %s, %v, %s (%s)", got.How, got.Assumed, got.Outcome, c.how, c.assumed, c.outcome, got.Why)
			}
			if got.Outcome != None && !(got.Chance > 0.9 || got.How == Crossing) {
				t.Errorf("%s with a chance of %.3f", got.Outcome, got.Chance)
			}
			if math.Abs(got.TimeS-c.want) > c.within {
				t.Errorf("at %.4f ms, want %.4f", 1000*got.TimeS, 1000*c.want)
			}
			const edge = 1e-3 // of a share
			if got.Confidence < c.least-edge || got.Confidence > c.most+edge || got.SDS < c.leastS*(1-edge) || got.SDS > c.mostS*(1+edge) {
				t.Errorf("confidence %.3f, s.d. %.4f ms", got.Confidence, 1000*got.SDS)
			}
		})
	}
}

// A ball that is seen while it turns is on neither flight: with the shutter open for
// 3 ms, what was exposed within 1.5 ms of the turn counts for nothing.
func TestBentStreakIsLeftOut(t *testing.T) {
	t.Parallel()
	s := []fit.Sample{{TimeS: -0.004}, {TimeS: -0.0016}, {TimeS: 0.0014}, {TimeS: 0.005}}
	if got := unbent(s, 0, 0.003); len(got) != 3 || got[1].TimeS != -0.0016 || got[2].TimeS != 0.005 {
		t.Errorf("left: %v", got)
	}
}

// A contact within half a millisecond counts as right: with an s.d. of as much that is
// 68.27 %, with half of it 95.45 %. Source: the normal distribution's one and two s.d.
func TestWithin(t *testing.T) {
	t.Parallel()
	for sd, want := range map[float64]float64{0.0005: 0.6827, 0.00025: 0.9545} {
		if got := within(sd); math.Abs(got-want) > 1e-4 {
			t.Errorf("s.d. %g s: %.4f, want %.4f", sd, got, want)
		}
	}
}

// A ball off a tee flies in space: one pulled to the camera by 10 m/s looks faster and
// larger paced from 5 m, and the line through what is seen of it begins where it did.
func TestHitLineInSpace(t *testing.T) {
	t.Parallel()
	for _, toCamera := range []float64{-10, 0, 10} {
		var seen []fit.Sample
		for k := range 8 {
			t := 0.004 + float64(k)*frameS
			n := 1 / (1 - toCamera*t/5)
			seen = append(seen, fit.Sample{
				TimeS: t, Pos: [2]float64{n * (0.4 + 40*t), n * (-0.3 + 12*t - flight.GravityMPS2*t*t/2)},
				Cov: [2][2]float64{{1e-10, 0}, {0, 1e-10}},
			})
		}
		h, ok := newHitLine(seen, 5)
		if !ok {
			t.Fatal("no line")
		}
		if at := h.at(0); math.Hypot(at[0]-0.4, at[1]+0.3) > 0.003 {
			t.Errorf("%g m/s to the camera: begins at %.4f, %.4f", toCamera, at[0], at[1])
		}
		if _, ok := newHitLine(seen[:2], 5); ok {
			t.Error("a line from two sightings")
		}
	}
}
