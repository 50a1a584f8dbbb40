package fit

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

// exact is the agreement asked between two ways of computing the same number.
const exact = 1e-9

// Filtering is smoothing of what has been seen so far.
func TestKalmanConstantState(t *testing.T) {
	t.Parallel()
	var ref struct {
		Z, X, P   []float64
		X0, P0, R float64
	}
	reference(t, "kalman_height", &ref)
	for k := range ref.Z {
		s := Smoother{Order: 1, Axes: 1, Q: 1e-30, Prior: &Prior{Mean: [2][]float64{{ref.X0}}, SD: []float64{math.Sqrt(ref.P0)}}}
		m, err := s.Fit(scalar(ref.Z[:k+1], ref.R))
		if err != nil {
			t.Fatal(err)
		}
		st := m.State(float64(k), Before)
		near(t, fmt.Sprint("x ", k), st.Pos[0], ref.X[k], exact)
		near(t, fmt.Sprint("p ", k), st.Cov[0][0], ref.P[k], exact)
	}
}

func TestKalmanLocalLevel(t *testing.T) {
	t.Parallel()
	var ref struct {
		Z            []float64
		X0, P0, Q, R float64
		Filter       [][3]float64 `json:"filter_K_x_p"`
		RTS          [][2]float64 `json:"rts_x_p"`
	}
	reference(t, "kalman_temperature", &ref)
	// The example predicts once before its first measurement.
	s := Smoother{Order: 1, Axes: 1, Q: ref.Q, Prior: &Prior{Mean: [2][]float64{{ref.X0}}, SD: []float64{math.Sqrt(ref.P0 + ref.Q)}}}
	for k := range ref.Z {
		m, err := s.Fit(scalar(ref.Z[:k+1], ref.R))
		if err != nil {
			t.Fatal(err)
		}
		st := m.State(float64(k), Before)
		near(t, "filtered x", st.Pos[0], ref.Filter[k][1], exact)
		near(t, "filtered p", st.Cov[0][0], ref.Filter[k][2], exact)
	}
	m, err := s.Fit(scalar(ref.Z, ref.R))
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range ref.RTS {
		st := m.State(float64(k), Before)
		near(t, "smoothed x", st.Pos[0], want[0], exact)
		near(t, "smoothed p", st.Cov[0][0], want[1], exact)
	}
}

func TestNile(t *testing.T) {
	t.Parallel()
	var ref struct {
		Y            []float64
		H, Q, A1, P1 float64
		Approx       float64    `json:"loglik_approx_diffuse"`
		Exact        float64    `json:"loglik_exact_diffuse"`
		PLast        float64    `json:"P_filtered_last"`
		Smoothed     [3]float64 `json:"smoothed_1_50_100"`
	}
	reference(t, "nile", &ref)
	samples := scalar(ref.Y, ref.H)
	near := func(what string, got, want float64) { t.Helper(); nearRel(t, what, got, want, exact) }

	s := Smoother{Order: 1, Axes: 1, Q: ref.Q, Prior: &Prior{Mean: [2][]float64{{ref.A1}}, SD: []float64{math.Sqrt(ref.P1)}}}
	m, err := s.Fit(samples)
	if err != nil {
		t.Fatal(err)
	}
	near("log-likelihood, wide prior", m.LogLik, ref.Approx)
	for i, k := range []float64{0, 49, 99} {
		near("smoothed level", m.State(k, Before).Pos[0], ref.Smoothed[i])
	}
	near("last variance", m.State(99, Before).Cov[0][0], ref.PLast)

	s.Prior = nil
	if m, err = s.Fit(samples); err != nil {
		t.Fatal(err)
	}
	near("log-likelihood, diffuse", m.LogLik, ref.Exact)

	// Source: Durbin & Koopman 2001, ch. 2: the two variances are the ones of
	// greatest likelihood, so with H given the choice must return to Q. The
	// printed Q has five digits and the search stops within half a percent.
	s.Q = 0
	if m, err = s.Fit(samples); err != nil {
		t.Fatal(err)
	}
	nearRel(t, "chosen q", m.Q, ref.Q, 0.01)
	// With both free, the noise must come out as H and so leave its scale at 1.
	s.FitNoise = true
	if m, err = s.Fit(samples); err != nil {
		t.Fatal(err)
	}
	nearRel(t, "noise scale", m.NoiseScale, 1, 0.01)
	nearRel(t, "chosen q with free noise", m.Q, ref.Q, 0.02)
}

