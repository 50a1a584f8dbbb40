package track

import "math"

// Node is one candidate of one frame.
type Node struct {
	X, Y float64 // px
	// Log is what its look says for the mark against anything else, nats.
	Log float64
	// Mass is the candidate's area, px²; neighbours on a path should agree.
	Mass float64
	// SDPx is the uncertainty of its place.
	SDPx float64
	// Thing says that it goes on as something that moves no faster than people do: it is not
	// there by chance, and no fast step is credited for having met it.
	Thing bool
}

// Law says how a mark moves and when it is out of sight.
type Law struct {
	// MaxSpeed is the largest speed, px/s.
	MaxSpeed float64
	// RestAccel is the s.d. of the acceleration at rest, px/s²; a speed v adds v²/TurnPx,
	// what it takes to go round a circle of that radius.
	RestAccel, TurnPx float64
	// FastSpeed, px/s, is faster than anything but the mark goes, and SwingPx how far from
	// where it became so fast a mark is that swings: parts of a thing wander as fast, but
	// not as far. Zero: the mark is no faster than other things.
	FastSpeed, SwingPx float64
	// AreaPx is the picture's area, px²: where a candidate lies that is there by chance.
	AreaPx float64
	// GapS is the longest span out of sight that a stretch of the path may hold, s.
	GapS float64
	// ReachPx and ReachSpeed, px and px/s, bound how far a mark may come out of sight from
	// where it went: so much off and so much faster than it left.
	ReachPx, ReachSpeed float64
}

// What a path pays and earns, nats.
const (
	// birthLog is the price of each stretch: chance makes a few candidates look like a path.
	birthLog = 8.0
	// gapLog is the price of going out of sight and coming back, hiddenLog that of a second
	// between. A band that is seen goes out of sight in one frame of thirty or so and comes
	// back within five: −ln(1/30 · 1/5).
	gapLog    = 5.0
	hiddenLog = 5.0
	// slowShare of a look counts where the mark is slow: there a thing of its colour that
	// stands about looks the same in every frame, so frames are no independent witnesses.
	slowShare = 0.15
	// chanceMost bounds what a fast step earns for ending where the law foretold it.
	chanceMost = 5.0
	// massMost bounds the price of a change of area.
	massMost = 4.0
	// maxBend is χ² with two degrees of freedom, at which a step is refused: 1 in 3,000.
	maxBend = 16.0
	// swingEdges is how many fast steps a swing has at least.
	swingEdges = 3
	// fadeShare of a fast step's weight, which goes with the speed squared, ends a run: the
	// error of a place makes a step by chance slower, but not so much.
	fadeShare = 0.5
	// maxMet is how many earlier frames with a candidate in reach a step may come from.
	maxMet = 8
)

// edge is a step of the path from one candidate to a later one, with the best score of
// any path that ends with it: without a swing so far, and with one.
type edge struct {
	from, to   int
	score      [2]float64
	prev       [2]int // edge before; −1 where the path begins, −2−e where it comes out of sight after edge e
	was        [2]int // which of its scores the path comes from
	run        [2]run // of the paths with these scores
	vx, vy, dt float64
}

// run is a row of fast steps.
type run struct {
	steps int
	from  int     // node where it began
	open  float64 // what it has earned if it becomes a swing; 0 once it is one
	swing bool
}

type flatNode struct {
	Node
	frame int
	t     float64
}

// start is the best way to begin a stretch at a node.
type start struct {
	score [2]float64
	prev  [2]int
}

// linker is one search.
type linker struct {
	law   Law
	nodes []flatNode
	first []int // of each frame's nodes
	edges []edge
	into  [][2]int // range of edges that end at a node
	begin []start
	// ends are, by frame, the best edges that end there.
	ends [][2]int
}

const none = -1

var lost = math.Inf(-1)

