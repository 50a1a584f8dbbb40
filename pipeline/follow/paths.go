package follow

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/fault"
	"ashline/pipeline/mark"
	"ashline/pipeline/progress"
	"ashline/pipeline/track"
)

// Link chooses for every mark, in the order of its names, a path among the patches of
// its hue. Of a barrel without a path the patches come with the error. Its steps are
// the frames in which a mark is looked for, once for each mark and once more for the
// barrel, and twice the frames to link it.
func Link(s Sightings, c metrics.Card, r Ruler, steps *progress.Steps) (Paths, error) {
	if s.Scan.SeenFrames(0) == 0 {
		return nil, fmt.Errorf("%w: no pixel has the hue of marks.barrel.colour %q", fault.ErrNoMark, c.Marks.Barrel.Colour)
	}
	// The barrel first, by its speed alone; then the hands, which are on a rod of
	// known length from it, and the joints; then the barrel once more, held by the
	// hands and by the colour that it was found to have.
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
		p, err := q.path(i, out, linkShare*k*len(s.TimesS))
		if err != nil {
			return nil, err
		}
		out[i] = p
	}
	if len(out[0].Samples) >= barrelLeast {
		return out, nil
	}
	if err := tooMuchHue(s); err != nil {
		return out, err
	}
	return out, fmt.Errorf("%w: marks.barrel.colour %q leads to no path of a bat (%d frames have the hue)", fault.ErrNoMark, c.Marks.Barrel.Colour, s.Scan.SeenFrames(0))
}

// linkShare is how many steps a frame of a mark's search counts.
const linkShare = 3

// LinkSteps is how many steps Link takes.
func LinkSteps(s Sightings) int { return linkShare * (len(s.Names) + 1) * len(s.TimesS) }

// tooMuchHue is the error of a barrel's hue that cannot be told from the scene; nil
// for one that can.
func tooMuchHue(s Sightings) error {
	if share := s.Scan.Share(0); share > hueShareMax {
		return fmt.Errorf("%w: marks.barrel.colour covers %.0f %% of a frame", fault.ErrHue, 100*share)
	}
	return nil
}

// search is what a path is looked for with.
type search struct {
	s     Sightings
	card  metrics.Card
	ruler Ruler
	ppm   float64
	steps *progress.Steps
}

// path links one mark's patches to a path, given the paths so far; base steps were
// done before.
func (q search) path(model int, sofar Paths, base int) (Path, error) {
	before := sofar[model]
	out := Path{Mark: q.s.Names[model], Offered: before.Offered}
	if out.Offered == nil {
		var err error
		if out.Offered, err = q.patches(model, q.steps.From(base)); err != nil {
			return Path{}, err
		}
	}
	// From the path so far: how full the mark's colour is where it is fullest.
	full, usual := 1.0, 0.0
	if before.Chosen != nil {
		full, usual = before.fullness(), before.usualMass(q.s.TimesS, q.ppm)
	}
	nodes := make([][]track.Node, len(out.Offered))
	for f := range out.Offered {
		for _, k := range out.Offered[f] {
			worth := q.worth(out.Mark, k, q.s.TimesS[f], sofar)
			if usual > 0 && k.Mass > largeShare*usual {
				worth -= largePrice
			}
			nodes[f] = append(nodes[f], track.Node{
				X: k.X, Y: k.Y, Mass: k.Mass, SXX: k.Sxx, SXY: k.Sxy, SYY: k.Syy, SDPx: candidateSD(k), Worth: worth,
				Pale: palePrice * math.Max(0, paleShare-k.Mean/full),
			})
		}
	}
	linked := q.steps.From(base + len(nodes))
	if out.Mark == "barrel" {
		out.Chosen = barrelPath(nodes, out.Offered, q.s.TimesS, q.physics(out.Mark), q.ppm, linked)
	} else {
		out.Chosen = track.Link(nodes, q.s.TimesS, q.physics(out.Mark), linked)
	}
	out.Samples = samplesOf(out.Offered, out.Chosen, q.s.TimesS)
	if out.Mark == "hands" {
		if why := q.notHands(out.Samples, sofar.Of("barrel").Samples); why != "" {
			return out.refuse(why), nil
		}
	}
	return out, nil
}

// physics bounds how a mark moves.
func (q search) physics(name string) track.Physics {
	ph := track.Physics{MaxSpeed: jointMaxMPS, Accel: jointAccel, FastSpeed: jointFastMPS, FastBonus: jointBonus}
	switch name {
	case "barrel":
		ph = track.Physics{MaxSpeed: barrelMaxMPS, Accel: barrelAccel * math.Max(1, q.s.FPS/impactFPS), FullSpeed: barrelFullMPS, FastSpeed: barrelFastMPS, FastBonus: barrelBonus}
	case "hands":
		ph = track.Physics{MaxSpeed: handsMaxMPS, Accel: handsAccel, FastSpeed: handsFastMPS, FastBonus: handsBonus}
	}
	ph.MaxSpeed, ph.Accel, ph.FullSpeed, ph.FastSpeed = ph.MaxSpeed*q.ppm, ph.Accel*q.ppm, ph.FullSpeed*q.ppm, ph.FastSpeed*q.ppm
	ph.MaxGapS, ph.GapPrice = gapS, gapPrice
	return ph
}

// patches are one mark's candidates that may be a band.
func (q search) patches(model int, tell func(frames int)) ([][]mark.Candidate, error) {
	cands, err := q.s.Patches(model, tell)
	if err != nil || !q.ruler.Known() {
		return cands, err
	}
	most := largest * barrelM * bandM * q.ppm * q.ppm
	for f, cs := range cands {
		// The heaviest come first.
		cs = slices.DeleteFunc(cs, func(k mark.Candidate) bool { return k.Mass > most })
		cands[f] = cs[:min(len(cs), perMark)]
	}
	return cands, nil
}

// worth says what a candidate is worth on its own.
func (q search) worth(name string, k mark.Candidate, timeS float64, sofar Paths) float64 {
	w := 1 - stillPrice*k.Still
	across, width := barrelM*q.ppm, bandM*q.ppm
	if name != "barrel" {
		across = handsM * q.ppm
	}
	expected := across * width
	switch {
	case k.Mass > muchShare*expected:
		w -= muchPrice
	case k.Mass < littleShare*expected:
		w -= littlePrice
	}
	other := map[string]string{"barrel": "hands", "hands": "barrel"}[name]
	if other == "" {
		return w
	}
	if h, ok := near(sofar.Of(other).Samples, timeS); ok {
		reach := reachM * q.ppm
		if q.card.Bat.MarksApartM > 0 {
			reach = reachShare * q.card.Bat.MarksApartM * q.ppm
		}
		d := math.Hypot(k.X-h.XPx, k.Y-h.YPx)
		if d > reach {
			w -= reachPrice * math.Min(1, (d-reach)/(reachSoft*reach))
		}
		// The barrel's place is the surer of the two: what is farther from it than
		// the bat is long, even nearer the camera, is not the hands.
		if name == "hands" && q.ruler.Known() && d > rodPx(q.card, q.ppm) {
			w -= otherPrice
		}
	}
	return w
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

// rodPx is the most that the marks of the bat may be apart in the picture, px.
func rodPx(c metrics.Card, ppm float64) float64 {
	if c.Bat.MarksApartM > 0 {
		return rodShare * c.Bat.MarksApartM * ppm
	}
	return rodShare * ppm
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