// A motion that the model's order holds is returned as it is, with any q and
// any spacing, and so are its derivatives, also beyond the samples.
func TestPolynomialMotionExact(t *testing.T) {
	t.Parallel()
	for order := 2; order <= MaxOrder; order++ {
		// Intensities as multiples of variance over spacing^(2m−1).
		for _, ratio := range []float64{1e-8, 1e-4, 1, 1e4} {
			t.Run(fmt.Sprintf("order %d q %g", order, ratio), func(t *testing.T) {
				t.Parallel()
				rng := seeded(uint64(order))
				coef := [2][]float64{{1, -3, 20, 400}, {-2, 1, 7, -150}}
				at := func(a int, x float64, k int) (sum float64) {
					for j := order - 1; j >= k; j-- {
						sum = sum*x + coef[a][j]*factorial[j]/factorial[j-k]
					}
					return sum
				}
				var in []Sample
				x := 0.0
				for range 30 {
					x += 0.001 + 0.006*rng.Float64()
					in = append(in, Sample{TimeS: x, Pos: [2]float64{at(0, x, 0), at(1, x, 0)}, Cov: [2][2]float64{{4e-6, 1e-6}, {1e-6, 3e-6}}})
				}
				s := Smoother{Order: order, Q: ratio * 4e-6 / math.Pow(0.004, float64(2*order-1))}
				m, err := s.Fit(in)
				if err != nil {
					t.Fatal(err)
				}
				for _, when := range []float64{in[0].TimeS - 0.003, in[0].TimeS, in[7].TimeS, 0.0401, 0.0773, x, x + 0.01} {
					st := m.State(when, Before)
					for a := range 2 {
						near(t, "position", st.Pos[a], at(a, when, 0), 1e-10)
						near(t, "velocity", st.Vel[a], at(a, when, 1), 1e-8)
						if order > 2 {
							near(t, "acceleration", st.Acc[a], at(a, when, 2), 1e-6)
						}
					}
				}
				near(t, "squared residuals", m.ChiSq, 0, 1e-12)
			})
		}
	}
}

// Time may run either way: a mirrored record gives the mirrored motion.
func TestMirroredInTime(t *testing.T) {
	t.Parallel()
	in := wander(3, 40, true)
	back := make([]Sample, len(in))
	for i, x := range in {
		x.TimeS = -x.TimeS
		back[i] = x
	}
	s := Smoother{Order: 3, Q: 1e5}
	m, err := s.Fit(in)
	if err != nil {
		t.Fatal(err)
	}
	r, err := s.Fit(back)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "log-likelihood", m.LogLik, r.LogLik, exact)
	for _, x := range []float64{-0.01, 0, 0.0312, in[20].TimeS, in[39].TimeS + 0.004} {
		a, b := m.State(x, Before), r.State(-x, Before)
		for i := range 2 {
			near(t, "position", a.Pos[i], b.Pos[i], exact)
			near(t, "velocity", a.Vel[i], -b.Vel[i], 1e-8)
			nearRel(t, "variance", a.Cov[2+i][2+i], b.Cov[2+i][2+i], 1e-8)
		}
	}
}

func TestEvenRecordHasEvenVariance(t *testing.T) {
	t.Parallel()
	s := Smoother{Order: 3, Q: 10}
	in := make([]Sample, 21)
	for i := range in {
		in[i] = Sample{TimeS: float64(i) / 240, Pos: [2]float64{math.Sin(float64(i)), 1}, Cov: [2][2]float64{{4e-6, 0}, {0, 4e-6}}}
	}
	m, err := s.Fit(in)
	if err != nil {
		t.Fatal(err)
	}
	for i := range in {
		a, b := m.State(in[i].TimeS, Before), m.State(in[20-i].TimeS, Before)
		for j := range 6 {
			nearRel(t, "variance", a.Cov[j][j], b.Cov[j][j], 1e-8)
		}
	}
}

func TestSmootherRefuses(t *testing.T) {
	t.Parallel()
	good := wander(1, 10, false)
	bad := wander(1, 10, false)
	bad[3].Cov[0][0] = -1
	singular := wander(1, 10, false)
	singular[3].Cov = [2][2]float64{{1, 1}, {1, 1}}
	blind := []Sample{{TimeS: 1, Pos: [2]float64{math.NaN(), math.NaN()}}}
	for _, tc := range []struct {
		name string
		s    Smoother
		in   []Sample
		want error
	}{
		{"order", Smoother{Order: 5}, good, ErrValue},
		{"axes", Smoother{Axes: 3}, good, ErrValue},
		{"variance", Smoother{}, bad, ErrValue},
		{"covariance", Smoother{}, singular, ErrValue},
		{"none", Smoother{}, nil, ErrTooFew},
		{"none seen", Smoother{}, blind, ErrTooFew},
		{"three for order four", Smoother{Q: 1}, good[:3], ErrTooFew},
		{"three for order four, choosing", Smoother{}, good[:3], ErrTooFew},
		{"kink", Smoother{Kinks: []Kink{{TimeS: math.NaN()}}}, good, ErrValue},
		{"prior", Smoother{Prior: &Prior{}}, good, ErrLength},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if _, err := tc.s.Fit(tc.in); !errors.Is(err, tc.want) {
				t.Errorf("got %v, want %v", err, tc.want)
			}
		})
	}
}

// wander is an irregular, smooth, noisy record on both axes; with holes, some
// sightings are missing on one axis or both.
func wander(seed uint64, n int, holes bool) []Sample {
	rng := seeded(seed)
	out := make([]Sample, n)
	x := 0.0
	for i := range out {
		out[i] = Sample{
			TimeS: x,
			Pos:   [2]float64{math.Sin(25*x) + 0.002*rng.NormFloat64(), math.Cos(31*x) + 0.002*rng.NormFloat64()},
			Cov:   [2][2]float64{{4e-6, -1.5e-6}, {-1.5e-6, 5e-6}},
		}
		if holes && i%7 == 3 {
			out[i].Pos[1] = math.NaN()
		}
		if holes && i%11 == 5 {
			out[i].Pos = [2]float64{math.NaN(), math.NaN()}
		}
		x += (0.5 + rng.Float64()) / 240
	}
	return out
}
