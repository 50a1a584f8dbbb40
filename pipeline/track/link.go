package track

import "math"

// Node is one candidate of one frame.
type Node struct {
	X, Y float64 // px
	// Worth is what the candidate is worth on its own: about 1 for a good one,
	// below 0 for one that should only be taken if the path insists.
	Worth float64
	// Mass is the candidate's area in px; neighbours on a path should agree.
	Mass float64
	// SXX, SXY, SYY are its second moments, px²; 0 unknown.
	SXX, SXY, SYY float64
	// SDPx is the uncertainty of its place.
	SDPx float64
	// Pale is the price of having less colour than the mark has at rest; a fast
	// step, whose blur makes a band pale, pays the less of it the faster it is.
	Pale float64
}

// Physics bounds what a path may do.
type Physics struct {
	// MaxSpeed is the largest speed, px/s.
	MaxSpeed float64
	// Accel is the s.d. of the acceleration, px/s²; three and a half times it is refused.
	Accel float64
	// FullSpeed is the speed, px/s, from which the acceleration may be all of
	// Accel. Defaults to every speed.
	FullSpeed float64
	// MaxGapS is the longest span without a candidate inside a path, s.
	MaxGapS float64
	// GapPrice is the price of a second without a candidate.
	GapPrice float64
	// FastSpeed, px/s, earns FastBonus per step in full; slower steps earn
	// their share of its square. It tells a swung band from a still patch of
	// the same hue.
	FastSpeed float64
	FastBonus float64
}

// edge is a step of the path from one candidate to a later one, with the best
// score of any path that ends with it.
type edge struct {
	from, to   int // indexes into the list of nodes
	score      float64
	prev       int // edge before, −1 at a path's start
	vx, vy, dt float64
}

type flatNode struct {
	Node
	frame int
	t     float64
}

// maxMet is how many earlier frames with a candidate in reach a step may come
// from: a path that skips more of them than that has left its mark.
const maxMet = 10

// maxBend is the square of how many s.d. an acceleration may be.
const maxBend = 12

// minChain is the fewest candidates of a path that stands alone before or after
// the main one.
const minChain = 8

// Link returns, for each frame, the index of the chosen candidate, or −1. Where
// the mark is out of sight for longer than a path may bridge, the best paths
// before and after the main one are taken too. tell, which may be nil, is told how many
// frames the search for the main one has passed, and then how many more are settled:
// twice the frames in all.
func Link(frames [][]Node, times []float64, ph Physics, tell func(frames int)) []int {
	chosen := make([]int, len(frames))
	for i := range chosen {
		chosen[i] = -1
	}
	settled := len(frames)
	linkSpan(frames, times, ph, chosen, 1, tell, func(n int) {
		if settled += n; tell != nil {
			tell(settled)
		}
	})
	return chosen
}

// linkSpan fills chosen for a stretch of frames. tell is told how many frames the first
// search has passed, done how many frames more have got their candidate or none.
func linkSpan(frames [][]Node, times []float64, ph Physics, chosen []int, least int, tell, done func(frames int)) {
	part := linkOne(frames, times, ph, tell)
	first, last, n := -1, -1, 0
	for i, k := range part {
		if k >= 0 {
			if first < 0 {
				first = i
			}
			last = i
			n++
		}
	}
	if n < least {
		done(len(frames))
		return
	}
	copy(chosen, part)
	done(last - first + 1)
	if first > 0 {
		linkSpan(frames[:first], times[:first], ph, chosen[:first], minChain, nil, done)
		if b := lastChosen(chosen[:first]); b >= 0 && !joins(frames, times, ph, chosen, b, first) {
			forget(chosen[:first])
		}
	}
	if last+1 < len(frames) {
		linkSpan(frames[last+1:], times[last+1:], ph, chosen[last+1:], minChain, nil, done)
		if b := firstChosen(chosen[last+1:]); b >= 0 && !joins(frames, times, ph, chosen, last, last+1+b) {
			forget(chosen[last+1:])
		}
	}
}

// Two paths of one mark are apart no more than a bat that is not yet, or no
// longer, swung fast can go in the time between them, and change their speed no
// more than such a bat can.
const (
	joinShare = 0.35 // of the largest speed
	joinBend  = 0.5  // of the s.d. of acceleration
	joinS     = 0.006
	joinSpan  = 5 // candidates on either side that tell the speed
)

// joins reports whether the path that ends at frame a and the one that begins at
// frame b may be one mark's.
func joins(frames [][]Node, times []float64, ph Physics, chosen []int, a, b int) bool {
	p, q := frames[a][chosen[a]], frames[b][chosen[b]]
	gap := times[b] - times[a] + joinS
	if math.Hypot(p.X-q.X, p.Y-q.Y) > joinShare*ph.MaxSpeed*gap {
		return false
	}
	ux, uy := pace(frames, times, chosen, a, -1)
	vx, vy := pace(frames, times, chosen, b, 1)
	return math.Hypot(ux-vx, uy-vy) <= joinBend*ph.Accel*gap
}

