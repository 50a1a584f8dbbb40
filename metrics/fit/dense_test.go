package fit

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dense solves the same problem in one piece, as a Gaussian process with a
// polynomial of unknown coefficients (Wahba 1978): pos(t) = Σ β_k t^k/k! + f(t)
// + Σ_jumps, f having the covariance of the integrated Wiener process from the
// first sample on. It shares no code with the smoother.
type dense struct {
	m     int
	q     float64
	kinks []Kink
	in    []Sample
	rows  [][2]int // sample, axis
	vInv  *mat.Dense
	x     *mat.Dense
	y     *mat.VecDense
	bInv  *mat.Dense
	beta  *mat.VecDense
	rest  *mat.VecDense // V⁻¹(y − Xβ)
	ll    float64
}

// power is the k-th derivative of u₊^e/e!.
func power(u float64, e, k int) float64 {
	if e < k || u < 0 {
		return 0
	}
	return math.Pow(u, float64(e-k)) / factorial[e-k]
}

// kernel is the covariance of the j-th derivative at s with the k-th at t.
func (d *dense) kernel(s float64, j int, t float64, k int) float64 {
	t0 := d.in[0].TimeS
	a, b := s-t0, t-t0
	// ∫₀^min (a−u)^p/p! (b−u)^r/r! du, expanded about the lesser of the two.
	p, r := d.m-1-j, d.m-1-k
	if a > b {
		a, b, p, r = b, a, r, p
	}
	var sum float64
	for i := 0; i <= r; i++ {
		// (b−u)^r = Σ C(r,i)(b−a)^(r−i)(a−u)^i
		c := factorial[r] / factorial[i] / factorial[r-i]
		sum += c * math.Pow(b-a, float64(r-i)) * math.Pow(a, float64(p+i+1)) / float64(p+i+1)
	}
	sum *= d.q / factorial[p] / factorial[r]
	for _, kink := range d.kinks {
		for e, sd := range kink.SD {
			sum += sd * sd * power(s-kink.TimeS, e+1, j) * power(t-kink.TimeS, e+1, k)
		}
	}
	return sum
}

func newDense(t *testing.T, m int, q float64, kinks []Kink, in []Sample) *dense {
	t.Helper()
	d := &dense{m: m, q: q, kinks: kinks, in: in}
	for i, s := range in {
		for a := range 2 {
			if !math.IsNaN(s.Pos[a]) {
				d.rows = append(d.rows, [2]int{i, a})
			}
		}
	}
	n := len(d.rows)
	v := mat.NewDense(n, n, nil)
	d.x = mat.NewDense(n, 2*m, nil)
	d.y = mat.NewVecDense(n, nil)
	for i, ri := range d.rows {
		si := in[ri[0]]
		for j, rj := range d.rows {
			var c float64
			if ri[1] == rj[1] {
				c = d.kernel(si.TimeS, 0, in[rj[0]].TimeS, 0)
			}
			if ri[0] == rj[0] {
				c += si.Cov[ri[1]][rj[1]]
			}
			v.Set(i, j, c)
		}
		for k := range m {
			d.x.Set(i, ri[1]*m+k, power(si.TimeS-in[0].TimeS, k, 0))
		}
		d.y.SetVec(i, si.Pos[ri[1]])
	}
	d.vInv = mat.NewDense(n, n, nil)
	if err := d.vInv.Inverse(v); err != nil {
		t.Fatal(err)
	}
	var xv, b mat.Dense
	xv.Mul(d.x.T(), d.vInv)
	b.Mul(&xv, d.x)
	d.bInv = mat.NewDense(2*m, 2*m, nil)
	if err := d.bInv.Inverse(&b); err != nil {
		t.Fatal(err)
	}
	var xy, fitted, rest mat.VecDense
	xy.MulVec(&xv, d.y)
	d.beta = mat.NewVecDense(2*m, nil)
	d.beta.MulVec(d.bInv, &xy)
	fitted.MulVec(d.x, d.beta)
	rest.SubVec(d.y, &fitted)
	d.rest = mat.NewVecDense(n, nil)
	d.rest.MulVec(d.vInv, &rest)
	logDetV, _ := mat.LogDet(v)
	logDetB, _ := mat.LogDet(&b)
	d.ll = -0.5 * (float64(n-2*m)*math.Log(2*math.Pi) + logDetV + logDetB + mat.Dot(&rest, d.rest))
	return d
}

