package track

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// hundred are times a hundredth of a second apart.
func hundred(n int) []float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = float64(i) / 100
	}
	return t
}

// single puts one candidate in each frame; none where the place is NaN.
func single(log float64, places ...[2]float64) [][]Node {
	frames := make([][]Node, len(places))
	for i, p := range places {
		if !math.IsNaN(p[0]) {
			frames[i] = []Node{{X: p[0], Y: p[1], Log: log, Mass: 100}}
		}
	}
	return frames
}

// row are places along x, stepPx apart from the last one given.
func row(from [][2]float64, n int, stepPx float64) [][2]float64 {
	x := 0.0
	if len(from) > 0 {
		x = from[len(from)-1][0] + stepPx
	}
	for i := range n {
		from = append(from, [2]float64{x + stepPx*float64(i), 0})
	}
	return from
}

var unseen = [2]float64{math.NaN(), 0}

// slowLaw has no swing in it: an acceleration of 1000 px/s² is one s.d.
var slowLaw = Law{MaxSpeed: 5000, RestAccel: 1000, TurnPx: 1e12, AreaPx: 1e6, GapS: 0.045, ReachPx: 50, ReachSpeed: 100}

// What paths come to, by hand. A stretch costs 8 nats; each candidate counts what it says,
// 3; each step after the first is worth 1 less half of χ².
func TestScoresByHand(t *testing.T) {
	t.Parallel()
	heavy := func(mass float64) [][]Node {
		f := single(3, row(nil, 10, 5)...)
		for i := 5; i < 10; i++ {
			f[i][0].Mass = mass
		}
		return f
	}
	// bent goes on 5 px a frame faster than k s.d. allow in one step: 0.1 px a frame are
	// 10 px/s more in 10 ms, one s.d.
	bent := func(k float64) [][]Node { return single(3, row(row(nil, 5, 5), 5, 5+0.1*k)...) }
	wide := func(sd float64) [][]Node {
		f := bent(3)
		for i := range f {
			f[i][0].SDPx = sd
		}
		return f
	}
	hidden := row(row(nil, 5, 5), 2, 5)
	hidden = row(hidden, 5, 5)
	hidden[5], hidden[6] = unseen, unseen
	away := func(apartPx float64) [][2]float64 { // out of sight for 0.25 s, after 500 px/s
		p := row(nil, 5, 5)
		at := p[4][0] + apartPx
		for range 24 {
			p = append(p, unseen)
		}
		return append(p, row([][2]float64{{at - 5, 0}}, 5, 5)[1:]...)
	}
	const ten = -8.0 + 30 + 8
	for _, c := range []struct {
		name   string
		frames [][]Node
		want   float64
		taken  int
	}{
		{"even", single(3, row(nil, 10, 5)...), ten, 10},
		{"too dull to be worth a stretch", single(0.01, row(nil, 8, 5)...), 0, 0},
		{"against it", single(-2, row(nil, 10, 5)...), 0, 0},
		{"twice as large", heavy(200), ten - 0.25, 10},
		{"a quarter as large", heavy(25), ten - 1, 10},
		{"a thousand times as large", heavy(1e5), ten - 4, 10},
		{"one s.d. faster", bent(1), ten - 0.5, 10},
		{"three s.d. faster", bent(3), ten - 4.5, 10},
		// Places known to σ add 2·σ/dt/dt of acceleration each side of the middle one.
		{"three s.d. faster, places unsure by 0.05 px", wide(0.05), ten - 4.5/(1+4), 10},
		// Two frames unseen: 5 for it, and 5 a second of what was hidden, 20 ms.
		{"hidden in two", single(3, hidden...), -8.0 + 30 + 8 - 5 - 0.1, 10},
		// Beyond what a stretch may hold hidden, another stretch: 8 more, and 5 a second. It
		// may begin 50 px off and be 100 px/s faster than it went.
		{"another stretch", single(3, away(195)...), 2*(-8.0+15+3) - 5*0.25, 10},
		{"farther than it can have gone", single(3, away(205)...), -8.0 + 15 + 3, 5},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, score := Link(c.frames, hundred(len(c.frames)), slowLaw, nil)
			taken := 0
			for _, k := range got {
				if k >= 0 {
					taken++
				}
			}
			if math.Abs(score-c.want) > 1e-6 || taken != c.taken {
				t.Errorf("%.4f nats with %d candidates, want %.4f with %d", score, taken, c.want, c.taken)
			}
		})
	}
}

