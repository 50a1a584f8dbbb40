package track

import (
	"math"
	"slices"
	"testing"
)

// pathThings are what else moves in the tests of paths.
var pathThings = ObjectSearch{Accel: 1e4, MaxSpeed: 500, MaxGapS: 0.03, ApartPx: 15, LongS: 0.05}

// beside adds a candidate to some frames.
func beside(frames [][]Node, from, to int, n Node) {
	for f := from; f < to; f++ {
		frames[f] = append(frames[f], n)
	}
}

// A thing that is seen in its place while the mark swings in another is not the mark, where
// the mark is not seen either: in four frames of the swing, and out of what a band may
// measure, 15 px.
func TestPathLeavesOutWhatIsSeenApart(t *testing.T) {
	t.Parallel()
	move := row(row(nil, 10, 0), 6, 20)
	for _, c := range []struct {
		name   string
		fast   int // frames of the swing in which the thing is seen
		offPx  float64
		stands int // candidates that are taken at rest
	}{
		{"four frames, far", 4, 40, 0},
		{"three frames", 3, 40, 6},
		{"near", 6, 14, 6},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			// At rest the mark is hidden, and the thing stands where it would be.
			frames := single(6, move...)
			for f := range 6 {
				frames[f] = nil
			}
			stand := Node{X: -2, Y: 0, Log: 2, Mass: 100}
			beside(frames, 0, 6, stand)
			for f := 10; f < 10+c.fast; f++ {
				n := stand
				n.X, n.Y, n.Log = move[f][0], move[f][1]+c.offPx, -1
				frames[f] = append(frames[f], n)
			}
			// Numbered as one thing, though it is not followed from one place to the other.
			ids := make([][]int, len(frames))
			for f := range frames {
				for k := range frames[f] {
					ids[f] = append(ids[f], 1)
					if f >= 6 && k == 0 {
						ids[f][k] = 2
					}
				}
			}
			chosen, _ := Link(frames, hundred(len(frames)), sweepLaw, nil)
			more := apart(frames, hundred(len(frames)), chosen, ids, sweepLaw, pathThings.ApartPx, map[int]bool{})
			if got, want := slices.Contains(more, 1), c.stands == 0; got != want || slices.Contains(more, 2) {
				t.Errorf("things %v left out", more)
			}
			if more := apart(frames, hundred(len(frames)), chosen, ids, sweepLaw, pathThings.ApartPx, map[int]bool{1: true}); len(more) > 0 {
				t.Errorf("things %v left out twice", more)
			}
		})
	}
}

// A second band that swings at the same time is a rival, by its whole score; without one
// there is none.
func TestPathTellsARival(t *testing.T) {
	t.Parallel()
	move := row(row(nil, 5, 0), 6, 20)
	alone := single(6, move...)
	found := Path(alone, hundred(len(alone)), sweepLaw, pathThings, nil)
	_, score := Link(alone, hundred(len(alone)), sweepLaw, nil)
	if found.Rival != 0 || math.Abs(found.Score-score) > 1e-9 {
		t.Errorf("alone: %.2f nats and a rival of %.2f, want %.2f and none", found.Score, found.Rival, score)
	}
	both := single(6, move...)
	for f := 5; f < len(both); f++ {
		n := both[f][0]
		n.Y, n.Log = n.Y+200, 5
		both[f] = append(both[f], n)
	}
	found = Path(both, hundred(len(both)), sweepLaw, pathThings, nil)
	// By hand, of the six frames in which both swing: six candidates at 15 % of 5 nats, four
	// steps after the first, and the rest of the 5 nats for each step.
	if want := -8 + 6*0.75 + 4 + 5*0.85*5; math.Abs(found.Rival-want) > 1e-3 || slices.Max(found.Chosen) != 0 {
		t.Errorf("rival %.2f nats, want %.2f; chosen %v", found.Rival, want, found.Chosen)
	}
}

// A thing that is followed for long is not there by chance, one that is seen for a moment
// may be.
func TestLasting(t *testing.T) {
	t.Parallel()
	frames := single(1, row(nil, 8, 1)...)
	beside(frames, 2, 7, Node{X: 100})
	ids := make([][]int, len(frames))
	for f := range frames {
		ids[f] = []int{0}
		if len(frames[f]) > 1 {
			ids[f] = []int{0, 1}
		}
	}
	got := lasting(frames, hundred(8), ids, 0.05)
	if !got[0][0].Thing || !got[7][0].Thing || got[3][1].Thing || frames[0][0].Thing {
		t.Errorf("got %+v; want the first a thing, 70 ms long, and not the second, 40 ms", got)
	}
}

// By hand: where three fast steps lead 60 px away a path swings, from the candidate before
// the first of them; slow steps and what is hidden for two frames end it.
func TestSwinging(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		steps []float64 // px a frame; NaN where nothing is chosen
		want  string
	}{
		{"three", []float64{0, 0, 20, 20, 20, 0, 0}, "  ####  "},
		{"two", []float64{0, 0, 30, 30, 0, 0, 0}, "        "},
		{"not far", []float64{0, 19, 19, 19, 0, 0, 0}, "        "},
		{"too slow", []float64{9.9, 9.9, 9.9, 9.9, 9.9, 9.9, 9.9}, "        "},
		{"a slower one among them", []float64{0, 20, 20, 7.2, 20, 0, 0}, " #####  "},
		{"one too slow among them", []float64{0, 20, 20, 7.0, 20, 0, 0}, "        "},
		{"one hidden", []float64{0, 20, 20, math.NaN(), 40, 0, 0}, " ### #  "},
		{"two hidden", []float64{0, 20, 20, math.NaN(), math.NaN(), 60, 0}, "        "},
	} {
		x, chosen := 0.0, []int{0}
		frames := [][]Node{{{}}}
		for _, s := range c.steps {
			if math.IsNaN(s) {
				frames, chosen = append(frames, nil), append(chosen, none)
				continue
			}
			x += s
			frames, chosen = append(frames, []Node{{X: x}}), append(chosen, 0)
		}
		got := ""
		for _, s := range Swinging(frames, hundred(len(frames)), chosen, 1000, 60) {
			got += map[bool]string{true: "#", false: " "}[s]
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