// at gives mean and covariance of derivatives 0 … min(m,3)−1 on both axes.
func (d *dense) at(t float64) (mean []float64, cov *mat.Dense) {
	n, terms := len(d.rows), min(d.m, 3)
	size := 2 * terms
	c := mat.NewDense(size, n, nil)
	x := mat.NewDense(size, 2*d.m, nil)
	own := mat.NewDense(size, size, nil)
	for k := range terms {
		for a := range 2 {
			for i, r := range d.rows {
				if r[1] == a {
					c.Set(2*k+a, i, d.kernel(t, k, d.in[r[0]].TimeS, 0))
				}
			}
			for j := range d.m {
				if j >= k {
					x.Set(2*k+a, a*d.m+j, math.Pow(t-d.in[0].TimeS, float64(j-k))/factorial[j-k])
				}
			}
			for l := range terms {
				own.Set(2*k+a, 2*l+a, d.kernel(t, k, t, l))
			}
		}
	}
	var cv, cvx, g, gb, spread, out mat.Dense
	cv.Mul(c, d.vInv)
	cvx.Mul(&cv, d.x)
	g.Sub(x, &cvx)
	out.Mul(&cv, c.T())
	out.Sub(own, &out)
	gb.Mul(&g, d.bInv)
	spread.Mul(&gb, g.T())
	out.Add(&out, &spread)
	var m1, m2 mat.VecDense
	m1.MulVec(c, d.rest)
	m2.MulVec(x, d.beta)
	m1.AddVec(&m1, &m2)
	return m1.RawVector().Data, &out
}

func TestAgainstDenseSolution(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name  string
		order int
		q     float64
		kinks []Kink
	}{
		{"order 1", 1, 0.5, nil},
		{"order 2", 2, 20, nil},
		{"order 3", 3, 2e4, nil},
		{"order 4", 4, 5e7, nil},
		{"order 2 kink", 2, 20, []Kink{{TimeS: 0.0567, SD: []float64{3}}}},
		{"order 3 kink", 3, 2e4, []Kink{{TimeS: 0.0567, SD: []float64{3, 200}}}},
		{"order 3 kink of velocity alone", 3, 2e4, []Kink{{TimeS: 0.0567, SD: []float64{3}}}},
		{"order 4 two kinks", 4, 5e7, []Kink{{TimeS: 0.0567, SD: []float64{0.5, 20, 500}}, {TimeS: 0.09, SD: []float64{0.2, 10, 300}}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			in := wander(5, 35, true)
			d := newDense(t, tc.order, tc.q, tc.kinks, in)
			s := Smoother{Order: tc.order, Q: tc.q, Kinks: tc.kinks}
			m, err := s.Fit(in)
			if err != nil {
				t.Fatal(err)
			}
			// The dense way loses digits to cancellation in its covariances, the
			// more so the higher the derivative; 1e-9 holds for the position.
			tol := []float64{1e-9, 1e-7, 1e-6}
			near(t, "log-likelihood", m.LogLik, d.ll, 1e-8)
			for _, x := range []float64{in[0].TimeS, 0.0021, in[1].TimeS, 0.0431, 0.0566, 0.0575, 0.0901, in[12].TimeS, in[34].TimeS, in[34].TimeS + 0.006} {
				st := m.State(x, After)
				mean, cov := d.at(x)
				for k := range min(tc.order, 3) {
					for a := range 2 {
						got := [3][2]float64{st.Pos, st.Vel, st.Acc}[k][a]
						near(t, "mean", got, mean[2*k+a], tol[k])
						nearRel(t, "variance", st.Cov[2*k+a][2*k+a], cov.At(2*k+a, 2*k+a), 1e-5)
					}
				}
				if tc.order > 1 {
					sd := math.Sqrt(cov.At(1, 1) * cov.At(2, 2))
					near(t, "covariance", st.Cov[1][2]/sd, cov.At(1, 2)/sd, 1e-5)
				}
			}
		})
	}
}
