package fit

import "math"

var factorial = [2 * MaxOrder]float64{1, 1, 2, 6, 24, 120, 720, 5040}

// unitNoise holds, for each order m, the lower Cholesky factor L of the
// covariance that white noise of intensity 1 in the m-th derivative gives the
// state over a step of 1:
//
//	Q_ij = 1 / ((2m−1−i−j)·(m−1−i)!·(m−1−j)!)
//
// Over a step d, Q(d) = D·L·Lᵀ·D with D_ii = d^(m−1−i)·√d, so that no precision
// is lost however short the step.
var unitNoise = func() (out [MaxOrder + 1][MaxOrder][MaxOrder]float64) {
	for m := 1; m <= MaxOrder; m++ {
		l := &out[m]
		for i := range m {
			for j := 0; j <= i; j++ {
				s := 1 / (float64(2*m-1-i-j) * factorial[m-1-i] * factorial[m-1-j])
				for k := range j {
					s -= l[i][k] * l[j][k]
				}
				if i == j {
					l[i][i] = math.Sqrt(s)
				} else {
					l[i][j] = s / l[j][j]
				}
			}
		}
	}
	return out
}()

// transition fills f (m×m, row-major) with the motion over a step d, which may
// be negative: f_ij = d^(j−i)/(j−i)!.
func transition(f []float64, m int, d float64) {
	clear(f[:m*m])
	for i := range m {
		pow := 1.0
		for j := i; j < m; j++ {
			f[i*m+j] = pow / factorial[j-i]
			pow *= d
		}
	}
}

// noiseRoot fills g (m×m, row-major) with a square root of the process noise
// over a step d ≥ 0 at intensity q.
func noiseRoot(g []float64, m int, d, q float64) {
	clear(g[:m*m])
	scale := math.Sqrt(q * d)
	for i := m - 1; i >= 0; i-- {
		for j := 0; j <= i; j++ {
			g[i*m+j] = scale * unitNoise[m][i][j]
		}
		scale *= d
	}
}
