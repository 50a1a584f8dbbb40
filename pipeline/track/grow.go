package track

import (
	"math"
	"sort"
)

// Growth says how a path is carried outwards from the part of it that is sure.
type Growth struct {
	Physics
	// Objects numbers the things that the candidates belong to, as Objects does.
	Objects [][]int
	// ApartPx is how far from the path a thing must be to be another one.
	ApartPx float64
	// BreakAccel, px/s², is the largest mean acceleration over a break at rest, and
	// BreakRate, 1/s, what each px/s of speed adds to it.
	BreakAccel, BreakRate float64
	// SlowPx is the speed, px/s, below which what comes out of another thing's
	// outline is a part of that thing.
	SlowPx float64
	// AstrayPx is how far from the place foretold the mark may at most be after a
	// break.
	AstrayPx float64
	// NearS is how far ahead a path is sought while it goes on without a break,
	// FarS where it breaks off, and LastS where nothing comes of that either, s.
	// Default to 0.05, 0.16 and 0.45.
	NearS, FarS, LastS float64
}

const (
	growTail   = 8 // candidates of the path's end that tell the way it goes
	growSkip   = 2 // frames without a candidate that are no break
	apartLeast = 4 // frames in which a thing was seen apart
	sureWorth  = 5 // makes a path through what is known better than any other
	mostTries  = 10
	// A band is not much larger at rest than in the swing, where blur spreads it.
	mostShare = 2.5 // of the 90th percentile of its area in the sure part
	// Far below its usual area and without its colour, a patch is a speck.
	leastShare = 0.3
	mostPale   = 0.8
)

// Grow carries the path outwards, both ways, from the frames whose candidate is
// sure (−1 in the others) for as long as there is evidence. It looks only a few
// frames ahead, so that a long rest on another thing never outweighs the next
// step; what was seen apart from the path so far is out of the question; and over
// a break it goes on only where a swung bat would be by then, as fast as it would
// be. It rather ends than guesses.
func Grow(frames [][]Node, times []float64, sure []int, gr Growth) []int {
	if gr.NearS == 0 {
		gr.NearS = 0.05
	}
	if gr.FarS == 0 {
		gr.FarS = 0.16
	}
	if gr.LastS == 0 {
		gr.LastS = 0.45
	}
	g := outward{Growth: gr, frames: frames, times: times, path: append([]int(nil), sure...)}
	g.largest = mostShare * g.usual()
	// An end that came to a stop is tried again once the others have gone as far as
	// they can: what they passed by is then known to be something else.
	for g.advance() {
	}
	return g.path
}

// advance extends every end until it stops and reports whether any moved.
func (g *outward) advance() bool {
	some := false
	stopped := map[end]bool{}
	for moved := true; moved; {
		moved = false
		g.label()
		for _, e := range g.ends() {
			if stopped[e] {
				continue
			}
			if g.extend(e, g.NearS) || g.extend(e, g.FarS) || g.extend(e, g.LastS) {
				moved, some = true, true
			} else {
				stopped[e] = true
			}
		}
	}
	return some
}

// outward is a path on its way.
type outward struct {
	Growth
	frames  [][]Node
	times   []float64
	path    []int
	largest float64     // area that the mark may show
	own     map[int]int // frames in which a thing is on the path
	apart   map[int]int // frames in which it is seen apart from it
}

// usual is the 90th percentile of the area along the path.
func (g *outward) usual() float64 {
	var v []float64
	for f, k := range g.path {
		if k >= 0 {
			v = append(v, g.frames[f][k].Mass)
		}
	}
	if len(v) == 0 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)*9/10]
}

// end is an end of a stretch of the path, and the way out of it.
type end struct{ frame, step int }

// ends lists the ends of the path's stretches; a few frames without a candidate
// do not end one.
func (g *outward) ends() []end {
	var out []end
	last := -1
	for f, k := range g.path {
		if k < 0 {
			continue
		}
		if last < 0 || f-last > growSkip+1 {
			if last >= 0 {
				out = append(out, end{last, 1})
			}
			out = append(out, end{f, -1})
		}
		last = f
	}
	if last >= 0 {
		out = append(out, end{last, 1})
	}
	return out
}

