package fit

import (
	"math"
	"testing"
)

// The drawn paths must scatter about the mean with the covariance that State
// states, and jointly: the increment between two times has a variance of its
// own, which only a joint draw gets right.
func TestDrawsScatterAsStated(t *testing.T) {
	t.Parallel()
	in := wander(9, 40, true)
	kink := in[25].TimeS + 0.001
	s := Smoother{Order: 3, Q: 2e4, Kinks: []Kink{{TimeS: kink, SD: []float64{3, 200}}}, Nodes: []float64{0.0617}}
	m, err := s.Fit(in)
	if err != nil {
		t.Fatal(err)
	}
	const draws = 20000
	// A variance of 20000 draws is known to 1 %; four and a half of that.
	const rel = 0.045
	rng := seeded(4)
	type stat struct {
		x    float64
		side Side
		sum  [6]float64
		sq   [6][6]float64
	}
	stats := []*stat{{x: in[0].TimeS}, {x: 0.0617}, {x: in[20].TimeS}, {x: kink}, {x: kink, side: After}, {x: in[39].TimeS}}
	var step, step2 float64
	for range draws {
		p := m.Draw(rng)
		for _, st := range stats {
			pos, vel, acc := p.Side(st.x, st.side)
			v := [6]float64{pos[0], pos[1], vel[0], vel[1], acc[0], acc[1]}
			mp, mv, ma := m.Mean().Side(st.x, st.side)
			for i, c := range [6]float64{mp[0], mp[1], mv[0], mv[1], ma[0], ma[1]} {
				v[i] -= c
			}
			for i := range 6 {
				st.sum[i] += v[i]
				for j := range 6 {
					st.sq[i][j] += v[i] * v[j]
				}
			}
		}
		a, _ := p.At(in[20].TimeS)
		b, _ := p.At(in[21].TimeS)
		step += b[0] - a[0]
		step2 += (b[0] - a[0]) * (b[0] - a[0])
	}
	for _, st := range stats {
		want := m.State(st.x, st.side)
		for i := range 6 {
			sd := math.Sqrt(want.Cov[i][i])
			near(t, "mean in sd", st.sum[i]/draws/sd, 0, 4.5/math.Sqrt(draws))
			for j := range 6 {
				scale := sd * math.Sqrt(want.Cov[j][j])
				near(t, "covariance in sd", st.sq[i][j]/draws/scale, want.Cov[i][j]/scale, rel)
			}
		}
	}
	// The dense solution gives the covariance between the two times.
	d := newDense(t, 3, 2e4, s.Kinks, in)
	want := d.stepVariance(in[20].TimeS, in[21].TimeS)
	nearRel(t, "variance of a step", step2/draws-step*step/draws/draws, want, rel)
}

// stepVariance is the posterior variance of pos0(t2) − pos0(t1): conditioning
// once more on the difference of two functionals.
func (d *dense) stepVariance(t1, t2 float64) float64 {
	n := len(d.rows)
	c, x := make([]float64, n), make([]float64, 2*d.m)
	for i, r := range d.rows {
		if r[1] == 0 {
			c[i] = d.kernel(t2, 0, d.in[r[0]].TimeS, 0) - d.kernel(t1, 0, d.in[r[0]].TimeS, 0)
		}
	}
	t0 := d.in[0].TimeS
	for j := range d.m {
		x[j] = (math.Pow(t2-t0, float64(j)) - math.Pow(t1-t0, float64(j))) / factorial[j]
	}
	own := d.kernel(t1, 0, t1, 0) + d.kernel(t2, 0, t2, 0) - 2*d.kernel(t1, 0, t2, 0)
	g := append([]float64(nil), x...)
	vc := make([]float64, n)
	for i := range n {
		for j := range n {
			vc[i] += d.vInv.At(i, j) * c[j]
		}
		own -= c[i] * vc[i]
	}
	for k := range g {
		for i := range n {
			g[k] -= d.x.At(i, k) * vc[i]
		}
	}
	for i := range g {
		for j := range g {
			own += g[i] * d.bInv.At(i, j) * g[j]
		}
	}
	return own
}

// A path's derivatives are those of its positions, inside pieces and across
// nodes, and a kink breaks only what it may break.
func TestPathIsSmooth(t *testing.T) {
	t.Parallel()
	for order := 2; order <= MaxOrder; order++ {
		in := wander(2, 30, false)
		kink := in[14].TimeS + 0.0013
		s := Smoother{Order: order, Kinks: []Kink{{TimeS: kink, SD: []float64{5, 300, 1e5}}}}
		m, err := s.Fit(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []*Path{m.Mean(), m.Draw(seeded(3))} {
			const h = 1e-6
			for x := in[0].TimeS + 0.0003; x < in[29].TimeS; x += 0.0017 {
				a, _ := p.At(x - h)
				b, _ := p.At(x + h)
				_, v := p.At(x)
				near(t, "velocity", v[0], (b[0]-a[0])/(2*h), 1e-4)
			}
			for _, s := range in[1:29] {
				p0, v0 := p.At(s.TimeS - 1e-12)
				p1, v1 := p.At(s.TimeS + 1e-12)
				near(t, "position across node", p1[0], p0[0], 1e-9)
				near(t, "velocity across node", v1[0], v0[0], 1e-6)
			}
			before, vb, _ := p.Side(kink, Before)
			after, va, _ := p.Side(kink, After)
			near(t, "position across kink", after[0], before[0], 1e-12)
			if math.Abs(va[0]-vb[0]) < 1e-6 {
				t.Error("velocity did not jump at the kink")
			}
		}
	}
}

// With a wide jump, what comes after an impact must not move the velocity just
// before it, while without the kink it does.
func TestKinkCutsOff(t *testing.T) {
	t.Parallel()
	in := wander(6, 40, false)
	at := (in[24].TimeS + in[25].TimeS) / 2
	changed := append([]Sample(nil), in...)
	for i := 25; i < len(in); i++ {
		changed[i].Pos[0] -= 12 * (in[i].TimeS - at)
	}
	cut := []Kink{{TimeS: at, SD: []float64{1e3, 1e6}}}
	velocity := func(kinks []Kink, in []Sample) float64 {
		s := Smoother{Order: 3, Q: 1e6, Kinks: kinks}
		m, err := s.Fit(in)
		if err != nil {
			t.Fatal(err)
		}
		return m.State(at, Before).Vel[0]
	}
	near(t, "with kink", velocity(cut, changed), velocity(cut, in), 1e-3)
	if d := math.Abs(velocity(nil, changed) - velocity(nil, in)); d < 1 {
		t.Errorf("without kink the impact moved the velocity by only %g", d)
	}
}

func BenchmarkFit(b *testing.B) {
	in := wander(1, 100, false)
	for _, tc := range []struct {
		name string
		s    Smoother
	}{{"order 3 given q", Smoother{Order: 3, Q: 1e5}}, {"order 3 chosen q", Smoother{Order: 3}}, {"order 4 chosen q", Smoother{}}, {"order 4 robust", Smoother{Robust: true}}} {
		b.Run(tc.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := tc.s.Fit(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkDraw200(b *testing.B) {
	s := Smoother{Order: 4, Q: 1e8}
	m, err := s.Fit(wander(1, 100, false))
	if err != nil {
		b.Fatal(err)
	}
	rng := seeded(1)
	for b.Loop() {
		for range 200 {
			m.Draw(rng)
		}
	}
}
