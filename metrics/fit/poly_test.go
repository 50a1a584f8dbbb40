package fit

import (
	"errors"
	"math"
	"testing"
)

// certifiedRel is what the certified checks ask of a least-squares fit: nine of
// the fifteen certified digits.
const certifiedRel = 1e-9

func TestPolynomialNorris(t *testing.T) {
	t.Parallel()
	var ref struct {
		X, Y             []float64
		B0, B1, Se0, Se1 float64
		ResidSD          float64 `json:"resid_sd"`
	}
	reference(t, "norris", &ref)
	f, err := Polynomial(ref.X, ref.Y, nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	c, se := f.Coefficients()
	nearRel(t, "b0", c[0], ref.B0, certifiedRel)
	nearRel(t, "b1", c[1], ref.B1, certifiedRel)
	nearRel(t, "se0", se[0], ref.Se0, certifiedRel)
	nearRel(t, "se1", se[1], ref.Se1, certifiedRel)
	nearRel(t, "residual sd", f.ResidualSD, ref.ResidSD, certifiedRel)
}

func TestPolynomialPontius(t *testing.T) {
	t.Parallel()
	var ref struct {
		X, Y, B, SE []float64
		ResidSD     float64 `json:"resid_sd"`
	}
	reference(t, "pontius", &ref)
	f, err := Polynomial(ref.X, ref.Y, nil, 2)
	if err != nil {
		t.Fatal(err)
	}
	c, se := f.Coefficients()
	for i := range ref.B {
		nearRel(t, "coefficient", c[i], ref.B[i], certifiedRel)
		nearRel(t, "standard error", se[i], ref.SE[i], certifiedRel)
	}
	nearRel(t, "residual sd", f.ResidualSD, ref.ResidSD, certifiedRel)
}

// Source: NIST Statistical Reference Datasets, Wampler1 and Wampler2: quintics
// on 0..20 whose certified coefficients are the ones that made them.
func TestPolynomialWampler(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		base float64
		// The raw constant term is a difference of terms 10⁶ times larger in
		// Wampler1, which costs that many digits of sixteen.
		rel float64
	}{{"1", 1, 1e-8}, {"2", 0.1, 1e-9}} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			var x, y []float64
			for i := range 21 {
				v := float64(i)
				var sum float64
				for k := 5; k >= 0; k-- {
					sum = sum*v + math.Pow(tc.base, float64(k))
				}
				x, y = append(x, v), append(y, sum)
			}
			f, err := Polynomial(x, y, nil, 5)
			if err != nil {
				t.Fatal(err)
			}
			c, _ := f.Coefficients()
			for k := range c {
				nearRel(t, "coefficient", c[k], math.Pow(tc.base, float64(k)), tc.rel)
			}
		})
	}
}

// A derivative must agree with the finite difference of the curve, and its
// variance with the scatter of fits to redrawn noise.
func TestPolynomialDerivatives(t *testing.T) {
	t.Parallel()
	rng := seeded(1)
	const n, trials, sd = 12, 4000, 0.3
	x, v := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = float64(i)*0.1 + 0.02*rng.Float64()
		v[i] = sd * sd * (1 + float64(i%3))
	}
	const at = 1.15
	var sum, sum2, want float64
	for range trials {
		y := make([]float64, n)
		for i := range y {
			y[i] = 3 - 2*x[i] + 5*x[i]*x[i] + math.Sqrt(v[i])*rng.NormFloat64()
		}
		f, err := Polynomial(x, y, v, 2)
		if err != nil {
			t.Fatal(err)
		}
		d := f.Deriv(at, 1)
		const h = 1e-5
		near(t, "finite difference", d, (f.At(at+h)-f.At(at-h))/(2*h), 1e-7)
		sum += d
		sum2 += d * d
		want = f.VarDeriv(at, 1)
	}
	got := sum2/trials - sum*sum/trials/trials
	// The variance of 4000 draws is known to 2.2 %; four of that.
	nearRel(t, "variance of slope", got, want, 0.09)
	near(t, "mean slope", sum/trials, -2+10*at, 4*math.Sqrt(want/trials))
}

func TestPolynomialRefuses(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		t, y, v []float64
		degree  int
		want    error
	}{
		{"lengths", []float64{1, 2}, []float64{1}, nil, 1, ErrLength},
		{"too few", []float64{1, 2}, []float64{1, 2}, nil, 2, ErrTooFew},
		{"one time", []float64{1, 1, 1}, []float64{1, 2, 3}, nil, 1, ErrTooFew},
		{"variance", []float64{1, 2}, []float64{1, 2}, []float64{1, 0}, 1, ErrValue},
		{"nan", []float64{1, math.NaN()}, []float64{1, 2}, nil, 1, ErrValue},
		{"degree", []float64{1}, []float64{1}, nil, -1, ErrValue},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if _, err := Polynomial(tc.t, tc.y, tc.v, tc.degree); !errors.Is(err, tc.want) {
				t.Errorf("got %v, want %v", err, tc.want)
			}
		})
	}
}
