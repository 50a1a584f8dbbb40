package fit

import "math"

// triangularise applies Householder reflections to the row-major rows×cols
// array until its first k columns are upper triangular. A column that is
// already zero is left alone, so that an array without full rank keeps all the
// information that it has.
func triangularise(a []float64, rows, cols, k int) {
	for c := 0; c < k && c < rows; c++ {
		var below float64
		for r := c + 1; r < rows; r++ {
			below += a[r*cols+c] * a[r*cols+c]
		}
		if below == 0 {
			continue
		}
		head := a[c*cols+c]
		norm := math.Sqrt(head*head + below)
		if head > 0 {
			norm = -norm
		}
		v0 := head - norm
		beta := 2 / (v0*v0 + below)
		for j := c + 1; j < cols; j++ {
			dot := v0 * a[c*cols+j]
			for r := c + 1; r < rows; r++ {
				dot += a[r*cols+c] * a[r*cols+j]
			}
			if dot == 0 {
				continue
			}
			dot *= beta
			a[c*cols+j] -= dot * v0
			for r := c + 1; r < rows; r++ {
				a[r*cols+j] -= dot * a[r*cols+c]
			}
		}
		a[c*cols+c] = norm
		for r := c + 1; r < rows; r++ {
			a[r*cols+c] = 0
		}
	}
}

// singular is the ratio of diagonal elements at which a triangle counts as
// singular in double precision.
const singular = 1e-14

// invertUpper writes the inverse of the leading n×n upper triangle of a (whose
// rows are stride long) to inv. It reports false when a diagonal element is tol or
// less of the greatest.
func invertUpper(inv, a []float64, n, stride int, tol float64) bool {
	var most float64
	for i := range n {
		most = math.Max(most, math.Abs(a[i*stride+i]))
	}
	for i := range n {
		if math.Abs(a[i*stride+i]) <= tol*most {
			return false
		}
	}
	clear(inv[:n*n])
	for j := range n {
		inv[j*n+j] = 1 / a[j*stride+j]
		for i := j - 1; i >= 0; i-- {
			var s float64
			for l := i + 1; l <= j; l++ {
				s += a[i*stride+l] * inv[l*n+j]
			}
			inv[i*n+j] = -s / a[i*stride+i]
		}
	}
	return true
}
