package track

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"ashline/pipeline/bounds"
)

var growth = Growth{
	Physics: barrelPhysics, ApartPx: 25, BreakAccel: 80 * 250, BreakRate: 22, SlowPx: 2.5 * 250, AstrayPx: 0.4 * 250,
}

// followThrough is a bat that slows down along an arc after its fast part, out of sight
// in some frames; things of its hue are about. It returns the frames and, in each,
// which candidate is the bat, −1 for none.
func followThrough(hidden func(int) bool, things ...func(int) (Node, bool)) (frames [][]Node, times []float64, bat []int) {
	rng := rand.New(rand.NewPCG(5, 6))
	phi, speed := 0.0, 33.0 // rad, rad/s at 0.75 m
	for i := range 90 {
		var cs []Node
		for _, th := range things {
			if n, ok := th(i); ok {
				cs = append(cs, n)
			}
		}
		k := -1
		if !hidden(i) {
			k = len(cs)
			cs = append(cs, Node{
				X: 600 + 187*math.Sin(phi) + 0.3*rng.NormFloat64(), Y: 300 - 187*math.Cos(phi) + 0.3*rng.NormFloat64(),
				Worth: 1, Mass: 200, SDPx: 0.3,
			})
		}
		frames, times, bat = append(frames, cs), append(times, float64(i)/240), append(bat, k)
		phi += speed / 240
		speed = math.Max(0, speed-120.0/240)
	}
	return frames, times, bat
}

func TestGrow(t *testing.T) {
	t.Parallel()
	thing := func(x, y, mass float64, from int) func(int) (Node, bool) {
		return func(i int) (Node, bool) { return Node{X: x, Y: y, Worth: 1, Mass: mass, SDPx: 0.3}, i >= from }
	}
	const goes, comes = 30, 42
	gone := func(i int) bool { return i >= goes }
	breaks := func(i int) bool { return i >= goes && i < comes }
	tests := []struct {
		name   string
		hidden func(int) bool
		things []func(int) (Node, bool)
		least  int // frames of the bat to be found
	}{
		{"alone", func(int) bool { return false }, nil, 90},
		{"a break, alone", breaks, nil, 78},
		{"a break beside what was there before", breaks, []func(int) (Node, bool){thing(640, 470, 200, 0)}, 78},
		{"a break beside what comes into view in it", breaks, []func(int) (Node, bool){thing(700, 330, 200, goes+3)}, 78},
		{"gone, and what was there before stays", gone, []func(int) (Node, bool){thing(470, 430, 200, 0)}, goes},
		{"gone, and a sleeve comes into view", gone, []func(int) (Node, bool){thing(700, 330, 200, goes+3), thing(900, 100, 900, 0)}, goes},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			frames, times, bat := followThrough(tt.hidden, tt.things...)
			sure := make([]int, len(bat))
			for i := range sure {
				sure[i] = -1
				if i < 12 {
					sure[i] = bat[i]
				}
			}
			gr := growth
			gr.Objects = Objects(frames, times, objectSearch)
			found := 0
			for i, got := range Grow(frames, times, sure, gr) {
				if got >= 0 && got != bat[i] {
					t.Errorf("frame %d: took candidate %d, the bat is %d", i, got, bat[i])
				} else if got >= 0 {
					found++
				}
			}
			if found < tt.least-2 {
				t.Errorf("found the bat in %d frames, want %d", found, tt.least)
			}
		})
	}
}

// FuzzGrow feeds arbitrary candidates: never a panic, always a valid choice, and
// what was sure stays.
func FuzzGrow(f *testing.F) {
	f.Add(uint64(1), 40, 4, false)
	f.Add(uint64(9), 12, 2, true)
	f.Fuzz(func(t *testing.T, seed uint64, n, k int, odd bool) {
		if n < 0 || n > 60 || k < 0 || k > 5 {
			return
		}
		rng := rand.New(rand.NewPCG(seed, 4))
		times := make([]float64, n)
		frames := make([][]Node, n)
		sure := make([]int, n)
		for i := range frames {
			times[i] = float64(i)/240 + 0.001*rng.Float64()
			sure[i] = -1
			for range rng.IntN(k + 1) {
				c := Node{X: rng.NormFloat64() * 60, Y: rng.NormFloat64() * 60, Worth: rng.NormFloat64(), Mass: rng.ExpFloat64() * 100, SDPx: rng.Float64(), SXX: rng.Float64(), SYY: rng.Float64()}
				if odd && rng.IntN(5) == 0 {
					c.X = []float64{math.NaN(), math.Inf(1), 1e300, 0}[rng.IntN(4)]
				}
				frames[i] = append(frames[i], c)
			}
			if len(frames[i]) > 0 && rng.IntN(6) == 0 {
				sure[i] = rng.IntN(len(frames[i]))
			}
		}
		gr := growth
		var chosen []int
		bounds.Limit{Bytes: 64 << 20, CPU: 5 * time.Second}.Call(t, func() {
			gr.Objects = Objects(frames, times, objectSearch)
			chosen = Grow(frames, times, sure, gr)
		})
		for i, c := range chosen {
			if c < -1 || c >= len(frames[i]) {
				t.Fatalf("frame %d: candidate %d of %d", i, c, len(frames[i]))
			}
			if sure[i] >= 0 && c != sure[i] {
				t.Fatalf("frame %d: took %d, sure was %d", i, c, sure[i])
			}
		}
	})
}
