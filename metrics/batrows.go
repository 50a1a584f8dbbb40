package metrics

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// rows are the equations that a bat has to meet, each divided by its s.d.
type rows struct {
	seen  batSeen
	whole float64 // area of the whole band seen from the side, in the shape's unit
	start []startPose
	// Weights of the sightings, 1 for what agrees with the rest: place, look and
	// bulge of the barrel's band, place of the hands'.
	place, look, bulge, hand []float64
	// doubted are the sightings of the barrel's band with what their look takes from
	// them; nil while the bat's pose is not yet good enough to tell.
	doubted []Sample
	plain   bool // sizes only, no gradients
}

// startPose is a first guess of the bat at one time.
type startPose struct {
	TimeS      float64
	Hands, Dir geom.World
}

// row takes one equation: its size, and its gradient in the unknowns from first on
// and in the slip.
type row func(first int, gradient []float64, common, r float64)

// normal gathers the equations at b.
func (r *rows) normal(b *bat) *fit.Normal {
	n := fit.NewNormal(len(b.x), 7*batUnknowns)
	r.each(b, n.Add)
	return n
}

// cost is the sum of squares at b.
func (r *rows) cost(b *bat) float64 {
	sum := 0.0
	sizes := *r
	sizes.plain = true
	sizes.each(b, func(_ int, _ []float64, _, v float64) { sum += v * v })
	return sum
}

func (r *rows) each(b *bat, add row) {
	r.smooth(b, add)
	r.kick(b, add)
	if r.start != nil {
		for _, s := range r.start {
			r.toward(b, s, add)
		}
		return
	}
	for i, s := range r.seen.barrel {
		r.barrel(b, i, s, add)
	}
	for i, s := range r.seen.hands {
		r.hands(b, i, s, add)
	}
	r.depth(b, add)
}

// through turns a gradient in the six unknowns at one time into one in the
// coefficients.
func through(s fit.Basis, order int, g [batUnknowns]float64) []float64 {
	out := make([]float64, batUnknowns*len(s.D[0]))
	for j, v := range s.D[order] {
		for k := range batUnknowns {
			out[batUnknowns*j+k] = v * g[k]
		}
	}
	return out
}

// local adds equations that depend on the pose at one time: f is their size at a
// pose, slip that at the present pose when the hands' mark has slipped so much more.
func (r *rows) local(b *bat, s fit.Basis, add row, f func(pose) []float64, slip func(float64) []float64) {
	p := poseOf(b.x, s)
	at := f(p)
	if r.plain {
		for _, v := range at {
			add(0, nil, 0, v)
		}
		return
	}
	grads := make([][batUnknowns]float64, len(at))
	const h = 1e-5
	for k := range batUnknowns {
		q := p
		d := r3.Scale(p.lengthOfDir, p.Dir)
		switch k {
		case 0:
			q.Hands.X += h
		case 1:
			q.Hands.Y += h
		case 2:
			q.Hands.Z += h
		case 3:
			d.X += h
		case 4:
			d.Y += h
		case 5:
			d.Z += h
		}
		if k > 2 {
			q.Dir = geom.Unit(d)
		}
		for i, v := range f(q) {
			grads[i][k] = (v - at[i]) / h
		}
	}
	slips := make([]float64, len(at))
	if slip != nil {
		for i, v := range slip(h) {
			slips[i] = (v - at[i]) / h
		}
	}
	for i, v := range at {
		add(batUnknowns*s.First, through(s, 0, grads[i]), slips[i], v)
	}
}

// barrel adds one sighting of the barrel's band.
func (r *rows) barrel(b *bat, i int, s Sample, add row) {
	basis := b.knots.At(s.TimeS, fit.Before)
	wp, wl, wb := 1.0, 1.0, 1.0
	if r.place != nil {
		wp, wl, wb = math.Sqrt(r.place[i]), math.Sqrt(r.look[i]), math.Sqrt(r.bulge[i])
	}
	if r.doubted != nil {
		s = r.doubted[i]
	}
	whiten := whitening(s, batPx)
	shaped, at, lit := s.Shape.Mass > 0 && r.whole > 0, s.lit(), b.sight.of(s)
	r.local(b, basis, add, func(p pose) []float64 {
		q := lit.barrel(p, b.leverM)
		out := whiten(q[0]-at[0], q[1]-at[1], wp)
		if !shaped {
			return out
		}
		l := b.sight.look(p, b.leverM)
		area := s.Shape.Mass / r.whole
		sd := areaSD * (1 + l.area)
		out = append(out, wl*(l.area-area)/sd)
		v := r.shapeVar()
		out = append(out, wl*(l.xx-s.Shape.SXX)/v, wl*math.Sqrt2*(l.xy-s.Shape.SXY)/v, wl*(l.yy-s.Shape.SYY)/v)
		if s.Shape.Skewed {
			for _, d := range b.sight.bulges(l, s.Shape) {
				out = append(out, wb*d)
			}
		}
		return out
	}, nil)
}