// A step at the speed limit is taken, a faster one is not; so is one at four s.d. of
// acceleration, χ² 16, and none beyond.
func TestStepsAreRefused(t *testing.T) {
	t.Parallel()
	taken := func(law Law, places ...[2]float64) int {
		got, _ := Link(single(9, places...), hundred(len(places)), law, nil)
		n := 0
		for _, k := range got {
			if k >= 0 {
				n++
			}
		}
		return n
	}
	law := slowLaw
	law.MaxSpeed, law.ReachPx = 1000, 0
	for step, want := range map[float64]int{9.99: 6, 10.01: 0} {
		if got := taken(law, row(nil, 6, step)...); got != want {
			t.Errorf("%g px a frame: %d taken, want %d", step, got, want)
		}
	}
	// Half of ten frames are a stretch of their own, the other half is out of reach.
	law = slowLaw
	law.ReachPx, law.ReachSpeed, law.GapS = 0, -1e9, 0.015
	for k, want := range map[float64]int{3.95: 10, 4.05: 6} {
		if got := taken(law, row(row(nil, 5, 5), 5, 5+0.1*k)...); got != want {
			t.Errorf("%g s.d.: %d taken, want %d", k, got, want)
		}
	}
	// Going round a circle of the radius that the law has takes one s.d. more.
	law = slowLaw
	law.RestAccel, law.TurnPx = 1e-3, 100
	var circle [][2]float64
	for i := range 10 {
		s, c := math.Sincos(0.05 * float64(i))
		circle = append(circle, [2]float64{100 * c, 100 * s})
	}
	if _, score := Link(single(3, circle...), hundred(10), law, nil); math.Abs(score-(-8+30+8*0.5)) > 0.01 {
		t.Errorf("round a circle: %.3f nats, want 26", score)
	}
}

// sweepLaw has a swing in it, with accelerations so free that nothing of a path is
// foretold but by its spread.
var sweepLaw = Law{
	MaxSpeed: 1e5, RestAccel: 1e6, TurnPx: 1e12, FastSpeed: 1000, SwingPx: 60,
	AreaPx: 2 * math.Pi * 1e4, GapS: 0.035, ReachPx: 50, ReachSpeed: 100,
}

// What swings come to, by hand. Three frames at rest and four steps of 20 px, twice as fast
// as anything else: each candidate at rest counts 15 % of its 4 nats and each fast one all
// of them. Starting is a fifth of an s.d. of acceleration.
func TestSwingsByHand(t *testing.T) {
	t.Parallel()
	const bare = -8 + 7*0.6 + 5 - 0.02 + 4*0.85*4
	for _, c := range []struct {
		name  string
		law   func(*Law)
		move  func() [][]Node
		want  float64
		taken int
	}{
		{"three fast steps", nil, func() [][]Node { return single(4, row(row(nil, 3, 0), 3, 20)...) }, bare - 0.6 - 1 - 3.4, 6},
		{"four", nil, func() [][]Node { return single(4, row(row(nil, 3, 0), 4, 20)...) }, bare, 7},
		{"two are no swing", nil, func() [][]Node { return single(4, row(row(nil, 3, 0), 2, 40)...) }, 0, 0},
		{"three that lead not far enough are none", func(l *Law) { l.SwingPx = 61 }, func() [][]Node { return single(4, row(row(nil, 3, 0), 3, 20)...) }, 0, 0},
		{"as fast as other things", nil, func() [][]Node { return single(4, row(row(nil, 3, 0), 9, 9.9)...) }, 0, 0},
		// The law lets a step end within 100 px s.d.: by e² better than anywhere.
		{"foretold", func(l *Law) { l.AreaPx *= math.E * math.E }, func() [][]Node { return single(4, row(row(nil, 3, 0), 4, 20)...) }, bare + 4*2, 7},
		// What a step may earn by that is bounded by 5.
		{"foretold in a vast picture", func(l *Law) { l.AreaPx *= math.Exp(9) }, func() [][]Node { return single(4, row(row(nil, 3, 0), 4, 20)...) }, bare + 4*5, 7},
		{"a thing that people move", nil, func() [][]Node {
			f := single(4, row(row(nil, 3, 0), 4, 20)...)
			for i := range f {
				f[i][0].Thing = true
			}
			return f
		}, 0, 0},
		// A step at 0.8 of the speed goes on in a run, with 0.64 of what is more, but begins
		// none and is none of the three.
		{"one a little slower among them", nil, func() [][]Node {
			return single(4, row(row(row(row(nil, 3, 0), 2, 20), 1, 8), 2, 20)...)
		}, -8 + 8*0.6 + 6 - 0.02 - 2*0.0072 + (4+0.64)*3.4, 8},
		// One at 0.6 ends it: 0.36 of the weight.
		{"one far slower ends it", nil, func() [][]Node {
			return single(4, row(row(row(row(nil, 3, 0), 2, 20), 1, 6), 2, 20)...)
		}, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			law := sweepLaw
			if c.law != nil {
				c.law(&law)
			}
			frames := c.move()
			got, score := Link(frames, hundred(len(frames)), law, nil)
			taken := 0
			for _, k := range got {
				if k >= 0 {
					taken++
				}
			}
			if math.Abs(score-c.want) > 1e-3 || taken != c.taken {
				t.Errorf("%.4f nats with %d candidates, want %.4f with %d", score, taken, c.want, c.taken)
			}
		})
	}
}

