package contact

import (
	"math"
	"sort"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// bounce is where a pitch turns: the ball leaves the pitch's flight at one instant
// and from there flies off in space. Its place is the pitch's place at that
// instant, so only the instant and three speeds are unknown.
//
// The ball does not stay in the plane of the pitch. A place (x, z) that is nearer
// the camera by y looks, from a lens at the distance D, like one in the plane at
// (x, z)·D/(D − y), both from the foot of the lens's axis. With y = v_y·τ that is
// linear in the three speeds once the instant is given:
//
//	x' = x₀ + v_x·τ + v_y·τ·x'/D
//
// so the cost is a function of the instant alone.
type bounce struct {
	in    Pitch
	seen  []fit.Sample // after the turn
	distM float64
	// loss is the share of its mean speed that drag takes in a second.
	loss float64
	// weight of each sighting, and the factor by which the sightings scatter more
	// than they state.
	weight []float64
	noise  float64
}

// bent is a turn that was found: when, with its s.d., and the ball's velocity after it as
// it looks in the plane of the pitch, m/s.
type bent struct {
	atS, sdS float64
	vel      [2]float64
}

// findBounce looks for the turn between two instants. It needs three sightings.
func findBounce(in Pitch, seen []fit.Sample, lensM float64, ball flight.Ball, fromS, toS float64) (bent, bool) {
	if len(seen) < outLeast || toS <= fromS {
		return bent{}, false
	}
	b := bounce{in: in, seen: seen, distM: lensM, weight: make([]float64, len(seen))}
	first, last := seen[0], seen[len(seen)-1]
	drag, _ := ball.DragPerM(0)
	b.loss = drag / 2 * math.Hypot(last.Pos[0]-first.Pos[0], last.Pos[1]-first.Pos[1]) / (last.TimeS - first.TimeS)
	t := b.start(fromS, toS)
	for range turnRounds {
		b.reweigh(t)
		t = b.instant(fromS, toS)
	}
	const h = 1e-4
	bend := (b.cost(t+h) - 2*b.cost(t) + b.cost(t-h)) / (h * h)
	if !(bend > 0) {
		return bent{}, false
	}
	// Cost is a sum of squared standard residuals: its second derivative is twice
	// the inverse of the variance.
	sd := b.noise * math.Sqrt(2/bend)
	pos, vel := in.At(t)
	sd = math.Hypot(sd, math.Sqrt(in.varAlong(t))/math.Hypot(vel[0], vel[1]))
	// What comes nearer to the camera looks to move away from the picture's middle.
	out := b.solve(t)
	return bent{t, sd, [2]float64{out[0] + out[2]*pos[0]/lensM, out[1] + out[2]*pos[1]/lensM}}, true
}

// start leaves out each sighting in turn and begins where the others agree best. A
// false one next to the turn pulls it so far that none looks false any more.
func (b *bounce) start(from, to float64) float64 {
	best, least := from, math.Inf(1)
	for out := -1; out < len(b.seen); out++ {
		if out >= 0 && len(b.seen) < 4 {
			break
		}
		for i := range b.weight {
			b.weight[i] = 1
		}
		if out >= 0 {
			b.weight[out] = 0
		}
		t := b.instant(from, to)
		if n := b.scatter(t); n < least {
			best, least = t, n
		}
	}
	return best
}

// instant is where the cost is least.
func (b *bounce) instant(from, to float64) float64 {
	return fit.Least(b.cost, from, to, turnLooks, turnNarrows)
}

// cost is the weighted sum of squares of what the best flight from the pitch's
// place at t leaves.
func (b *bounce) cost(t float64) float64 {
	sum := 0.0
	vel := b.solve(t)
	for i := range b.seen {
		r := b.residual(i, t, vel)
		sum += b.weight[i] * r * r
	}
	return sum + vel[2]*vel[2]/(sprayMPS*sprayMPS)
}

// solve returns the three speeds that fit best when the ball turns at t.
func (b *bounce) solve(t float64) [3]float64 {
	var n [3][3]float64
	var rhs [3]float64
	n[2][2] = 1 / (sprayMPS * sprayMPS)
	for i, s := range b.seen {
		w := b.weight[i] / b.variance(i, t)
		tau, gone, base := b.terms(i, t)
		for a := range 2 {
			row := [3]float64{}
			row[a], row[2] = gone, s.Pos[a]*tau/b.distM
			y := s.Pos[a] - base[a]
			for r := range 3 {
				for c := range 3 {
					n[r][c] += w * row[r] * row[c]
				}
				rhs[r] += w * row[r] * y
			}
		}
	}
	return fit.Solve3(n, rhs)
}

// terms are the time since the turn, the time that multiplies a speed slowed by
// drag, and the place without speed.
func (b *bounce) terms(i int, t float64) (tau, gone float64, base [2]float64) {
	base, _ = b.in.At(t)
	tau = b.seen[i].TimeS - t
	base[1] -= flight.GravityMPS2 * tau * tau / 2
	return tau, tau * (1 - b.loss*math.Abs(tau)), base
}

// variance of a sighting, per axis, with what bends the ball besides.
func (b *bounce) variance(i int, t float64) float64 {
	s := b.seen[i]
	tau := s.TimeS - t
	bend := hitAccMPS2 * tau * tau / 2
	return (s.Cov[0][0]+s.Cov[1][1])/2 + bend*bend
}

// residual is a sighting's distance from the flight, in standard deviations.
func (b *bounce) residual(i int, t float64, vel [3]float64) float64 {
	tau, gone, base := b.terms(i, t)
	s := b.seen[i]
	k := tau * vel[2] / b.distM
	return math.Hypot(s.Pos[0]*(1-k)-base[0]-vel[0]*gone, s.Pos[1]*(1-k)-base[1]-vel[1]*gone) / math.Sqrt(b.variance(i, t))
}

// scatter is the factor by which the sightings lie farther from the flight than
// they state, by their median.
func (b *bounce) scatter(t float64) float64 {
	vel := b.solve(t)
	r := make([]float64, len(b.seen))
	for i := range r {
		r[i] = b.residual(i, t, vel)
	}
	sort.Float64s(r)
	// Four numbers are fitted to twice as many as there are sightings.
	n := float64(len(r))
	return r[len(r)/2] / medianTwo * math.Sqrt(2*n/math.Max(1, 2*n-4))
}

// reweigh gives less weight to what lies far out.
func (b *bounce) reweigh(t float64) {
	b.noise = math.Max(1, b.scatter(t))
	vel := b.solve(t)
	for i := range b.weight {
		b.weight[i] = fit.StudentWeight(b.residual(i, t, vel) / b.noise)
	}
}
