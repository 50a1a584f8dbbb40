package track

import (
	"math"
	"math/rand/v2"
	"testing"
)

// barrelLaw is a barrel's at 250 px a metre in a picture of 1280 × 720 px.
var barrelLaw = Law{
	MaxSpeed: 55 * 250, RestAccel: 150 * 250, TurnPx: 0.9 * 250, FastSpeed: 8 * 250, SwingPx: 0.5 * 250, AreaPx: 1280 * 720,
	GapS: 0.10, ReachPx: 0.5 * 250, ReachSpeed: 12 * 250,
}

// swung is a band at rest that swings on a circle of 0.9 m at 250 px a metre.
func swung(n int, fps float64) (t []float64, p [][2]float64) {
	for i := range n {
		s := float64(i) / fps
		phi := 0.0
		if s > 0.2 {
			phi = 0.5 * 300 * (s - 0.2) * (s - 0.2)
		}
		t = append(t, s)
		p = append(p, [2]float64{600 - 225*math.Cos(phi), 300 + 225*math.Sin(phi)})
	}
	return t, p
}

func TestLinkLeavesTheJacketAlone(t *testing.T) {
	t.Parallel()
	times, path := swung(84, 240)
	rng := rand.New(rand.NewPCG(1, 2))
	frames := make([][]Node, len(times))
	for i, p := range path {
		// A jacket of the same hue that hangs still, a person who walks in it, and
		// specks anywhere. The band is hidden for twelve frames of the swing.
		frames[i] = append(frames[i],
			Node{X: 900, Y: 300, Log: -1, Mass: 2000, SDPx: 0.5},
			Node{X: 200 + 1.2*float64(i), Y: 350, Log: 0.8, Mass: 400, SDPx: 0.5},
			Node{X: 1280 * rng.Float64(), Y: 720 * rng.Float64(), Log: 0.5, Mass: 20, SDPx: 0.5})
		if i < 55 || i >= 67 {
			frames[i] = append(frames[i], Node{X: p[0] + rng.NormFloat64()*0.4, Y: p[1] + rng.NormFloat64()*0.4, Log: 1, Mass: 200, SDPx: 0.4})
		}
	}
	found := Path(frames, times, barrelLaw, ObjectSearch{Accel: 150 * 250, MaxSpeed: 6 * 250, MaxGapS: 0.03, ApartPx: 0.15 * 250, LongS: 0.05}, nil)
	got := found.Chosen
	if found.Rival > found.Score/4 {
		t.Errorf("a rival of %.0f nats beside %.0f", found.Rival, found.Score)
	}
	taken := 0
	for i, k := range got {
		if i >= 55 && i < 67 {
			if k >= 0 {
				t.Errorf("frame %d: took candidate %d while the band was hidden", i, k)
			}
			continue
		}
		if k == 3 {
			taken++
		} else if k >= 0 {
			t.Errorf("frame %d: took candidate %d, not the band", i, k)
		}
	}
	if want := len(times) - 12; taken < want-2 {
		t.Errorf("the band was taken in %d frames of %d", taken, want)
	}
}

func TestLinkEmpty(t *testing.T) {
	t.Parallel()
	if got, _ := Link(nil, nil, barrelLaw, nil); len(got) != 0 {
		t.Errorf("no frames gave %v", got)
	}
	if got, _ := Link(make([][]Node, 3), []float64{0, 1, 2}, barrelLaw, nil); got[0] != -1 || got[2] != -1 {
		t.Errorf("empty frames gave %v", got)
	}
}

// FuzzLink feeds arbitrary candidates: never a panic, always a valid choice, at
// most one candidate a frame, and every frame is told as passed and as settled once.
func FuzzLink(f *testing.F) {
	f.Add(uint64(1), 20, 4, false)
	f.Add(uint64(7), 3, 1, true)
	f.Fuzz(func(t *testing.T, seed uint64, n, k int, odd bool) {
		if n < 0 || n > 60 || k < 0 || k > 6 {
			return
		}
		rng := rand.New(rand.NewPCG(seed, 3))
		times := make([]float64, n)
		frames := make([][]Node, n)
		for i := range frames {
			times[i] = float64(i)/240 + 0.001*rng.Float64()
			for range rng.IntN(k + 1) {
				c := Node{X: rng.NormFloat64() * 1e3, Y: rng.NormFloat64() * 1e3, Log: rng.NormFloat64(), Mass: rng.ExpFloat64() * 100, SDPx: rng.Float64()}
				if odd && rng.IntN(5) == 0 {
					c.X = []float64{math.NaN(), math.Inf(1), 1e300, 0}[rng.IntN(4)]
				}
				frames[i] = append(frames[i], c)
			}
		}
		told := 0
		tell := func(frames int) {
			if frames < told {
				t.Fatalf("told %d after %d", frames, told)
			}
			told = frames
		}
		chosen, _ := Link(frames, times, barrelLaw, tell)
		for i, c := range chosen {
			if c < -1 || c >= len(frames[i]) {
				t.Fatalf("frame %d: candidate %d of %d", i, c, len(frames[i]))
			}
		}
		if told != n {
			t.Fatalf("told %d of %d at last", told, n)
		}
	})
}
