package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func TestKnotsReproduceCubics(t *testing.T) {
	t.Parallel()
	k := NewKnots(-0.3, 0.4, 0.03, 0.05)
	n := k.Count()
	// Coefficients of a cubic by blossoming: c_i = f[t_{i+1}, t_{i+2}, t_{i+3}].
	// For x³ that is the product, for x² the mean of the pairwise products.
	coef := make([]float64, n)
	for i := range coef {
		a, b, c := k.t[i+1], k.t[i+2], k.t[i+3]
		coef[i] = 2*a*b*c - (a*b+b*c+a*c)/3 + 5*(a+b+c)/3 - 1
	}
	want := func(x float64) [4]float64 {
		return [4]float64{2*x*x*x - x*x + 5*x - 1, 6*x*x - 2*x + 5, 12*x - 2, 12}
	}
	for _, side := range []Side{Before, After} {
		for x := -0.3; x <= 0.4001; x += 0.0103 {
			b := k.At(x, side)
			for d, w := range want(x) {
				got := 0.0
				for j, v := range b.D[d] {
					got += v * coef[b.First+j]
				}
				if math.Abs(got-w) > 1e-8*math.Pow(40, float64(d)) {
					t.Fatalf("derivative %d at %.4f: got %.9f, want %.9f", d, x, got, w)
				}
			}
		}
	}
}

func TestKnotsLetTheSlopeJump(t *testing.T) {
	t.Parallel()
	k := NewKnots(0, 1, 0.1, 0.5)
	p := NewNormal(k.Count(), 7)
	x := make([]float64, k.Count())
	for range 1 {
		for s := 0.0; s <= 1; s += 0.01 {
			b := k.At(s, Before)
			p.Add(b.First, b.D[0][:], 0, -math.Abs(s-0.5))
		}
		if !p.Factor(0) {
			t.Fatal("not solvable")
		}
		d, _, _ := p.Step()
		for i := range x {
			x[i] += d[i]
		}
	}
	for _, c := range []struct {
		side Side
		want float64
	}{{Before, -1}, {After, 1}} {
		b := k.At(0.5, c.side)
		got := 0.0
		for j, v := range b.D[1] {
			got += v * x[b.First+j]
		}
		if math.Abs(got-c.want) > 1e-6 {
			t.Errorf("slope %v the kink: got %g, want %g", c.side, got, c.want)
		}
	}
}

// The solution and the variance agree with those of the same rows written out as
// one dense problem.
func TestNormalAgreesWithDense(t *testing.T) {
	t.Parallel()
	const n, width, rows = 9, 4, 40
	rng := rand.New(rand.NewPCG(3, 4))
	p := NewNormal(n, width)
	dense, right := mat.NewDense(rows, n+1, nil), mat.NewVecDense(rows, nil)
	for i := range rows {
		first := rng.IntN(n - width + 1)
		g := make([]float64, width)
		for j := range g {
			g[j] = rng.NormFloat64()
			dense.Set(i, first+j, g[j])
		}
		common, r := rng.NormFloat64(), rng.NormFloat64()
		dense.Set(i, n, common)
		right.SetVec(i, -r)
		p.Add(first, g, common, r)
	}
	if !p.Factor(0) {
		t.Fatal("not solvable")
	}
	x, common, ok := p.Step()
	var want mat.VecDense
	if err := want.SolveVec(dense, right); err != nil || !ok {
		t.Fatal(err, ok)
	}
	for i, v := range append(append([]float64(nil), x...), common) {
		if math.Abs(v-want.AtVec(i)) > 1e-9 {
			t.Errorf("unknown %d: got %.12f, want %.12f", i, v, want.AtVec(i))
		}
	}
	var square, inv mat.Dense
	square.Mul(dense.T(), dense)
	if err := inv.Inverse(&square); err != nil {
		t.Fatal(err)
	}
	if got, want := p.Variance(3, []float64{1, -2}), inv.At(3, 3)-4*inv.At(3, 4)+4*inv.At(4, 4); math.Abs(got-want) > 1e-9 {
		t.Errorf("variance %.12f, want %.12f", got, want)
	}
}