// pace is the mean velocity over a few candidates from frame i on in one
// direction.
func pace(frames [][]Node, times []float64, chosen []int, i, step int) (vx, vy float64) {
	j, n := i, 0
	for k := i; k >= 0 && k < len(chosen) && n < joinSpan; k += step {
		if chosen[k] >= 0 {
			j = k
			n++
		}
	}
	if j == i {
		return 0, 0
	}
	p, q := frames[i][chosen[i]], frames[j][chosen[j]]
	dt := times[j] - times[i]
	return (q.X - p.X) / dt, (q.Y - p.Y) / dt
}

func lastChosen(chosen []int) int {
	for i := len(chosen) - 1; i >= 0; i-- {
		if chosen[i] >= 0 {
			return i
		}
	}
	return -1
}

func firstChosen(chosen []int) int {
	for i, k := range chosen {
		if k >= 0 {
			return i
		}
	}
	return -1
}

func forget(chosen []int) {
	for i := range chosen {
		chosen[i] = -1
	}
}

// linkOne returns the best single path.
func linkOne(frames [][]Node, times []float64, ph Physics, tell func(frames int)) []int {
	chosen := make([]int, len(frames))
	for i := range chosen {
		chosen[i] = -1
	}
	var nodes []flatNode
	first := make([]int, len(frames)+1)
	for f, cs := range frames {
		first[f] = len(nodes)
		for _, c := range cs {
			nodes = append(nodes, flatNode{c, f, times[f]})
		}
	}
	first[len(frames)] = len(nodes)

	var edges []edge
	into := make([][2]int, len(nodes)) // range of edges that end at a node
	best, bestScore := -1, 0.0
	single, singleScore := -1, 0.0
	for f := range frames {
		if tell != nil {
			tell(f)
		}
		for b := first[f]; b < first[f+1]; b++ {
			start := len(edges)
			nb := nodes[b]
			if usable(nb) && nb.Worth > singleScore {
				single, singleScore = b, nb.Worth
			}
			met := 0
			for g := f - 1; g >= 0 && times[f]-times[g] <= ph.MaxGapS && met < maxMet && usable(nb); g-- {
				reached := false
				for a := first[g]; a < first[g+1]; a++ {
					if e, ok := step(nodes, edges, into, a, b, f-g-1, ph); ok {
						reached = true
						edges = append(edges, e)
						if e.score > bestScore {
							best, bestScore = len(edges)-1, e.score
						}
					}
				}
				if reached {
					met++
				}
			}
			into[b] = [2]int{start, len(edges)}
		}
	}
	if best < 0 {
		if single >= 0 {
			chosen[nodes[single].frame] = single - first[nodes[single].frame]
		}
		return chosen
	}
	for e := best; e >= 0; e = edges[e].prev {
		to, from := nodes[edges[e].to], nodes[edges[e].from]
		chosen[to.frame] = edges[e].to - first[to.frame]
		chosen[from.frame] = edges[e].from - first[from.frame]
	}
	return chosen
}

func usable(n flatNode) bool {
	sum := n.X + n.Y + n.Worth + n.Mass + n.SDPx
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// step makes the edge from node a to node b with the best path before it.
func step(nodes []flatNode, edges []edge, into [][2]int, a, b, skipped int, ph Physics) (edge, bool) {
	na, nb := nodes[a], nodes[b]
	dt := nb.t - na.t
	if dt <= 0 || !usable(na) {
		return edge{}, false
	}
	e := edge{from: a, to: b, prev: -1, dt: dt, vx: (nb.X - na.X) / dt, vy: (nb.Y - na.Y) / dt}
	speed := math.Hypot(e.vx, e.vy)
	if !(speed <= ph.MaxSpeed) {
		return edge{}, false
	}
	own := nb.Worth - ph.GapPrice*dt*float64(skipped)/float64(skipped+1) - massPrice(na.Mass, nb.Mass)
	fast := 0.0
	if ph.FastSpeed > 0 {
		fast = math.Min(1, speed*speed/(ph.FastSpeed*ph.FastSpeed))
	}
	own += ph.FastBonus*fast - nb.Pale*(1-fast)
	e.score = na.Worth + own
	for p := into[a][0]; p < into[a][1]; p++ {
		q := edges[p]
		span := (q.dt + dt) / 2
		acc := math.Hypot(e.vx-q.vx, e.vy-q.vy) / span
		noise := (nodes[q.from].SDPx/q.dt + na.SDPx*(1/q.dt+1/dt) + nb.SDPx/dt) / span
		most := ph.accelAt(math.Max(speed, math.Hypot(q.vx, q.vy)))
		rel := acc * acc / (most*most + noise*noise)
		if rel > maxBend {
			continue
		}
		if s := q.score + own - rel/2; s > e.score {
			e.score, e.prev = s, p
		}
	}
	return e, true
}

// accelAt is the s.d. of the acceleration at a speed: most of a swing's
// acceleration is towards its centre and grows with the square of the speed.
func (ph Physics) accelAt(speed float64) float64 {
	if ph.FullSpeed <= 0 {
		return ph.Accel
	}
	k := math.Min(1, speed/ph.FullSpeed)
	return ph.Accel * (slowShare + (1-slowShare)*k*k)
}

// slowShare is the share of the acceleration that is left at rest.
const slowShare = 0.25

// massPrice charges a change of area: a factor of two costs a quarter.
func massPrice(a, b float64) float64 {
	if a <= 0 || b <= 0 {
		return 0
	}
	l := math.Log2(a / b)
	return math.Min(1, l*l/4)
}
