package fit

import (
	"errors"
	"math"
	"strconv"
	"testing"
)

func TestRANSACCount(t *testing.T) {
	t.Parallel()
	var ref struct {
		Eps  []float64
		Rows map[string][]int
	}
	reference(t, "ransac_counts", &ref)
	if len(ref.Rows) != 7 {
		t.Fatalf("got %d rows, want 7", len(ref.Rows))
	}
	for size, row := range ref.Rows {
		s, err := strconv.Atoi(size)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range row {
			if got := RANSACCount(0.99, ref.Eps[i], s); got != want {
				t.Errorf("s %d eps %g: got %d, want %d", s, ref.Eps[i], got, want)
			}
		}
	}
}

func TestConsensusFindsFlight(t *testing.T) {
	t.Parallel()
	for seed := range uint64(50) {
		rng := seeded(seed)
		var ts, tol []float64
		var pos [][2]float64
		var truth []bool
		for i := range 24 {
			x := float64(i) / 240
			ball := rng.Float64() > 0.4
			p := [2]float64{4 - 38*x + 5*x*x, 1.5 - 3*x - 4.9*x*x}
			if ball {
				p[0] += 0.003 * rng.NormFloat64()
				p[1] += 0.003 * rng.NormFloat64()
			} else {
				p = [2]float64{4 * rng.Float64(), 2 * rng.Float64()}
			}
			ts, pos, tol, truth = append(ts, x), append(pos, p), append(tol, 0.015), append(truth, ball)
		}
		got, err := Consensus{}.Find(ts, pos, tol, seeded(7))
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for i := range truth {
			if truth[i] && !got.Inliers[i] {
				t.Errorf("seed %d: sighting %d of the ball left out", seed, i)
			}
		}
		near(t, "velocity", got.Axis[0].Deriv(0.05, 1), -37.5, 0.02)
		again, err := Consensus{}.Find(ts, pos, tol, seeded(7))
		if err != nil || again.Axis[0].At(0.05) != got.Axis[0].At(0.05) {
			t.Errorf("seed %d: the same random source gave another answer", seed)
		}
	}
}

func TestConsensusRefuses(t *testing.T) {
	t.Parallel()
	rng := seeded(3)
	var ts, tol []float64
	var pos [][2]float64
	for i := range 12 {
		ts, tol = append(ts, float64(i)), append(tol, 1e-6)
		pos = append(pos, [2]float64{rng.Float64(), rng.Float64()})
	}
	if _, err := (Consensus{}).Find(ts, pos, tol, rng); !errors.Is(err, ErrNoConsensus) {
		t.Errorf("scatter: got %v, want %v", err, ErrNoConsensus)
	}
	if _, err := (Consensus{}).Find(ts[:3], pos[:3], tol[:3], rng); !errors.Is(err, ErrTooFew) {
		t.Errorf("three: got %v, want %v", err, ErrTooFew)
	}
	if _, err := (Consensus{}).Find(ts, pos[:3], tol, rng); !errors.Is(err, ErrLength) {
		t.Errorf("lengths: got %v, want %v", err, ErrLength)
	}
	pos[4][0] = math.Inf(1)
	if _, err := (Consensus{}).Find(ts, pos, tol, rng); !errors.Is(err, ErrValue) {
		t.Errorf("infinite: got %v, want %v", err, ErrValue)
	}
}