// shapeVar is the s.d. of a band's variance, px².
func (r *rows) shapeVar() float64 {
	px := r.seen.sight.radiusM * r.seen.sight.perM
	return shapeSD*px*px/3 + shapePx2
}

// whitening returns a function that divides an offset by a sighting's s.d.
func whitening(s Sample, floor float64) func(dx, dy, w float64) []float64 {
	xx, xy, yy := s.VarXX+floor*floor, s.VarXY, s.VarYY+floor*floor
	// Cholesky factor of the covariance.
	a := math.Sqrt(xx)
	c := xy / a
	d := math.Sqrt(math.Max(yy-c*c, 1e-9))
	return func(dx, dy, w float64) []float64 {
		u := dx / a
		return []float64{w * u, w * (dy - c*u) / d}
	}
}

// hands adds one sighting of the hands' band.
func (r *rows) hands(b *bat, i int, s Sample, add row) {
	from, to := b.knots.Span()
	if s.TimeS < from || s.TimeS > to {
		return
	}
	w := 1.0
	if r.hand != nil {
		w = math.Sqrt(r.hand[i])
	}
	whiten := whitening(s, handsPx)
	basis, at, lit := b.knots.At(s.TimeS, fit.Before), s.lit(), b.sight.of(s)
	off := func(p pose, slip float64) []float64 {
		q := lit.hands(p, b.markM+slip)
		return whiten(q[0]-at[0], q[1]-at[1], w)
	}
	r.local(b, basis, add,
		func(p pose) []float64 { return off(p, b.slipM) },
		func(more float64) []float64 { return off(poseOf(b.x, basis), b.slipM+more) })
}

// depth adds what is known of depths: the barrel's at contact, and about where
// hands are.
func (r *rows) depth(b *bat, add row) {
	o := r.seen
	from, to := b.knots.Span()
	if o.contactSD > 0 && o.contactS >= from && o.contactS <= to {
		r.local(b, b.knots.At(o.contactS, fit.Before), add, func(p pose) []float64 {
			return []float64{(p.Barrel(b.leverM).Y - o.contactY) / o.contactSD}
		}, nil)
	}
	add(0, nil, 1/slipSD, b.slipM/slipSD)
	if o.contactS >= from && o.contactS <= to {
		basis := b.knots.At(o.contactS, fit.Before)
		p := poseOf(b.x, basis)
		add(batUnknowns*basis.First, through(basis, 0, [batUnknowns]float64{1: 1 / handsYSD}), 0, (p.Hands.Y-o.handsY)/handsYSD)
	}
	for t := from; t <= to; t += handsGapS {
		basis := b.knots.At(t, fit.Before)
		p := poseOf(b.x, basis)
		away := p.HandsV.Y - o.recede(t)
		for k, v := range []float64{p.HandsV.X / handsMPS, away / handsYMPS, p.HandsV.Z / handsMPS} {
			var g [batUnknowns]float64
			g[k] = 1 / handsMPS
			if k == 1 {
				g[k] = 1 / handsYMPS
			}
			add(batUnknowns*basis.First, through(basis, 1, g), 0, v)
		}
	}
}

// recede is about how fast hands move in depth: towards the plate before contact,
// and away from it, with the turning body, after.
func (o batSeen) recede(t float64) float64 {
	v := 0.0
	switch d := t - o.contactS; {
	case d > 0 && d < recedeS:
		v = recedeAfterMPS
	case d < 0 && d > -recedeS:
		v = -recedeBeforeMPS
	}
	return math.Copysign(v, v*o.handsY)
}

// smooth adds that the hands' and the bat's accelerations change evenly and that
// the direction has length 1.
func (r *rows) smooth(b *bat, add row) {
	breaks := b.knots.Breaks()
	for i := 1; i < len(breaks); i++ {
		h := breaks[i] - breaks[i-1]
		for _, u := range []float64{0.5 - math.Sqrt(1.0/12), 0.5 + math.Sqrt(1.0/12)} { // Gauss–Legendre
			basis := b.knots.At(breaks[i-1]+u*h, fit.Before)
			root := math.Sqrt(h / 2)
			r.jerk(b, basis, root, add)
		}
	}
}

