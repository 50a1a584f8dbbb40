package track

import (
	"math"
	"slices"
)

// Found is what a search for a mark came to.
type Found struct {
	// Chosen is, for each frame, the index of the candidate or −1.
	Chosen []int
	// Score is how much the path speaks for a mark, nats; Rival the same of the best path
	// through what is left when its swing is taken out.
	Score, Rival float64
}

// Path is Link for a mark that is the only one of its kind: a thing that is seen in one
// place while the mark swings in another is something else, in every frame. What is
// found so is left out and the search made again.
func Path(frames [][]Node, times []float64, law Law, things ObjectSearch, tell func(frames int)) Found {
	ids := Objects(frames, times, things)
	frames = lasting(frames, times, ids, things.LongS)
	others := make([][]bool, len(frames))
	for f := range frames {
		others[f] = make([]bool, len(frames[f]))
	}
	var found Found
	out := map[int]bool{}
	for range mostTries {
		found.Chosen, found.Score = linkWithout(frames, others, times, law, tell)
		more := apart(frames, times, found.Chosen, ids, law, things.ApartPx, out)
		if len(more) == 0 {
			break
		}
		for _, id := range more {
			out[id] = true
		}
		for f := range ids {
			for k, id := range ids[f] {
				others[f][k] = out[id]
			}
		}
	}
	// Another swing is another one at the same time, or this one by other candidates.
	swings := Swinging(frames, times, found.Chosen, law.FastSpeed, law.SwingPx)
	for f, swing := range swings {
		for k, n := range frames[f] {
			if !swing {
				others[f][k] = true
				continue
			}
			at := frames[f][found.Chosen[f]]
			others[f][k] = math.Hypot(n.X-at.X, n.Y-at.Y) <= things.ApartPx
		}
	}
	_, found.Rival = linkWithout(frames, others, times, law, nil)
	return found
}

// lasting marks the candidates of things that are followed for long.
func lasting(frames [][]Node, times []float64, ids [][]int, longS float64) [][]Node {
	first, last := map[int]float64{}, map[int]float64{}
	for f := range ids {
		for _, id := range ids[f] {
			if _, ok := first[id]; !ok {
				first[id] = times[f]
			}
			last[id] = times[f]
		}
	}
	out := make([][]Node, len(frames))
	for f := range frames {
		out[f] = slices.Clone(frames[f])
		for k, id := range ids[f] {
			out[f][k].Thing = id >= 0 && last[id]-first[id] > longS
		}
	}
	return out
}

// linkWithout is Link without some of the candidates.
func linkWithout(frames [][]Node, others [][]bool, times []float64, law Law, tell func(frames int)) ([]int, float64) {
	kept, index := without(frames, others)
	chosen, score := Link(kept, times, law, tell)
	for f, k := range chosen {
		if k >= 0 {
			chosen[f] = index[f][k]
		}
	}
	return chosen, score
}

const (
	// mostTries bounds the searches: each but the last leaves out at least one thing.
	mostTries = 5
	// apartLeast is in how many frames of the swing a thing must be seen apart from the mark.
	apartLeast = 4
)

// without lists the candidates that are left, with their places among all.
func without(frames [][]Node, others [][]bool) (kept [][]Node, index [][]int) {
	kept, index = make([][]Node, len(frames)), make([][]int, len(frames))
	for f, nodes := range frames {
		for k, n := range nodes {
			if !others[f][k] {
				kept[f], index[f] = append(kept[f], n), append(index[f], k)
			}
		}
	}
	return kept, index
}

// apart lists the things that are seen apart from the path while it swings and are not
// known yet.
func apart(frames [][]Node, times []float64, chosen []int, ids [][]int, law Law, apartPx float64, known map[int]bool) []int {
	seen, own := map[int]int{}, map[int]bool{}
	for f, fast := range Swinging(frames, times, chosen, law.FastSpeed, law.SwingPx) {
		if !fast {
			continue
		}
		at := frames[f][chosen[f]]
		for k, n := range frames[f] {
			switch id := ids[f][k]; {
			case k == chosen[f]:
				own[id] = true
			case math.Hypot(n.X-at.X, n.Y-at.Y) > apartPx:
				seen[id]++
			}
		}
	}
	var out []int
	for id, n := range seen {
		if n >= apartLeast && !own[id] && !known[id] {
			out = append(out, id)
		}
	}
	return out
}

// Swinging tells in which frames a path swings: a run of fast steps that leads far from
// where it began.
func Swinging(frames [][]Node, times []float64, chosen []int, fastPx, swingPx float64) []bool {
	out := make([]bool, len(frames))
	var run []int
	fast, far := 0, false
	for f, k := range chosen {
		if k < 0 {
			continue
		}
		q := frames[f][k]
		if n := len(run); n > 0 {
			g := run[n-1]
			p := frames[g][chosen[g]]
			speed := math.Hypot(q.X-p.X, q.Y-p.Y) / (times[f] - times[g]) / fastPx
			if speed >= 1 {
				fast++
			}
			if f-g > 2 || speed*speed < fadeShare || fast == 0 {
				run, fast, far = run[:0], 0, false
			}
		}
		run = append(run, f)
		from := frames[run[0]][chosen[run[0]]]
		far = far || math.Hypot(q.X-from.X, q.Y-from.Y) >= swingPx
		if fast >= swingEdges && far {
			for _, i := range run {
				out[i] = true
			}
		}
	}
	return out
}
