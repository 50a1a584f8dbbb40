package follow

import (
	"fmt"
	"math"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/fault"
	"ashline/pipeline/progress"
	"ashline/pipeline/track"
)

// Link chooses for every mark, in the order of its names, a path among the patches of
// its colour. Of a barrel without a path the patches come with the error. Its steps are
// the frames, once for each mark and once more for the barrel.
func Link(s Sightings, c metrics.Card, r Ruler, steps *progress.Steps) (Paths, error) {
	if s.Marks.SeenFrames(0) == 0 {
		return nil, fmt.Errorf("%w: no pixel has the colour of marks.barrel.colour %q", fault.ErrNoMark, c.Marks.Barrel.Colour)
	}
	// The barrel first, by its look and motion alone; then the hands, which are on a rod of
	// known length from it, and the joints; then the barrel once more, held by the
	// hands and by the look that it was found to have.
	order := []int{0}
	for i, n := range s.Names {
		if n != "barrel" {
			order = append(order, i)
		}
	}
	order = append(order, 0)
	q := search{s: s, card: c, ruler: r, ppm: r.PxPerM(), steps: steps}
	out := make(Paths, len(s.Names))
	for k, i := range order {
		out[i] = q.path(i, out, k*len(s.TimesS))
	}
	if len(out[0].Samples) < barrelLeast {
		if err := tooMuchHue(s); err != nil {
			return out, err
		}
		return out, fmt.Errorf("%w: nothing of marks.barrel.colour %q moves as a swung barrel does (%d frames have something of the colour)", fault.ErrNoMark, c.Marks.Barrel.Colour, s.Marks.SeenFrames(0))
	}
	return out, nil
}

// LinkSteps is how many steps Link takes.
func LinkSteps(s Sightings) int { return (len(s.Names) + 1) * len(s.TimesS) }

// tooMuchHue is the error of a barrel's hue that cannot be told from the scene; nil
// for one that can.
func tooMuchHue(s Sightings) error {
	if share := s.Marks.Share(0); share > hueShareMax {
		return fmt.Errorf("%w: marks.barrel.colour covers %.0f %% of a frame", fault.ErrHue, 100*share)
	}
	return nil
}

// path links one mark's patches to a path, given the paths so far; base steps were
// done before.
func (q search) path(model int, sofar Paths, base int) Path {
	out := Path{Mark: q.s.Names[model], Offered: q.s.Patches[model]}
	known := sofar[model].look(q.s.TimesS, q.ppm)
	nodes := make([][]track.Node, len(out.Offered))
	for f := range out.Offered {
		for _, k := range out.Offered[f] {
			nodes[f] = append(nodes[f], track.Node{
				X: k.X, Y: k.Y, Mass: k.Mass, SDPx: candidateSD(k),
				Log: look(k) + known.fits(k) + q.size(out.Mark, k) + q.rod(out.Mark, k, q.s.TimesS[f], sofar),
			})
		}
	}
	linked := q.steps.From(base)
	if out.Mark == "barrel" {
		things := track.ObjectSearch{Accel: otherAccel * q.ppm, MaxSpeed: otherMPS * q.ppm, MaxGapS: otherGapS, ApartPx: apartM * q.ppm, LongS: longS}
		found := track.Path(nodes, q.s.TimesS, q.law(out.Mark), things, linked)
		out.Chosen, out.Score, out.Rival = found.Chosen, found.Score, found.Rival
	} else {
		out.Chosen, out.Score = track.Link(nodes, q.s.TimesS, q.law(out.Mark), linked)
	}
	out.Samples = samplesOf(out.Offered, out.Chosen, q.s.TimesS)
	if out.Mark == "hands" {
		if why := q.notHands(out.Samples, sofar.Of("barrel").Samples); why != "" {
			return out.refuse(why)
		}
	}
	return out
}

// notHands says why a path does not belong to the hands' mark; empty when it may.
func (q search) notHands(hands, barrel []metrics.Sample) Refusal {
	switch {
	case !q.ruler.Known():
		return ""
	case neverApart(hands, barrel, q.card, q.ppm):
		return NeverApart
	case !onRod(hands, barrel, q.card, q.ppm):
		return OffBat
	}
	return ""
}

// onRod reports whether a path of the hands is within the bat's length of the
// barrel more than now and then: where the hands' band is out of sight, specks of
// its hue make a path too.
func onRod(hands, barrel []metrics.Sample, c metrics.Card, ppm float64) bool {
	n := 0
	for _, h := range hands {
		if b, ok := near(barrel, h.TimeS); ok && math.Hypot(b.XPx-h.XPx, b.YPx-h.YPx) <= rodPx(c, ppm) {
			n++
		}
	}
	return n >= rodLeast
}

// neverApart reports whether a path of the hands is never, but for a few frames,
// nearly as far from the barrel as the bat's marks are from each other: then it is
// of something else on the bat or beside it, the wood or a sleeve.
func neverApart(hands, barrel []metrics.Sample, c metrics.Card, ppm float64) bool {
	var apart []float64
	for _, h := range hands {
		if b, ok := near(barrel, h.TimeS); ok {
			apart = append(apart, math.Hypot(b.XPx-h.XPx, b.YPx-h.YPx))
		}
	}
	if c.Bat.MarksApartM == 0 || len(apart) < apartLeast {
		return false
	}
	sort.Float64s(apart)
	return apart[len(apart)*95/100] < apartShare*c.Bat.MarksApartM*ppm
}