func (r *rows) jerk(b *bat, basis fit.Basis, root float64, add row) {
	var d [4][3]float64
	var hands [3]float64
	for j := range basis.D[0] {
		at := batUnknowns * (basis.First + j)
		for k := range 3 {
			hands[k] += basis.D[3][j] * b.x[at+k]
			for o := range d {
				d[o][k] += basis.D[o][j] * b.x[at+3+k]
			}
		}
	}
	first := batUnknowns * basis.First
	for k := range 3 {
		var g [batUnknowns]float64
		g[k] = root / handsJerk
		add(first, through(basis, 3, g), 0, hands[k]*g[k])
	}
	// Angular jerk: the derivative of u × u″.
	w := func(o int) geom.World { return geom.World{X: d[o][0], Y: d[o][1], Z: d[o][2]} }
	u0, u1, u2, u3 := w(0), w(1), w(2), w(3)
	a, c := r3.Cross(u0, u3), r3.Cross(u1, u2)
	j := [3]float64{a.X + c.X, a.Y + c.Y, a.Z + c.Z}
	var g [3][]float64
	for k := range g {
		g[k] = make([]float64, batUnknowns*len(basis.D[0]))
	}
	for q := range basis.D[0] {
		for k := range 3 {
			var e geom.World
			switch k {
			case 0:
				e.X = 1
			case 1:
				e.Y = 1
			case 2:
				e.Z = 1
			}
			p0, p1, p2, p3 := r3.Cross(e, u3), r3.Cross(e, u2), r3.Cross(u1, e), r3.Cross(u0, e)
			b0, b1, b2, b3 := basis.D[0][q], basis.D[1][q], basis.D[2][q], basis.D[3][q]
			v := [3]float64{
				b0*p0.X + b1*p1.X + b2*p2.X + b3*p3.X,
				b0*p0.Y + b1*p1.Y + b2*p2.Y + b3*p3.Y,
				b0*p0.Z + b1*p1.Z + b2*p2.Z + b3*p3.Z,
			}
			for l := range g {
				g[l][batUnknowns*q+3+k] = v[l] * root / turnJerk
			}
		}
	}
	for l := range g {
		add(first, g[l], 0, j[l]*root/turnJerk)
	}
	l := (r3.Dot(u0, u0) - 1) / 2
	add(first, through(basis, 0, [batUnknowns]float64{3: u0.X / unitSD, 4: u0.Y / unitSD, 5: u0.Z / unitSD}), 0, l/unitSD)
}

// kick adds that an impact changes speeds only so much.
func (r *rows) kick(b *bat, add row) {
	tc := r.seen.contactS
	from, to := b.knots.Span()
	if tc <= from || tc >= to {
		return
	}
	before, after := b.knots.At(tc, fit.Before), b.knots.At(tc, fit.After)
	if before.First == after.First {
		return
	}
	n := after.First - before.First + len(after.D[0])
	// The bat keeps a share of its turning, and so the square of it of its bend.
	kept := 1.0
	if r.seen.hit {
		kept = 1 - lossShare
	}
	for _, jump := range []struct {
		order             int
		hands, turn, kept float64
	}{{1, handsKick, turnKick, kept}, {2, handsKick2, turnKick2, kept * kept}} {
		for k := range batUnknowns {
			sd, kept, v := jump.hands, 1.0, 0.0
			if k >= 3 {
				sd, kept = jump.turn, jump.kept
			}
			g := make([]float64, batUnknowns*n)
			for j := range before.D[0] {
				p, q := batUnknowns*j+k, batUnknowns*(after.First-before.First+j)+k
				g[p] -= kept * before.D[jump.order][j] / sd
				g[q] += after.D[jump.order][j] / sd
			}
			for j, c := range g {
				v += c * b.x[batUnknowns*before.First+j]
			}
			add(batUnknowns*before.First, g, 0, v)
		}
	}
}

// toward adds that the bat be near a first guess.
func (r *rows) toward(b *bat, s startPose, add row) {
	basis := b.knots.At(s.TimeS, fit.Before)
	const handsSD, dirSD = 0.05, 0.1
	var d [batUnknowns]float64
	for j, v := range basis.D[0] {
		for k := range batUnknowns {
			d[k] += v * b.x[batUnknowns*(basis.First+j)+k]
		}
	}
	for k, want := range [batUnknowns]float64{s.Hands.X, s.Hands.Y, s.Hands.Z, s.Dir.X, s.Dir.Y, s.Dir.Z} {
		sd := handsSD
		if k >= 3 {
			sd = dirSD
		}
		var g [batUnknowns]float64
		g[k] = 1 / sd
		add(batUnknowns*basis.First, through(basis, 0, g), 0, (d[k]-want)/sd)
	}
}

