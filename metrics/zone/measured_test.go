package zone_test

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
	"ashline/metrics/zone"
)

var (
	_ zone.Path = (*fit.Path)(nil)
	_ zone.Path = (*flight.Track)(nil)
	_ zone.Path = (*flight.Table)(nil)
)

// speeding is a barrel on an arc that speeds up: the angle is ωt + αt²/2.
type speeding struct{ r, omega, alpha, low float64 }

func (s speeding) At(t float64) (pos, vel [2]float64) {
	a, w := s.omega*t+s.alpha*t*t/2+s.low, s.omega+s.alpha*t
	sin, cos := math.Sincos(a)
	return [2]float64{s.r * sin, 0.7 * s.r * (1 - cos)}, [2]float64{s.r * w * cos, 0.7 * s.r * w * sin}
}

// Zone and window of a noisy track, with intervals from drawn paths, against
// those of the true path.
func TestIntervalsFromDraws(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("1800 drawn paths")
	}
	const trials, draws, noise = 30, 60, 0.002
	rng := rand.New(rand.NewPCG(11, 3))
	limits := zone.Limits{FromS: -0.04, ToS: 0.04, StepS: 0.001}
	circles := zone.Circles{FromS: -0.04, ToS: 0.04, ReachS: 0.03, StepS: 0.001}
	held := map[string]float64{}
	var worst float64
	for range trials {
		truth := speeding{r: 1 + 0.3*rng.Float64(), omega: 22 + 6*rng.Float64(), alpha: 150 + 100*rng.Float64(), low: 0.1 * rng.NormFloat64()}
		line := zone.Line{DescentDeg: 4 + 6*rng.Float64()}
		line.PointM, _ = truth.At(0)
		line.PointM[1] += 0.01 * rng.NormFloat64()
		ball := line.Ball(34)
		var seen []fit.Sample
		for x := -0.1 + rng.Float64()/240; x < 0.06; x += 1.0 / 240 {
			p, _ := truth.At(x)
			seen = append(seen, fit.Sample{
				TimeS: x, Cov: [2][2]float64{{noise * noise, 0}, {0, noise * noise}},
				Pos: [2]float64{p[0] + noise*rng.NormFloat64(), p[1] + noise*rng.NormFloat64()},
			})
		}
		m, err := (&fit.Smoother{}).Fit(seen)
		if err != nil {
			t.Fatal(err)
		}
		measure := func(p zone.Path) map[string]float64 {
			z, w := zone.Find(p, line, limits), zone.Meet(p, ball, circles)
			return map[string]float64{"enter": z.EnterS, "leave": z.LeaveS, "length": z.LengthM, "early": w.Solid.EarlyS, "late": w.Solid.LateS}
		}
		all := map[string][]float64{}
		for range draws {
			for k, v := range measure(m.Draw(rng)) {
				all[k] = append(all[k], v)
			}
		}
		mean := measure(m.Mean())
		for k, want := range measure(truth) {
			sort.Float64s(all[k])
			lo, hi := all[k][1], all[k][draws-2] // 2 and 98 % of the draws
			if want >= lo && want <= hi {
				held[k]++
			}
			if k == "enter" || k == "leave" {
				worst = math.Max(worst, math.Abs(mean[k]-want))
			}
		}
	}
	for k, n := range held {
		t.Logf("%s: truth within the interval in %.0f of %d", k, n, trials)
		// 96 % of 30, less three standard errors.
		if n < 25 {
			t.Errorf("%s: truth within the interval in %.0f of %d", k, n, trials)
		}
	}
	if len(held) != 5 {
		t.Errorf("got %d of 5 quantities", len(held))
	}
	t.Logf("enter or leave off by %.2f ms at worst", 1000*worst)
}
