package bat

import (
	"math/rand/v2"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// Wrong is what a card may have wrong of a bat.
type Wrong struct {
	RadiusShare float64 // of the barrel's radius
	ApartM      float64 // of the distance between the bands
	ContactYM   float64 // where the barrel's depth at contact is, and not where it was taken to be
}

// Draw is the bat as it may also have been, seen by view v with w wrong: to first
// order the unknowns move by what the changed equations ask for, and by noise of
// the size that the equations' own s.d. allow.
func (b *Bat) Draw(v geom.View, w Wrong, rng *rand.Rand) *Bat {
	out := *b
	out.sight = b.sight.Through(v)
	out.sight.RadiusM *= 1 + w.RadiusShare
	out.leverM += w.ApartM
	by := fit.NewPull(len(b.x))
	k := 0
	for _, t := range b.terms {
		if d, ok := t.(contactDepth); ok {
			d.yM = w.ContactYM
			t = d
		}
		t.rows(&out, true, func(_ int, _ []float64, _, is float64) {
			e := b.equations[k]
			by.Add(e.first, e.gradient, e.common, is-e.is+rng.NormFloat64())
			k++
		})
	}
	d, slip, ok := b.normal.StepBy(by)
	if !ok {
		return b
	}
	out.x = append([]float64(nil), b.x...)
	out.slipM += slip
	for i := range out.x {
		out.x[i] += d[i]
	}
	return &out
}