// offs are the sums of squares of each sighting: how far off it is in its own s.d.
type offs struct{ place, look, bulge, hand []float64 }

func (r *rows) offs(b *bat) offs {
	n := len(r.seen.barrel)
	out := offs{make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, len(r.seen.hands))}
	sum := func(d ...float64) float64 {
		s := 0.0
		for _, v := range d {
			s += v * v
		}
		return s
	}
	shape := r.shapeVar()
	for i, s := range r.seen.barrel {
		p := b.at(s.TimeS, fit.Before)
		q, at := b.sight.of(s).barrel(p, b.leverM), s.lit()
		if r.doubted != nil {
			s = r.doubted[i]
		}
		out.place[i] = sum(whitening(s, batPx)(q[0]-at[0], q[1]-at[1], 1)...)
		if s.Shape.Mass > 0 && r.whole > 0 {
			l := b.sight.look(p, b.leverM)
			out.look[i] = sum((l.area-s.Shape.Mass/r.whole)/(areaSD*(1+l.area)),
				(l.xx-s.Shape.SXX)/shape, math.Sqrt2*(l.xy-s.Shape.SXY)/shape, (l.yy-s.Shape.SYY)/shape)
			if s.Shape.Skewed {
				d := b.sight.bulges(l, s.Shape)
				out.bulge[i] = sum(d[:]...)
			}
		}
	}
	from, to := b.knots.Span()
	for i, s := range r.seen.hands {
		if s.TimeS < from || s.TimeS > to {
			continue
		}
		q, at := b.sight.of(s).hands(b.at(s.TimeS, fit.Before), b.markM+b.slipM), s.lit()
		out.hand[i] = sum(whitening(s, handsPx)(q[0]-at[0], q[1]-at[1], 1)...)
	}
	return out
}

// offC is how many s.d. a sighting is off when it counts half, once the bat is
// about right; before that, from the first rounds on, wider ones, lest the first
// guess's errors decide what is believed.
const offC = 3.0

var offRounds = []float64{30, 30, 15, 8, 5}

// reweigh sets the weights by how far each sighting is off, the lamp by how the band
// is shaded, and the band's whole light by what the bat's tilt explains. c is how many
// s.d. count half, and of the hands' mark a quarter.
func (r *rows) reweigh(b *bat, c float64) {
	weights := func(off []float64) []float64 {
		out := make([]float64, len(off))
		for i, v := range off {
			out[i] = 1 / (1 + v/(c*c))
		}
		return out
	}
	r.doubted = nil
	if c <= offC {
		for _, s := range r.seen.barrel {
			r.doubted = append(r.doubted, s.widened(b.hiddenVar(s)))
		}
	}
	b.sight.lamp = r.lamp(b)
	o := r.offs(b)
	r.place, r.look, r.bulge, r.hand = weights(o.place), weights(o.look), weights(o.bulge), weights(o.hand)
	for i, w := range r.hand {
		r.hand[i] = w * w
	}
	var wholes []float64
	for _, s := range r.seen.barrel {
		if l := b.sight.look(b.at(s.TimeS, fit.Before), b.leverM); s.Shape.Mass > 0 && l.area > 0.3 {
			wholes = append(wholes, s.Shape.Mass/l.area)
		}
	}
	if len(wholes) >= batLeast {
		sort.Float64s(wholes)
		r.whole = wholes[len(wholes)/2]
	}
}

// misfit is how badly b explains everything: squares for what a swing may do, and
// for sightings what belongs to their weights, so that a few wrong ones do not
// decide: for the barrel's band a logarithm, and for the hands' mark, which may be
// another thing for many frames, at most offC² each.
func (r *rows) misfit(b *bat) float64 {
	sum := 0.0
	add := func(_ int, _ []float64, _, v float64) { sum += v * v }
	r.smooth(b, add)
	r.kick(b, add)
	r.depth(b, add)
	o := r.offs(b)
	for _, list := range [][]float64{o.place, o.look, o.bulge} {
		for _, v := range list {
			sum += offC * offC * math.Log1p(v/(offC*offC))
		}
	}
	for _, v := range o.hand {
		sum += v / (1 + v/(offC*offC))
	}
	return sum
}
