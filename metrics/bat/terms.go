package bat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// local adds residuals that depend on the pose at one time: f is their size at a
// pose, slip that at the present pose when the hands' band has slipped so much more.
// Gradients are those by place and direction: what rates add by blur is small.
func local(b *Bat, s fit.Basis, plain bool, add row, f func(Pose) []float64, slip func(float64) []float64) {
	p := poseOf(b.x, s)
	at := f(p)
	if plain {
		for _, v := range at {
			add(0, nil, 0, v)
		}
		return
	}
	grads := make([][unknowns]float64, len(at))
	const h = 1e-5
	for k := range unknowns {
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
		add(unknowns*s.First, through(s, 0, grads[i]), slips[i], v)
	}
}

// evenly are the terms by which accelerations change evenly, at the two points of
// Gauss and Legendre between each two knots.
func evenly(knots fit.Knots) []term {
	var out []term
	breaks := knots.Breaks()
	for i := 1; i < len(breaks); i++ {
		h := breaks[i] - breaks[i-1]
		for _, u := range []float64{0.5 - math.Sqrt(1.0/12), 0.5 + math.Sqrt(1.0/12)} {
			s, root := knots.At(breaks[i-1]+u*h, fit.Before), math.Sqrt(h/2)
			out = append(out, evenHands{s, root}, evenTurn{s, root}, unitLength{s})
		}
	}
	return out
}

// evenHands is that the hands' acceleration changes evenly; root is the square root of
// the span of time that the point stands for.
type evenHands struct {
	at   fit.Basis
	root float64
}

func (t evenHands) rows(b *Bat, _ bool, add row) {
	var jerk [3]float64
	for j := range t.at.D[0] {
		for k := range jerk {
			jerk[k] += t.at.D[3][j] * b.x[unknowns*(t.at.First+j)+k]
		}
	}
	for k := range jerk {
		var g [unknowns]float64
		g[k] = t.root / handsJerk
		add(unknowns*t.at.First, through(t.at, 3, g), 0, jerk[k]*g[k])
	}
}

// evenTurn is that the bat's angular acceleration does: the derivative of u × u″ is
// u × u‴ + u′ × u″.
type evenTurn struct {
	at   fit.Basis
	root float64
}

// turning is the direction, not brought to length 1, and its three derivatives.
func turning(b *Bat, s fit.Basis) (u [4]geom.World) {
	var d [4][3]float64
	for j := range s.D[0] {
		at := unknowns*(s.First+j) + 3
		for k := range 3 {
			for o := range d {
				d[o][k] += s.D[o][j] * b.x[at+k]
			}
		}
	}
	for o := range u {
		u[o] = geom.World{X: d[o][0], Y: d[o][1], Z: d[o][2]}
	}
	return u
}

func (t evenTurn) rows(b *Bat, _ bool, add row) {
	u := turning(b, t.at)
	a, c := r3.Cross(u[0], u[3]), r3.Cross(u[1], u[2])
	j := [3]float64{a.X + c.X, a.Y + c.Y, a.Z + c.Z}
	var g [3][]float64
	for k := range g {
		g[k] = make([]float64, unknowns*len(t.at.D[0]))
	}
	for q := range t.at.D[0] {
		for k, e := range [3]geom.World{{X: 1}, {Y: 1}, {Z: 1}} {
			p0, p1, p2, p3 := r3.Cross(e, u[3]), r3.Cross(e, u[2]), r3.Cross(u[1], e), r3.Cross(u[0], e)
			b0, b1, b2, b3 := t.at.D[0][q], t.at.D[1][q], t.at.D[2][q], t.at.D[3][q]
			v := [3]float64{
				b0*p0.X + b1*p1.X + b2*p2.X + b3*p3.X,
				b0*p0.Y + b1*p1.Y + b2*p2.Y + b3*p3.Y,
				b0*p0.Z + b1*p1.Z + b2*p2.Z + b3*p3.Z,
			}
			for l := range g {
				g[l][unknowns*q+3+k] = v[l] * t.root / turnJerk
			}
		}
	}
	for l := range g {
		add(unknowns*t.at.First, g[l], 0, j[l]*t.root/turnJerk)
	}
}

// unitLength is that the direction has length 1.
type unitLength struct{ at fit.Basis }

func (t unitLength) rows(b *Bat, _ bool, add row) {
	u := turning(b, t.at)[0]
	off := (r3.Dot(u, u) - 1) / 2
	add(unknowns*t.at.First, through(t.at, 0, [unknowns]float64{3: u.X / unitSD, 4: u.Y / unitSD, 5: u.Z / unitSD}), 0, off/unitSD)
}

// impact is that the ball changes speeds only so much. A bat that hits keeps a share of
// its turning, and so the square of it of its bend.
type impact struct {
	before, after fit.Basis
	kept          float64
}

