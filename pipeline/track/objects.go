package track

import (
	"math"
	"sort"
)

// ObjectSearch bounds what the things that are not the mark may do: clothes,
// posters, people.
type ObjectSearch struct {
	// Accel is the largest acceleration, px/s².
	Accel float64
	// MaxSpeed is the largest speed, px/s.
	MaxSpeed float64
	// MaxGapS is the longest span out of sight, s.
	MaxGapS float64
	// ApartPx is how far from the mark a thing must be to be another one, px.
	ApartPx float64
	// LongS is for how long a thing must be followed for it to be no chance, s.
	LongS float64
}

// A thing's outline changes as cloth folds and as something passes before it:
// its centroid wanders by a share of its size and its area by a factor.
const (
	objectPx     = 1.5
	objectWander = 0.12 // of the square root of the area
	objectFactor = 0.7  // largest step of the area's log2
)

// object is a thing that is followed from frame to frame.
type object struct {
	id     int
	x, y   float64
	vx, vy float64
	mass   float64
	t      float64
}

// Objects follows everything from frame to frame by place, speed and area and
// returns a number for each candidate, the same for what is taken for one thing.
// It asks much of a step and rather takes one thing for two than two for one.
func Objects(frames [][]Node, times []float64, s ObjectSearch) [][]int {
	out := make([][]int, len(frames))
	var live []object
	next := 0
	for f, nodes := range frames {
		out[f] = make([]int, len(nodes))
		for k := range out[f] {
			out[f][k] = -1
		}
		kept := live[:0]
		for _, o := range live {
			if times[f]-o.t <= s.MaxGapS {
				kept = append(kept, o)
			}
		}
		live = kept
		for _, p := range s.pairs(live, nodes, times[f]) {
			o := &live[p.object]
			if o.t == times[f] || out[f][p.node] >= 0 {
				continue
			}
			out[f][p.node] = o.id
			o.step(nodes[p.node], times[f], s.MaxSpeed)
		}
		for k, n := range nodes {
			if out[f][k] < 0 && usable(flatNode{Node: n}) {
				out[f][k] = next
				live = append(live, object{id: next, x: n.X, y: n.Y, mass: n.Mass, t: times[f]})
				next++
			}
		}
	}
	return out
}

type pair struct {
	object, node int
	cost         float64
}

// pairs lists the steps that are possible, the most likely first.
func (s ObjectSearch) pairs(live []object, nodes []Node, t float64) []pair {
	var out []pair
	for i, o := range live {
		dt := t - o.t
		for k, n := range nodes {
			if !(n.Mass > 0) || !(o.mass > 0) || !usable(flatNode{Node: n}) {
				continue
			}
			gate := objectPx + objectWander*math.Sqrt(math.Min(n.Mass, o.mass)) + s.Accel*dt*dt/2
			d := math.Hypot(n.X-o.x-o.vx*dt, n.Y-o.y-o.vy*dt) / gate
			m := math.Abs(math.Log2(n.Mass/o.mass)) / objectFactor
			if d <= 1 && m <= 1 {
				out = append(out, pair{i, k, d*d + m*m})
			}
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].cost < out[b].cost })
	return out
}

// step moves the object on; its speed follows slowly, so that a wandering
// outline does not throw it off.
func (o *object) step(n Node, t, most float64) {
	const share = 0.3
	dt := t - o.t
	o.vx += share * ((n.X-o.x)/dt - o.vx)
	o.vy += share * ((n.Y-o.y)/dt - o.vy)
	if v := math.Hypot(o.vx, o.vy); v > most {
		o.vx, o.vy = o.vx*most/v, o.vy*most/v
	}
	o.x, o.y, o.mass, o.t = n.X, n.Y, n.Mass, t
}
