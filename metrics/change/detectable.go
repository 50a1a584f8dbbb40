package change

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Detectable is the least difference between the means of n1 and n2 readings
// that can be told from none, when a reading scatters by sd.
func Detectable(sd float64, n1, n2 int) float64 {
	return z95 * sd * math.Sqrt(1/float64(n1)+1/float64(n2))
}

// TypicalError is the scatter of one reading from two trials of each hitter:
// the standard deviation of the differences over √2, which a common shift
// between the trials leaves as it is (W. G. Hopkins, Sports Med. 30 (2000) 1).
func TypicalError(first, second []float64) (float64, error) {
	if len(first) != len(second) || len(first) < 2 {
		return 0, fmt.Errorf("%w: %d and %d", ErrPairs, len(first), len(second))
	}
	d := make([]float64, len(first))
	for i := range d {
		d[i] = second[i] - first[i]
	}
	return stat.StdDev(d, nil) / math.Sqrt2, nil
}
