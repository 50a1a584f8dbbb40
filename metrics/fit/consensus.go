package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// RANSACCount is how many minimal samples of size s to try so that, with
// probability p, at least one is free of outliers when a share eps of the data
// is outlying: ⌈log(1−p)/log(1−(1−eps)^s)⌉.
func RANSACCount(p, eps float64, s int) int {
	good := math.Pow(1-eps, float64(s))
	switch {
	case good >= 1 || p <= 0:
		return 1
	case good <= 0 || p >= 1:
		return math.MaxInt32
	}
	return max(1, int(math.Ceil(math.Log1p(-p)/math.Log1p(-good))))
}

// Consensus finds the motion that most sightings agree on: a polynomial in time
// on each axis. The zero value fits parabolas.
type Consensus struct {
	// Degree of the polynomial of each axis; 1 is a line. Defaults to 2, 2.
	Degree [2]int
	// Confidence that some minimal sample is clean. Defaults to 0.999.
	Confidence float64
	// OutlierShare expected at the start; it falls as better motions are found.
	// Defaults to 0.5.
	OutlierShare float64
	// MinInliers below which there is no consensus. Defaults to two more than a
	// minimal sample.
	MinInliers int
}

// Agreement is the outcome of a Consensus.
type Agreement struct {
	Axis    [2]*Poly // fitted to the inliers, each weighted by its tolerance
	Inliers []bool
	Count   int
}

// Find fits pos(t). tol is, for each sighting, the distance within which it
// agrees; times must be distinct within a true motion. The same rng gives the
// same answer.
func (c Consensus) Find(t []float64, pos [][2]float64, tol []float64, rng *rand.Rand) (*Agreement, error) {
	n := len(t)
	if len(pos) != n || len(tol) != n {
		return nil, fmt.Errorf("%w: %d times, %d positions, %d tolerances", ErrLength, n, len(pos), len(tol))
	}
	if c.Degree == [2]int{} {
		c.Degree = [2]int{2, 2}
	}
	if c.Confidence == 0 {
		c.Confidence = 0.999
	}
	if c.OutlierShare == 0 {
		c.OutlierShare = 0.5
	}
	size := max(c.Degree[0], c.Degree[1]) + 1
	if c.MinInliers == 0 {
		c.MinInliers = size + 2
	}
	if n < max(size, c.MinInliers) {
		return nil, fmt.Errorf("%w: %d sightings", ErrTooFew, n)
	}
	for i := range t {
		if !finite(t[i]) || !finite(pos[i][0]) || !finite(pos[i][1]) || !finite(tol[i]) || tol[i] <= 0 {
			return nil, fmt.Errorf("%w: sighting %d", ErrValue, i)
		}
	}
	best := c.search(t, pos, tol, size, rng)
	if best == nil || best.Count < c.MinInliers {
		return nil, ErrNoConsensus
	}
	return best, nil
}

func (c Consensus) search(t []float64, pos [][2]float64, tol []float64, size int, rng *rand.Rand) *Agreement {
	n := len(t)
	var best *Agreement
	bestCost := math.Inf(1)
	tries := RANSACCount(c.Confidence, c.OutlierShare, size)
	pick := make([]bool, n)
	for try := 0; try < tries; try++ {
		clear(pick)
		for left := size; left > 0; {
			if i := rng.IntN(n); !pick[i] {
				pick[i] = true
				left--
			}
		}
		axes, err := c.fit(t, pos, tol, pick)
		if err != nil {
			continue
		}
		got, cost := agree(axes, t, pos, tol)
		// Refit to those who agree until they no longer change.
		for range 10 {
			axes, err := c.fit(t, pos, tol, got.Inliers)
			if err != nil {
				break
			}
			next, nextCost := agree(axes, t, pos, tol)
			if nextCost >= cost {
				break
			}
			got, cost = next, nextCost
		}
		if cost < bestCost {
			best, bestCost = got, cost
			share := 1 - float64(got.Count)/float64(n)
			tries = min(tries, RANSACCount(c.Confidence, share, size))
		}
	}
	if best == nil {
		return nil
	}
	if axes, err := c.fit(t, pos, tol, best.Inliers); err == nil {
		best.Axis = axes
	}
	return best
}

func (c Consensus) fit(t []float64, pos [][2]float64, tol []float64, use []bool) ([2]*Poly, error) {
	var ts, v []float64
	var ys [2][]float64
	for i := range t {
		if use[i] {
			ts, v = append(ts, t[i]), append(v, tol[i]*tol[i])
			ys[0], ys[1] = append(ys[0], pos[i][0]), append(ys[1], pos[i][1])
		}
	}
	var out [2]*Poly
	for a := range 2 {
		f, err := Polynomial(ts, ys[a], v, c.Degree[a])
		if err != nil {
			return out, err
		}
		out[a] = f
	}
	return out, nil
}

// agree counts who lies within tolerance. The cost is the sum of squared
// distances cut off at the tolerance, which prefers the tighter of two motions
// with the same count (Torr & Zisserman, Comput. Vis. Image Underst. 78 (2000)
// 138).
func agree(axes [2]*Poly, t []float64, pos [][2]float64, tol []float64) (*Agreement, float64) {
	out := &Agreement{Axis: axes, Inliers: make([]bool, len(t))}
	var cost float64
	for i := range t {
		d := math.Hypot(pos[i][0]-axes[0].At(t[i]), pos[i][1]-axes[1].At(t[i])) / tol[i]
		if d <= 1 {
			out.Inliers[i] = true
			out.Count++
		}
		cost += math.Min(1, d*d)
	}
	return out, cost
}
