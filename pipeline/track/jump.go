package track

import (
	"math"
	"sort"
)

const (
	growAfter  = 5    // candidates after a break that it takes to believe them
	wholeShare = 0.75 // of the usual area, below which the mark is partly hidden
	jumpPx     = 6.0  // error of a place foretold over a break
	// Over a break the change of speed, in units of the largest mean acceleration,
	// and the distance from the place foretold, in units of that acceleration times
	// the break squared: around the fast part, where the bat turns through the line
	// of sight, and late after it, when it only slows down. The swings of two
	// simulated hitters stay within them.
	breakBend, breakOff = 1.2, 0.20
	lateBend, lateOff   = 0.5, 0.07
	lateS               = 0.09 // after the path was fastest
	// At the finish a small piece among others of its hue is more often the hitter's
	// clothes than a band that comes out from behind the head.
	lateShare  = 0.5
	peakReachS = 0.4
	restShare  = 0.3 // of the speed before a break: below it, the bat has come to rest
	// What is alone of its hue is believed sooner.
	aloneAfter   = 3
	aloneShare   = 2.0 // of the bounds
	companyShare = 0.2
)

// jump reports whether a path that breaks off at frame a goes on in a stretch
// after a break.
func (g *outward) jump(found map[int]int, after []int, a, step int) bool {
	whole := append([]int(nil), g.path...)
	for _, f := range after {
		whole[f] = found[f]
	}
	b := after[0]
	// u is how the path goes before the break, v after it.
	u, v := g.pace(whole, a, -step), g.pace(whole, b, step)
	speed := math.Hypot(v.vx, v.vy)
	if step > 0 && speed < g.SlowPx && g.split(b, whole[b]) {
		return false
	}
	if v.mass < leastShare*u.mass || v.pale > mostPale {
		return false
	}
	dt := v.t - u.t
	gap := math.Abs(dt)
	alone, long := g.alone(found, b, step, u.mass), math.Abs(g.times[b]-g.times[a]) > g.MaxGapS
	if alone && long {
		return len(after) >= growAfter && math.Hypot(v.x-u.x, v.y-u.y) <= joinShare*g.MaxSpeed*gap &&
			math.Hypot(u.vx-v.vx, u.vy-v.vy) <= joinBend*g.Accel*gap
	}
	if long || len(after) < growAfter && !alone || len(after) < aloneAfter {
		return false
	}
	most := g.BreakAccel + g.BreakRate*math.Max(speed, math.Hypot(u.vx, u.vy))
	astray := g.AstrayPx
	if alone {
		most, astray = aloneShare*most, math.Inf(1)
	}
	bend, off := breakBend, breakOff
	if step > 0 && (u.t-g.peakS(a) > lateS || speed < restShare*math.Hypot(u.vx, u.vy)) {
		bend, off = lateBend, lateOff
		if !alone && v.mass < lateShare*g.usual() {
			return false
		}
	}
	if math.Hypot(u.vx-v.vx, u.vy-v.vy) > bend*most*gap {
		return false
	}
	dx, dy := v.x-u.x-dt*(u.vx+v.vx)/2, v.y-u.y-dt*(u.vy+v.vy)/2
	return math.Hypot(dx, dy) <= math.Min(astray, off*most*gap*gap+jumpPx)
}

// alone reports whether what was found from frame b on is the only thing of the
// mark's size or colour to be seen in the frames searched.
func (g *outward) alone(found map[int]int, b, step int, mass float64) bool {
	company, all := 0, 0
	at := g.frames[b][found[b]]
	for f := b; ; f += step {
		k, ok := found[f]
		if !ok {
			break
		}
		if k >= 0 {
			at = g.frames[f][k]
		}
		all++
		for i, n := range g.frames[f] {
			if i != k && !g.speck(n, mass) && math.Hypot(n.X-at.X, n.Y-at.Y) > g.ApartPx {
				company++
				break
			}
		}
	}
	return float64(company) <= companyShare*float64(all)
}

// peakS is when the path is fastest before frame f.
func (g *outward) peakS(f int) float64 {
	at, most, last := math.Inf(-1), 0.0, -1
	for i := f; i >= 0 && g.times[f]-g.times[i] < peakReachS; i-- {
		if g.path[i] < 0 {
			continue
		}
		if last >= 0 {
			p, q := g.frames[i][g.path[i]], g.frames[last][g.path[last]]
			if v := math.Hypot(q.X-p.X, q.Y-p.Y) / (g.times[last] - g.times[i]); v > most {
				at, most = g.times[i], v
			}
		}
		last = i
	}
	return at
}

// going is where a path is and how fast at a time.
type going struct{ t, x, y, vx, vy, mass, pale float64 }

// pace is the mean place and velocity over the candidates from frame f on in one
// direction. Next to a break the mark is partly hidden, and what is left of it
// has its middle elsewhere: such candidates do not count.
func (g *outward) pace(path []int, f, step int) going {
	var at []int
	var mass []float64
	for from := f; g.inside(f) && len(at) < growTail && math.Abs(g.times[f]-g.times[from]) < g.NearS; f += step {
		if path[f] >= 0 {
			at = append(at, f)
			mass = append(mass, g.frames[f][path[f]].Mass)
		}
	}
	sort.Float64s(mass)
	var use []int
	for _, i := range at {
		if g.frames[i][path[i]].Mass >= wholeShare*mass[len(mass)/2] && len(use) < joinSpan {
			use = append(use, i)
		}
	}
	out := going{mass: mass[len(mass)/2]}
	n := float64(len(use))
	for _, i := range use {
		k := g.frames[i][path[i]]
		out.t, out.x, out.y = out.t+g.times[i]/n, out.x+k.X/n, out.y+k.Y/n
		out.pale += k.Pale / n
	}
	tt := 0.0
	for _, i := range use {
		k, d := g.frames[i][path[i]], g.times[i]-out.t
		tt += d * d
		out.vx, out.vy = out.vx+d*(k.X-out.x), out.vy+d*(k.Y-out.y)
	}
	if tt > 0 {
		out.vx, out.vy = out.vx/tt, out.vy/tt
	}
	return out
}

// split reports whether a candidate came out of the outline of a thing that was
// seen apart from the path.
func (g *outward) split(frame, k int) bool {
	id := g.Objects[frame][k]
	born := frame
	for f := frame; f >= 0 && f > frame-growTail; f-- {
		for i := range g.Objects[f] {
			if g.Objects[f][i] == id {
				born, k = f, i
			}
		}
	}
	n := g.frames[born][k]
	for f := born - 1; f >= 0 && f >= born-1-growSkip; f-- {
		for i, o := range g.frames[f] {
			if g.apart[g.Objects[f][i]] >= apartLeast && o.covers(n.X, n.Y) {
				return true
			}
		}
	}
	return false
}

// covers reports whether a point lies within the candidate's outline, taken as
// an ellipse.
func (n Node) covers(x, y float64) bool {
	det := n.SXX*n.SYY - n.SXY*n.SXY
	if !(det > 0) {
		return false
	}
	x, y = x-n.X, y-n.Y
	return (n.SYY*x*x-2*n.SXY*x*y+n.SXX*y*y)/det < 4 // a uniform ellipse ends at two s.d.
}
