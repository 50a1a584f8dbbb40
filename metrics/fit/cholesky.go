package fit

import "math"

// leastPivot keeps a direction that nothing fixes from stopping Solve3.
const leastPivot = 1e-12

// Solve3 solves a symmetric positive definite system by Cholesky, without a heap: it
// stands in the innermost loop of searches.
func Solve3(n [3][3]float64, rhs [3]float64) [3]float64 {
	var l [3][3]float64
	for r := range 3 {
		for c := range r + 1 {
			s := n[r][c]
			for k := range c {
				s -= l[r][k] * l[c][k]
			}
			if r == c {
				l[r][r] = math.Sqrt(math.Max(s, leastPivot))
			} else {
				l[r][c] = s / l[c][c]
			}
		}
	}
	for r := range 3 {
		for k := range r {
			rhs[r] -= l[r][k] * rhs[k]
		}
		rhs[r] /= l[r][r]
	}
	for r := 2; r >= 0; r-- {
		for k := r + 1; k < 3; k++ {
			rhs[r] -= l[k][r] * rhs[k]
		}
		rhs[r] /= l[r][r]
	}
	return rhs
}

// StudentWeight is the weight of a residual on two axes, in standard deviations, when
// its scatter is Student's t with 4 degrees of freedom.
func StudentWeight(r float64) float64 { return 6 / (4 + r*r) }