// Link returns, for each frame, the index of the chosen candidate or −1: the path with
// the best score, in stretches with what is out of sight between them, and that score,
// nats. With a FastSpeed the path holds a swing, or is empty. tell, which may be nil, is
// told how many frames are done.
func Link(frames [][]Node, times []float64, law Law, tell func(frames int)) (chosen []int, score float64) {
	l := &linker{law: law, first: make([]int, len(frames)+1), ends: make([][2]int, len(frames))}
	for f, cs := range frames {
		l.first[f] = len(l.nodes)
		for _, c := range cs {
			l.nodes = append(l.nodes, flatNode{c, f, times[f]})
		}
	}
	l.first[len(frames)] = len(l.nodes)
	l.into, l.begin = make([][2]int, len(l.nodes)), make([]start, len(l.nodes))
	for f := range frames {
		if tell != nil {
			tell(f)
		}
		l.frame(f, times)
	}
	if tell != nil {
		tell(len(frames))
	}
	return l.path(len(frames))
}

// frame makes the edges that end in a frame.
func (l *linker) frame(f int, times []float64) {
	l.ends[f] = [2]int{none, none}
	for b := l.first[f]; b < l.first[f+1]; b++ {
		from := len(l.edges)
		l.begin[b] = l.starts(b, times)
		met := 0
		for g := f - 1; g >= 0 && times[f]-times[g] <= l.law.GapS && met < maxMet && usable(l.nodes[b]); g-- {
			reached := false
			for a := l.first[g]; a < l.first[g+1]; a++ {
				if e, ok := l.step(a, b, f-g-1); ok {
					reached = true
					l.edges = append(l.edges, e)
				}
			}
			if reached {
				met++
			}
		}
		l.into[b] = [2]int{from, len(l.edges)}
		for e := from; e < len(l.edges); e++ {
			for s := range 2 {
				if k := l.ends[f][s]; l.edges[e].score[s] > lost && (k < 0 || l.edges[e].score[s] > l.edges[k].score[s]) {
					l.ends[f][s] = e
				}
			}
		}
	}
}

// starts is the best way to begin a stretch at node b: anew, or out of sight since an
// earlier stretch ended near enough.
func (l *linker) starts(b int, times []float64) start {
	s := start{score: [2]float64{-birthLog, lost}, prev: [2]int{none, none}}
	n := l.nodes[b]
	for g := range n.frame {
		for w, e := range l.ends[g] {
			if e < 0 {
				continue
			}
			gap := n.t - times[g]
			at, left := l.nodes[l.edges[e].to], math.Hypot(l.edges[e].vx, l.edges[e].vy)
			if math.Hypot(n.X-at.X, n.Y-at.Y) > l.law.ReachPx+(left+l.law.ReachSpeed)*gap {
				continue
			}
			if v := l.edges[e].score[w] - birthLog - hiddenLog*gap; v > s.score[w] {
				s.score[w], s.prev[w] = v, -2-e
			}
		}
	}
	return s
}