// label counts the frames in which each thing is on the path or apart from it.
func (g *outward) label() {
	g.own, g.apart = map[int]int{}, map[int]int{}
	for f, k := range g.path {
		if k < 0 {
			continue
		}
		at := g.frames[f][k]
		for i, n := range g.frames[f] {
			switch id := g.Objects[f][i]; {
			case i == k:
				g.own[id]++
			case math.Hypot(n.X-at.X, n.Y-at.Y) > g.ApartPx:
				g.apart[id]++
			}
		}
	}
}

// other reports whether a candidate belongs to a thing that was seen apart from
// the path.
func (g *outward) other(frame, k int) bool {
	id := g.Objects[frame][k]
	return g.apart[id] >= apartLeast && g.own[id] == 0
}

// extend takes the path further from one of its ends and reports whether it did.
// What lies beyond a break and cannot be the mark is left out, and the search made
// again without it.
func (g *outward) extend(e end, reachS float64) bool {
	refused := map[int]bool{}
	for range mostTries {
		found, ok := g.ahead(e.frame, e.step, reachS, refused)
		if !ok {
			return false
		}
		taken, wrong := g.take(found, e.frame, e.step)
		if taken || len(wrong) == 0 {
			return taken
		}
		for _, f := range wrong[:min(len(wrong), growAfter)] {
			refused[g.Objects[f][found[f]]] = true
		}
	}
	return false
}

// ahead is the best path from an end on, by frame, −1 where it has no candidate.
// It covers the frames up to reachS ahead.
func (g *outward) ahead(from, step int, reachS float64, refused map[int]bool) (map[int]int, bool) {
	back := from
	for n := 1; n < growTail && g.inside(back-step) && math.Abs(g.times[from]-g.times[back-step]) < g.NearS; n++ {
		back -= step
	}
	to := from
	for g.inside(to+step) && g.path[to+step] < 0 && math.Abs(g.times[to+step]-g.times[from]) <= reachS {
		to += step
	}
	mass := g.pace(g.path, from, -step).mass
	lo, hi := min(back, to), max(back, to)
	window := make([][]Node, hi-lo+1)
	index := make([][]int, hi-lo+1)
	for f := lo; f <= hi; f++ {
		known := (from-f)*step >= 0
		for k, n := range g.frames[f] {
			switch {
			case known && k != g.path[f], !known && (g.other(f, k) || g.speck(n, mass) || n.Mass > g.largest || refused[g.Objects[f][k]]):
				continue
			case known:
				n.Worth = sureWorth
			}
			window[f-lo] = append(window[f-lo], n)
			index[f-lo] = append(index[f-lo], k)
		}
	}
	ph := g.Physics
	ph.MaxGapS = math.Max(ph.MaxGapS, reachS*2/3)
	chosen := linkOne(window, g.times[lo:hi+1], ph, nil)
	if to == from || chosen[from-lo] < 0 {
		return nil, false
	}
	found := map[int]int{}
	for f := from + step; f != to+step; f += step {
		found[f] = -1
		if k := chosen[f-lo]; k >= 0 {
			found[f] = index[f-lo][k]
		}
	}
	return found, true
}

// speck reports whether a candidate has neither the mark's size nor its colour.
func (g *outward) speck(n Node, mass float64) bool {
	return n.Mass < leastShare*mass && n.Pale > mostPale
}

// take adds what was found ahead to the path as far as it can be believed. When
// nothing can because it is wrong beyond a break, it says what.
func (g *outward) take(found map[int]int, from, step int) (taken bool, wrong []int) {
	last, to := from, from+step*len(found)
	for f := from + step; f != to+step; f += step {
		if found[f] < 0 {
			continue
		}
		if (f-last)*step > growSkip+1 {
			if taken {
				return true, nil
			}
			if after := stretch(found, f, step); !g.jump(found, after, last, step) {
				return false, after
			}
		}
		// The last frames of the window have nothing ahead that speaks for them.
		if taken && g.inside(to+step) && (to-f)*step < growTail/2 {
			return true, nil
		}
		g.path[f] = found[f]
		last, taken = f, true
	}
	return taken, nil
}

// stretch lists the frames with a candidate from f up to the next break.
func stretch(found map[int]int, f, step int) []int {
	var out []int
	for last := f; ; f += step {
		k, ok := found[f]
		if !ok || (f-last)*step > growSkip+1 {
			return out
		}
		if k >= 0 {
			out, last = append(out, f), f
		}
	}
}

func (g *outward) inside(f int) bool { return f >= 0 && f < len(g.frames) }
