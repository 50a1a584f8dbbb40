package fit

import (
	"fmt"
	"math"
	"testing"
)

// The classic filters below exist only to be compared with; they are checked
// against their published coefficients first.

// savgol is the row of coefficients that gives the d-th derivative (per sample
// spacing) at the present sample from left samples before it to right after.
func savgol(t *testing.T, left, right, degree, d int) []float64 {
	t.Helper()
	var x []float64
	for i := -left; i <= right; i++ {
		x = append(x, float64(i))
	}
	out := make([]float64, len(x))
	for i := range x {
		y := make([]float64, len(x))
		y[i] = 1
		f, err := Polynomial(x, y, nil, degree)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = f.Deriv(0, d)
	}
	return out
}

func TestSavitzkyGolayCoefficients(t *testing.T) {
	t.Parallel()
	var ref struct {
		Coef map[string]struct {
			Num  []float64
			Den  float64
			Gain float64 `json:"noise_gain"`
		}
		NR [][4]any `json:"nr_rows"`
	}
	reference(t, "savitzky_golay", &ref)
	for name, want := range ref.Coef {
		var n, degree, d int
		var kind, shape string
		if _, err := fmt.Sscanf(name, "%d_", &n); err != nil {
			t.Fatal(err)
		}
		for i, c := range name {
			if c == '_' {
				kind = name[i+1:]
				break
			}
		}
		for i, c := range kind {
			if c == '_' {
				kind, shape = kind[:i], kind[i+1:]
				break
			}
		}
		degree = map[string]int{"quad": 2, "cubic": 3}[shape]
		d = map[string]int{"smooth": 0, "d1": 1, "d2": 2}[kind]
		if degree == 0 {
			t.Fatalf("row %q not understood", name)
		}
		got := savgol(t, n/2, n/2, degree, d)
		var gain float64
		for i := range got {
			near(t, name, got[i], want.Num[i]/want.Den, 1e-12)
			gain += got[i] * got[i]
		}
		near(t, name+" gain", math.Sqrt(gain), want.Gain, 1e-12)
	}
	for _, row := range ref.NR {
		degree, left, right := int(row[0].(float64)), int(row[1].(float64)), int(row[2].(float64))
		got := savgol(t, left, right, degree, 0)
		for i, w := range row[3].([]any) {
			// The printed table has three decimals.
			near(t, "one-sided row", got[i], w.(float64), 5.01e-4)
		}
	}
}

// butterworth is the second-order low-pass in the form
// y[n] = a0 x[n] + a1 x[n−1] + a2 x[n−2] + b1 y[n−1] + b2 y[n−2]; twice corrects
// the corner for a filter run forward and back.
func butterworth(cutHz, rateHz float64, twice bool) (c [5]float64) {
	k := math.Tan(math.Pi * cutHz / rateHz)
	if twice {
		k /= math.Pow(math.Sqrt2-1, 0.25)
	}
	d := 1 + math.Sqrt2*k + k*k
	a0 := k * k / d
	return [5]float64{a0, 2 * a0, a0, 2 * (1 - k*k) / d, -(1 - math.Sqrt2*k + k*k) / d}
}

func TestButterworthCoefficients(t *testing.T) {
	t.Parallel()
	var ref struct {
		Rows []struct {
			FC, FS float64
			Single [5]float64
			Twice  [5]float64 `json:"winter_double"`
		}
	}
	reference(t, "butterworth", &ref)
	for _, r := range ref.Rows {
		one, two := butterworth(r.FC, r.FS, false), butterworth(r.FC, r.FS, true)
		for i := range one {
			near(t, "single", one[i], r.Single[i], 1e-12)
			near(t, "double", two[i], r.Twice[i], 1e-12)
		}
	}
}

// bothWays filters y forward and back after padding it with its point
// reflection at both ends.
func bothWays(y []float64, c [5]float64) []float64 {
	n, pad := len(y), min(len(y)-1, 20)
	x := make([]float64, 0, n+2*pad)
	for i := pad; i > 0; i-- {
		x = append(x, 2*y[0]-y[i])
	}
	x = append(x, y...)
	for i := 1; i <= pad; i++ {
		x = append(x, 2*y[n-1]-y[n-1-i])
	}
	for range 2 {
		out := make([]float64, len(x))
		for i := range x {
			x1, x2, y1, y2 := x[0], x[0], x[0], x[0]
			if i > 0 {
				x1, y1 = x[i-1], out[i-1]
			}
			if i > 1 {
				x2, y2 = x[i-2], out[i-2]
			}
			out[i] = c[0]*x[i] + c[1]*x1 + c[2]*x2 + c[3]*y1 + c[4]*y2
		}
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
		x = out
	}
	return x[pad : pad+n]
}