func usable(n flatNode) bool {
	sum := n.X + n.Y + n.Log + n.Mass + n.SDPx
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// step makes the edge from node a to node b with the best paths before it.
func (l *linker) step(a, b, skipped int) (edge, bool) {
	na, nb := l.nodes[a], l.nodes[b]
	dt := nb.t - na.t
	if dt <= 0 || !usable(na) {
		return edge{}, false
	}
	e := edge{from: a, to: b, dt: dt, vx: (nb.X - na.X) / dt, vy: (nb.Y - na.Y) / dt}
	speed := math.Hypot(e.vx, e.vy)
	if !(speed <= l.law.MaxSpeed) {
		return edge{}, false
	}
	fast, sure := 0.0, 1.0
	if l.law.FastSpeed > 0 {
		fast = math.Min(1, speed*speed/(l.law.FastSpeed*l.law.FastSpeed))
		sure = slowShare + (1-slowShare)*fast
	}
	slow := 1.0
	if l.law.FastSpeed > 0 {
		slow = slowShare
	}
	own := counts(nb.Log, slow) - massPrice(na.Mass, nb.Mass)
	if skipped > 0 {
		own -= gapLog + hiddenLog*dt*float64(skipped)/float64(skipped+1)
	}
	more := counts(nb.Log, sure) - counts(nb.Log, slow) // where the mark swings
	if nb.Thing {
		fast, more = 0, 0
	}
	first := counts(na.Log, slow)
	begun := l.goesOn(run{from: a}, &e, fast, more)
	for s := range 2 {
		e.score[s], e.prev[s], e.was[s], e.run[s] = l.begin[a].score[s]+first+own, l.begin[a].prev[s], s, begun
	}
	for p := l.into[a][0]; p < l.into[a][1]; p++ {
		q := &l.edges[p]
		rel, spread := l.bend(q, &e)
		if rel > maxBend {
			continue
		}
		// χ²/2 is 1 on average. Chance would put a candidate anywhere in the picture, the law
		// within its spread.
		gain := own + 1 - rel/2
		earns := more + fast*math.Max(0, math.Min(chanceMost, math.Log(l.law.AreaPx/(2*math.Pi*spread*spread))))
		for s := range 2 {
			v, r := q.score[s]+gain, l.goesOn(q.run[s], &e, fast, earns)
			if r.swing {
				v += earns + q.run[s].open
			}
			to := s
			if r.swing && l.law.FastSpeed > 0 {
				to = 1
			}
			if v+r.open > e.score[to]+e.run[to].open {
				e.score[to], e.prev[to], e.was[to], e.run[to] = v, p, s, r
			}
		}
	}
	return e, true
}

// goesOn is what a run becomes with one more step that earns so much. Only what was seen on
// its way makes a swing: a leap out of sight would pay for all that the run left open.
func (l *linker) goesOn(r run, e *edge, fast, earns float64) run {
	leap := l.nodes[e.to].frame-l.nodes[e.from].frame > 1
	switch {
	case r.swing && fast >= fadeShare:
		return r
	case fast < fadeShare || leap || r.steps == 0 && fast < 1:
		return run{from: e.to}
	case r.steps == 0:
		r.from = e.from
	}
	if fast == 1 {
		r.steps++
	}
	from, to := l.nodes[r.from], l.nodes[e.to]
	if r.steps >= swingEdges && math.Hypot(to.X-from.X, to.Y-from.Y) >= l.law.SwingPx {
		return run{steps: r.steps, from: r.from, swing: true}
	}
	r.open += earns
	return r
}

// counts is what a look counts: in full where it speaks against the mark.
func counts(look, share float64) float64 {
	if look > 0 {
		return share * look
	}
	return look
}

// bend is χ² of the acceleration between two steps, and how far from the place foretold
// the law lets the second one end, px.
func (l *linker) bend(q, e *edge) (chi2, spreadPx float64) {
	span := (q.dt + e.dt) / 2
	acc := math.Hypot(e.vx-q.vx, e.vy-q.vy) / span
	noise := (l.nodes[q.from].SDPx/q.dt + l.nodes[e.from].SDPx*(1/q.dt+1/e.dt) + l.nodes[e.to].SDPx/e.dt) / span
	// Of the way in the middle: a mark that turns is about as fast before and after.
	v := math.Hypot(q.vx+e.vx, q.vy+e.vy) / 2
	most := math.Hypot(l.law.RestAccel, v*v/l.law.TurnPx)
	sd := math.Hypot(most, noise)
	return acc * acc / (sd * sd), sd * span * e.dt
}

// massPrice charges a change of area: a factor of two costs a quarter, of sixteen four.
func massPrice(a, b float64) float64 {
	if a <= 0 || b <= 0 {
		return 0
	}
	l := math.Log2(a / b)
	return math.Min(massMost, l*l/4)
}

// path is the best path of all, by frame, and its score.
func (l *linker) path(frames int) (chosen []int, score float64) {
	chosen = make([]int, frames)
	for i := range chosen {
		chosen[i] = none
	}
	kind := 0
	if l.law.FastSpeed > 0 {
		kind = 1
	}
	best, most := none, 0.0
	for _, ends := range l.ends {
		if e := ends[kind]; e >= 0 && l.edges[e].score[kind] > most {
			best, most = e, l.edges[e].score[kind]
		}
	}
	for e := best; e >= 0; {
		for _, k := range [2]int{l.edges[e].to, l.edges[e].from} {
			f := l.nodes[k].frame
			chosen[f] = k - l.first[f]
		}
		prev, was := l.edges[e].prev[kind], l.edges[e].was[kind]
		if prev <= -2 {
			prev = -2 - prev
		}
		e, kind = prev, was
	}
	return chosen, most
}