// tried is the best score of any choice of candidates, by trying all of them: each frame
// one of its candidates or none, and between two that are chosen a step or an end of the
// stretch. It is written from what a path is said to pay, without the search.
func tried(frames [][]Node, times []float64, law Law) float64 {
	type place struct {
		Node
		t float64
	}
	best := 0.0
	var try func(f int, stretch []place, skipped int, score float64)
	try = func(f int, stretch []place, skipped int, score float64) {
		if len(stretch) >= 2 {
			best = math.Max(best, score)
		}
		if f == len(frames) {
			return
		}
		try(f+1, stretch, skipped+1, score)
		for _, n := range frames[f] {
			b := place{n, times[f]}
			if len(stretch) == 0 {
				try(f+1, []place{b}, 0, score-8+n.Log)
				continue
			}
			a := stretch[len(stretch)-1]
			dt := b.t - a.t
			if len(stretch) >= 2 { // the stretch ends, and this begins another
				try(f+1, []place{b}, 0, score-8-5*dt+n.Log)
			}
			if dt > law.GapS || math.Hypot(b.X-a.X, b.Y-a.Y) > law.MaxSpeed*dt {
				continue
			}
			l := math.Log2(a.Mass / b.Mass)
			gain := n.Log - math.Min(4, l*l/4)
			if skipped > 0 {
				gain -= 5 + 5*dt*float64(skipped)/float64(skipped+1)
			}
			if len(stretch) >= 2 {
				z := stretch[len(stretch)-2]
				d0 := a.t - z.t
				ax, ay := ((b.X-a.X)/dt-(a.X-z.X)/d0)/((d0+dt)/2), ((b.Y-a.Y)/dt-(a.Y-z.Y)/d0)/((d0+dt)/2)
				chi2 := (ax*ax + ay*ay) / (law.RestAccel * law.RestAccel)
				if chi2 > 16 {
					continue
				}
				gain += 1 - chi2/2
			}
			try(f+1, append(slices.Clone(stretch), b), 0, score+gain)
		}
	}
	try(0, nil, 0, 0)
	return best
}

// The search finds the best of all paths: as good a one as trying all of them does.
func TestLinkIsTheBestOfAll(t *testing.T) {
	t.Parallel()
	law := slowLaw
	law.RestAccel, law.GapS, law.ReachPx = 2e4, 0.035, 1e6 // whatever comes back may be the mark
	several := 0
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 5))
		times := hundred(7)
		frames := make([][]Node, len(times))
		for f := range frames {
			for range rng.IntN(3) {
				frames[f] = append(frames[f], Node{X: 20 * rng.NormFloat64(), Y: 3 * rng.NormFloat64(), Log: 3 + 4*rng.NormFloat64(), Mass: 100 * math.Exp(rng.NormFloat64())})
			}
		}
		want := tried(frames, times, law)
		chosen, got := Link(frames, times, law, nil)
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("seed %d: %.6f nats, the best of all is %.6f", seed, got, want)
		}
		for f, k := range chosen { // the same with nothing to choose from
			if k >= 0 {
				frames[f] = frames[f][k : k+1]
			} else {
				frames[f] = nil
			}
		}
		if again := tried(frames, times, law); math.Abs(again-got) > 1e-9 {
			t.Errorf("seed %d: what was chosen comes to %.6f nats, told were %.6f", seed, again, got)
		}
		if want > 0 {
			several++
		}
	}
	if several < 20 {
		t.Errorf("only %d with a path", several)
	}
}
