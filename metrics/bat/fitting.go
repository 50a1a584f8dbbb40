package bat

import (
	"math"

	"ashline/metrics/fit"
)

// fitting is one descent from a first guess: a task for the solver. It alone changes
// its bat.
type fitting struct {
	seen   Seen
	bat    *Bat
	laws   []term // what a swing may do
	depths []term
	old    struct {
		x     []float64
		slipM float64
	}
}

// descend fits a bat from a first guess; nil where none is determined.
func (o Seen) descend(poses []startPose, whole float64) *Bat {
	if len(o.Barrel) < 2 {
		return nil
	}
	first, last := o.Barrel[0].TimeS, o.Barrel[len(o.Barrel)-1].TimeS
	b := &Bat{
		sight: o.Sight, leverM: o.LeverM, markM: o.MarkM, marked: o.Marked, contactS: o.ContactS, whole: whole,
		knots: fit.NewKnots(first, last, knotsS, o.ContactS),
	}
	b.x = make([]float64, unknowns*b.knots.Count())
	f := &fitting{seen: o, bat: b, depths: o.depths(b.knots)}
	f.laws = append(evenly(b.knots), impactOf(b.knots, o.ContactS, o.Hit)...)
	b.terms = append([]term(nil), f.laws...)
	for _, p := range poses {
		b.terms = append(b.terms, guess{b.knots.At(p.TimeS, fit.Before), p})
	}
	for range 2 {
		if !f.Step(guessDamp) {
			return nil
		}
	}
	b.terms = nil
	solver := fit.Solver{Rounds: solveRounds, Settle: len(offRounds), Gain: solveGain, Damp: firstDamp, LeastDamp: leastDamp}
	solver.Descend(f)
	f.reweigh(offC)
	b.misfit = f.misfit()
	return b
}

// normalOf gathers the equations of terms at b.
func (b *Bat) normalOf(terms []term) *fit.Normal {
	n := fit.NewNormal(len(b.x), 7*unknowns)
	for _, t := range terms {
		t.rows(b, false, n.Add)
	}
	return n
}

// Cost is the sum of squares.
func (f *fitting) Cost() float64 {
	sum := 0.0
	for _, t := range f.bat.terms {
		t.rows(f.bat, true, func(_ int, _ []float64, _, v float64) { sum += v * v })
	}
	return sum
}

// Step moves the bat by one damped step.
func (f *fitting) Step(damp float64) bool {
	b := f.bat
	n := b.normalOf(b.terms)
	if !n.Factor(damp) {
		return false
	}
	d, slipM, ok := n.Step()
	if !ok {
		return false
	}
	f.old.x, f.old.slipM = b.x, b.slipM
	b.x = append([]float64(nil), b.x...)
	for i := range b.x {
		b.x[i] += d[i]
	}
	b.slipM += slipM
	b.straighten()
	return true
}

// Undo takes the last step back.
func (f *fitting) Undo() { f.bat.x, f.bat.slipM = f.old.x, f.old.slipM }

// Settled leaves the end to what steps gain.
func (f *fitting) Settled() bool { return false }

// straighten brings a direction whose length has gone astray back to 1.
func (b *Bat) straighten() {
	for i := 3; i < len(b.x); i += unknowns {
		l := math.Sqrt(b.x[i]*b.x[i] + b.x[i+1]*b.x[i+1] + b.x[i+2]*b.x[i+2])
		if l > 2 || (l > 0 && l < 0.5) {
			for k := range 3 {
				b.x[i+k] /= l
			}
		}
	}
}

// Reweigh sets the weights of a round.
func (f *fitting) Reweigh(round int) {
	c := offC
	if round < len(offRounds) {
		c = offRounds[round]
	}
	f.reweigh(c)
}

// reweigh sets the weights by how far each sighting is off, the lamp by how the band
// is shaded, and the band's whole light by what the bat's tilt explains. c is how many
// s.d. count half, and of the hands' band a quarter.
func (f *fitting) reweigh(c float64) {
	b := f.bat
	weight := func(off float64) float64 { return 1 / (1 + off/(c*c)) }
	sure := c <= offC // the pose is good enough to tell what is hidden
	hidden := make([]float64, len(f.seen.Barrel))
	for i, s := range f.seen.Barrel {
		if sure {
			hidden[i] = b.HiddenVar(s)
		}
	}
	b.sight.lamp = b.lampOf(f.seen.Barrel)
	terms := append([]term(nil), f.laws...)
	var bands []barrelBand
	var wholes []float64
	px := f.seen.Sight.RadiusM * f.seen.Sight.perM
	for i, s := range f.seen.Barrel {
		t := barrelBand{at: b.knots.At(s.TimeS, fit.Before), seen: s.widened(hidden[i]), whole: b.whole, shapeSD: shapeSD*px*px/3 + shapePx2}
		place, look, bulge := t.off(b)
		t.place, t.look, t.bulge = math.Sqrt(weight(place)), math.Sqrt(weight(look)), math.Sqrt(weight(bulge))
		bands = append(bands, t)
		if l := b.sight.look(b.At(s.TimeS, fit.Before), b.leverM); s.Shape.Mass > 0 && l.area > sideOn {
			wholes = append(wholes, s.Shape.Mass/l.area)
		}
	}
	if len(wholes) >= leastSeen {
		b.whole = fit.Median(wholes)
	}
	for _, t := range bands {
		t.whole = b.whole
		terms = append(terms, t)
	}
	from, to := b.knots.Span()
	for _, s := range f.seen.Hands {
		if s.TimeS < from || s.TimeS > to {
			continue
		}
		t := handsBand{at: b.knots.At(s.TimeS, fit.Before), seen: s}
		w := weight(t.off(b))
		t.weight = math.Sqrt(w * w)
		terms = append(terms, t)
	}
	terms = append(terms, f.depths...)
	b.terms = terms
}

// misfit is how badly the bat explains everything: squares for what a swing may do, and
// for sightings what belongs to their weights, so that a few wrong ones do not
// decide: for the barrel's band a logarithm, and for the hands' band, which may be
// another thing for many frames, at most offC² each.
func (f *fitting) misfit() float64 {
	sum, b := 0.0, f.bat
	add := func(_ int, _ []float64, _, v float64) { sum += v * v }
	for _, list := range [][]term{f.laws, f.depths} {
		for _, t := range list {
			t.rows(b, true, add)
		}
	}
	var offs [3][]float64
	var hands []float64
	for _, t := range b.terms {
		switch t := t.(type) {
		case barrelBand:
			place, look, bulge := t.off(b)
			for k, v := range [3]float64{place, look, bulge} {
				offs[k] = append(offs[k], v)
			}
		case handsBand:
			hands = append(hands, t.off(b))
		}
	}
	for _, list := range offs {
		for _, v := range list {
			sum += offC * offC * math.Log1p(v/(offC*offC))
		}
	}
	for _, v := range hands {
		sum += v / (1 + v/(offC*offC))
	}
	return sum
}
