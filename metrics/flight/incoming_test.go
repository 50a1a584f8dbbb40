package flight

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"ashline/metrics/fit"
)

func seeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 9)) }

// thrown is a pitch on its last stretch, seen for a while until endS before
// contact at t = 0.
func thrown(speed, descentDeg float64, p Params, rateHz, fromS, endS, noiseM float64, rng *rand.Rand) (truth State, seen []fit.Sample) {
	s, c := math.Sincos(descentDeg * math.Pi / 180)
	truth = State{PosM: [2]float64{0, 0}, VelMPS: [2]float64{-speed * c, -speed * s}}
	for t := fromS + rng.Float64()/rateHz; t < -endS; t += 1 / rateHz {
		y := Fly(truth, p, t)
		v := noiseM * noiseM
		seen = append(seen, fit.Sample{TimeS: t, Pos: [2]float64{y.PosM[0] + noiseM*rng.NormFloat64(), y.PosM[1] + noiseM*rng.NormFloat64()}, Cov: [2][2]float64{{v, 0}, {0, v}}})
	}
	return truth, seen
}

// A flight seen without noise comes back as it was, but for the pull of the
// priors on drag and lift, which the small covariance makes negligible.
func TestIncomingExact(t *testing.T) {
	t.Parallel()
	for _, spin := range []float64{0, 2200, -2400} {
		p := Params{SpinRPM: spin, Lift: func(float64) float64 { return LiftNathan(0.2) }}
		truth, seen := thrown(36, 6, p, 240, -0.12, 0.004, 0, seeded(1))
		for i := range seen {
			seen[i].Cov = [2][2]float64{{1e-14, 2e-15}, {2e-15, 1e-14}}
		}
		tr, err := Incoming{}.Fit(seen)
		if err != nil {
			t.Fatal(err)
		}
		deg, _ := tr.Descent(0)
		v, _ := tr.Speed(0)
		near(t, "descent", deg, truth.DescentDeg(), 1e-4)
		near(t, "speed", v, truth.SpeedMPS(), 1e-4)
		k, _ := tr.Drag()
		near(t, "drag", k, Baseball.PerM(0)*DragNathan(spin), 1e-5)
	}
}

// Intervals must hold the truth as often as they say, over speeds, spins and
// lengths of view, up to 20 ms beyond the last sighting.
func TestIncomingIntervals(t *testing.T) {
	t.Parallel()
	rng := seeded(2)
	const trials = 300
	var in, all, speedIn float64
	for range trials {
		p := Params{SpinRPM: -2500 + 5000*rng.Float64()}
		end := 0.02 * rng.Float64()
		truth, seen := thrown(18+24*rng.Float64(), 2+9*rng.Float64(), p, 240, -0.05-0.1*rng.Float64(), end, 0.003, rng)
		tr, err := Incoming{}.Fit(seen)
		if err != nil {
			t.Fatal(err)
		}
		all++
		if d, sd := tr.Descent(0); math.Abs(d-truth.DescentDeg()) < 1.96*sd {
			in++
		}
		if v, sd := tr.Speed(0); math.Abs(v-truth.SpeedMPS()) < 1.96*sd {
			speedIn++
		}
	}
	// 95 % of 300 with four standard errors of 1.3 %, below and above.
	for what, share := range map[string]float64{"descent": in / all, "speed": speedIn / all} {
		if share < 0.90 || share > 0.999 {
			t.Errorf("%s: %.1f %% of the truths within their interval", what, 100*share)
		}
	}
}

// One sighting far off, beside the bat or a sleeve, must not turn a robust fit.
func TestIncomingRobust(t *testing.T) {
	t.Parallel()
	for seed := range uint64(20) {
		truth, seen := thrown(36, 6, Params{SpinRPM: 2000}, 240, -0.06, 0.004, 0.002, seeded(seed))
		seen[len(seen)-1].Pos[1] += 0.06
		plain, err := Incoming{}.Fit(seen)
		if err != nil {
			t.Fatal(err)
		}
		robust, err := Incoming{Robust: true}.Fit(seen)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := plain.Descent(0)
		b, sd := robust.Descent(0)
		if math.Abs(b-truth.DescentDeg()) > 3*sd || math.Abs(b-truth.DescentDeg()) > math.Abs(a-truth.DescentDeg())/2 {
			t.Errorf("seed %d: descent %.2f° ± %.2f°, plain %.2f°, want %.2f°", seed, b, sd, a, truth.DescentDeg())
		}
	}
}

// Sightings too loose to tell a lift leave it where its prior is.
func TestIncomingLiftPrior(t *testing.T) {
	t.Parallel()
	_, seen := thrown(36, 6, Params{}, 240, -0.03, 0.005, 0, seeded(5))
	for i := range seen {
		seen[i].Cov = [2][2]float64{{1, 0}, {0, 1}}
	}
	tr, err := Incoming{Lift: 0.12, LiftSD: 0.15}.Fit(seen)
	if err != nil {
		t.Fatal(err)
	}
	lift, sd := tr.Lift()
	near(t, "lift", lift, 0.12*Baseball.PerM(0), 1e-6)
	near(t, "its s.d.", sd, 0.15*Baseball.PerM(0), 1e-6)
}

func TestDrawsScatterAsStated(t *testing.T) {
	t.Parallel()
	_, seen := thrown(36, 6, Params{SpinRPM: 2000}, 240, -0.1, 0.01, 0.003, seeded(5))
	tr, err := Incoming{}.Fit(seen)
	if err != nil {
		t.Fatal(err)
	}
	mean, sd := tr.Descent(0)
	rng := seeded(6)
	const n = 4000
	var sum, sum2 float64
	for range n {
		p, v := tr.Draw(rng).At(0)
		d := State{PosM: p, VelMPS: v}.DescentDeg() - mean
		sum += d
		sum2 += d * d
	}
	near(t, "mean", sum/n, 0, 4*sd/math.Sqrt(n))
	near(t, "sd ratio", math.Sqrt(sum2/n)/sd, 1, 0.05) // four standard errors
}

func TestTableFollowsTrack(t *testing.T) {
	t.Parallel()
	_, seen := thrown(36, 6, Params{SpinRPM: 2000}, 240, -0.1, 0.01, 0.003, seeded(5))
	tr, err := Incoming{}.Fit(seen)
	if err != nil {
		t.Fatal(err)
	}
	tab := tr.Table(-0.1, 0.06)
	for x := -0.1; x <= 0.06; x += 0.0013 {
		p, v := tr.At(x)
		q, w := tab.At(x)
		for a := range 2 {
			near(t, "position", q[a], p[a], 1e-9)
			near(t, "velocity", w[a], v[a], 1e-5)
		}
	}
}

func TestIncomingRefuses(t *testing.T) {
	t.Parallel()
	_, seen := thrown(36, 6, Params{}, 240, -0.05, 0.005, 0.003, seeded(5))
	if _, err := (Incoming{}).Fit(seen[:2]); !errors.Is(err, ErrTooFew) {
		t.Errorf("two: got %v, want %v", err, ErrTooFew)
	}
	bad := append([]fit.Sample(nil), seen...)
	bad[1].Cov = [2][2]float64{}
	if _, err := (Incoming{}).Fit(bad); !errors.Is(err, ErrNoFit) {
		t.Errorf("covariance: got %v, want %v", err, ErrNoFit)
	}
	same := append([]fit.Sample(nil), seen...)
	for i := range same {
		same[i].TimeS = 0
	}
	if _, err := (Incoming{}).Fit(same); !errors.Is(err, ErrNoFit) {
		t.Errorf("one time: got %v, want %v", err, ErrNoFit)
	}
}