// impactOf is the impact at tc; nil where the splines do not part there.
func impactOf(knots fit.Knots, tc float64, hit bool) []term {
	from, to := knots.Span()
	if tc <= from || tc >= to {
		return nil
	}
	t := impact{before: knots.At(tc, fit.Before), after: knots.At(tc, fit.After), kept: 1}
	if t.before.First == t.after.First {
		return nil
	}
	if hit {
		t.kept = 1 - LossShare
	}
	return []term{t}
}

func (t impact) rows(b *Bat, _ bool, add row) {
	n := t.after.First - t.before.First + len(t.after.D[0])
	for _, jump := range []struct {
		order             int
		hands, turn, kept float64
	}{{1, handsKick, turnKick, t.kept}, {2, handsKick2, turnKick2, t.kept * t.kept}} {
		for k := range unknowns {
			sd, kept, v := jump.hands, 1.0, 0.0
			if k >= 3 {
				sd, kept = jump.turn, jump.kept
			}
			g := make([]float64, unknowns*n)
			for j := range t.before.D[0] {
				p, q := unknowns*j+k, unknowns*(t.after.First-t.before.First+j)+k
				g[p] -= kept * t.before.D[jump.order][j] / sd
				g[q] += t.after.D[jump.order][j] / sd
			}
			for j, c := range g {
				v += c * b.x[unknowns*t.before.First+j]
			}
			add(unknowns*t.before.First, g, 0, v)
		}
	}
}

// guess is that the bat is near a first guess.
type guess struct {
	at   fit.Basis
	want startPose
}

func (t guess) rows(b *Bat, _ bool, add row) {
	var d [unknowns]float64
	for j, v := range t.at.D[0] {
		for k := range unknowns {
			d[k] += v * b.x[unknowns*(t.at.First+j)+k]
		}
	}
	h, u := t.want.Hands, t.want.Dir
	for k, want := range [unknowns]float64{h.X, h.Y, h.Z, u.X, u.Y, u.Z} {
		sd := guessHandsM
		if k >= 3 {
			sd = guessDir
		}
		var g [unknowns]float64
		g[k] = 1 / sd
		add(unknowns*t.at.First, through(t.at, 0, g), 0, (d[k]-want)/sd)
	}
}

// depths are the terms by which depth is known beside the bands: the barrel's at
// contact, the hands' about there, and how they drift.
func (o Seen) depths(knots fit.Knots) []term {
	var out []term
	from, to := knots.Span()
	inside := o.ContactS >= from && o.ContactS <= to
	if inside && o.ContactSDM > 0 {
		out = append(out, contactDepth{knots.At(o.ContactS, fit.Before), o.ContactYM, o.ContactSDM})
	}
	out = append(out, slip{})
	if inside {
		out = append(out, handsDepth{knots.At(o.ContactS, fit.Before), o.HandsYM})
	}
	for t := from; t <= to; t += handsGapS {
		out = append(out, handsDrift{knots.At(t, fit.Before), o.recede(t)})
	}
	return out
}

// contactDepth is the barrel's depth at contact, m: where the ball was.
type contactDepth struct {
	at     fit.Basis
	yM, sd float64
}

func (t contactDepth) rows(b *Bat, plain bool, add row) {
	local(b, t.at, plain, add, func(p Pose) []float64 { return []float64{(p.At(b.leverM).Y - t.yM) / t.sd} }, nil)
}

// slip is how little the hands' band may have slipped.
type slip struct{}

func (slip) rows(b *Bat, _ bool, add row) { add(0, nil, 1/slipSD, b.slipM/slipSD) }

// handsDepth is about where hands are at contact, m.
type handsDepth struct {
	at fit.Basis
	yM float64
}

func (t handsDepth) rows(b *Bat, _ bool, add row) {
	p := poseOf(b.x, t.at)
	add(unknowns*t.at.First, through(t.at, 0, [unknowns]float64{1: 1 / handsYSD}), 0, (p.Hands.Y-t.yM)/handsYSD)
}

// handsDrift is about how fast hands move, m/s.
type handsDrift struct {
	at      fit.Basis
	recedes float64 // in depth
}

func (t handsDrift) rows(b *Bat, _ bool, add row) {
	v := poseOf(b.x, t.at).HandsV
	for k, off := range [3]float64{v.X / handsMPS, (v.Y - t.recedes) / handsYMPS, v.Z / handsMPS} {
		var g [unknowns]float64
		g[k] = 1 / handsMPS
		if k == 1 {
			g[k] = 1 / handsYMPS
		}
		add(unknowns*t.at.First, through(t.at, 1, g), 0, off)
	}
}

// recede is about how fast hands move in depth, m/s: towards the plate before contact,
// and away from it, with the turning body, after.
func (o Seen) recede(t float64) float64 {
	v := 0.0
	switch d := t - o.ContactS; {
	case d > 0 && d < recedeS:
		v = recedeAfterMPS
	case d < 0 && d > -recedeS:
		v = -recedeBeforeMPS
	}
	return math.Copysign(v, v*o.HandsYM)
}
