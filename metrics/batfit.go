package metrics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// batSeen is what there is to fit a bat to.
type batSeen struct {
	sight    sight
	leverM   float64 // as in a bat
	markM    float64
	marked   bool // there is a hands' mark, and markM is known
	contactS float64
	hit      bool // at contact barrel and ball touched
	// contactY is the depth of the barrel at contact, contactSD its s.d.
	contactY, contactSD float64
	// handsY is about where hands are, towards the camera.
	handsY float64
	barrel []Sample
	hands  []Sample // nil when there is no hands' mark
}

// What a swing may do, as common practice and the laws of a swing put it: the
// size of white noise in the third derivative that lets a bat go from rest to
// 40 rad/s, and hands to 10 m/s, within a tenth of a second and slow down again.
const (
	batStepS        = 0.0125
	batReachS       = 0.40   // before and after contact
	turnJerk        = 3500.0 // rad/s² per √s
	handsJerk       = 400.0  // m/s² per √s
	turnKick        = 5.0    // rad/s that an impact may take, beside lossShare
	handsKick       = 1.5    // m/s
	turnKick2       = 2000.0 // rad/s²
	handsKick2      = 300.0  // m/s²
	handsYSD        = 0.30   // m, of the hands' depth at contact about the usual
	handsYMPS       = 2.0    // m/s, of the hands' drift in depth
	handsMPS        = 7.0    // m/s, of the hands in the plane of the picture
	recedeBeforeMPS = 1.5
	recedeAfterMPS  = 3.5
	recedeS         = 0.15
	handsGapS       = 0.025 // apart, so that each stands for itself
	unitSD          = 0.01  // of the direction's length
	areaSD          = 0.08  // of the area seen from the side, and as much of its own
	shapeSD         = 0.20  // of the band's variance across, likewise
	shapePx2        = 0.7   // px², coding and noise
	bulgeSD         = 0.08  // of the most that a band can bulge, likewise
	bulgePx3        = 5.0   // px³, noise
	hiddenShare     = 0.85  // of the band's area: less was seen and part of it is hidden
	spillShare      = 1.3   // of that area: more was seen and another thing touches it
	slipSD          = 0.015 // m
	batPx           = 0.5   // px, what a band's middle is off beside its own s.d.
	handsPx         = 2.0   // the same of the hands' band, which fingers cover in part
	batLeast        = 10    // sightings with a size
	batRounds       = 25
	climbLeast      = 20.0 // by how much another lean must explain everything better
	climbRounds     = 3
	growFromS       = 0.03 // the first span on each side of contact
	growLeast       = 8    // sightings in it
	growStep        = 1.4
	growTryS        = 0.06 // how far each first guess is tried
	growSampleS     = 0.005
	growCarryS      = 0.03
)

// fitBat fits a bat to what was seen of one swing. It reports false when too
// little says how the bat lies.
//
// In one frame a rod seen from one side may point towards the camera or away from
// it. How the band bulges tells the two apart where it is seen well, and from there
// how evenly a bat turns; where it is nowhere seen well the fit starts at contact, at
// which the barrel is farther from the hitter than the hands are, and grows outwards.
// The best explanation of everything stays.
func fitBat(o batSeen) (*bat, bool) {
	o = o.within(batReachS)
	if len(o.barrel) < batLeast {
		return nil, false
	}
	best := o.started()
	// What has the hands' hue may be another thing for a while, and lead a fit that
	// starts from it astray.
	if len(o.hands) > 0 {
		bare := o
		bare.hands = nil
		if b := bare.started(); b != nil {
			best = better(best, o.descend(b.beyond(0), b.rows.whole))
		}
	}
	if best == nil {
		return nil, false
	}
	best = o.climb(best)
	best.normal = best.rows.normal(best)
	best.rows.each(best, func(first int, g []float64, common, is float64) {
		best.equations = append(best.equations, equation{first, g, common, is})
	})
	return best, best.normal.Factor(0)
}

// started is the best of the bats that the first guesses lead to; nil when there is
// none.
func (o batSeen) started() *bat {
	best := o.grown()
	// The band's whole area may not have been seen, or only near the camera.
	for _, larger := range wholeGuesses {
		whole := larger * wholeMass(o.barrel)
		if poses, ok := o.start(whole); ok {
			best = better(best, o.descend(poses, whole))
		}
	}
	return best
}

// climb tries, beyond each time at which the bat lies in the plane of the picture,
// the other lean: what passed through the plane may have turned back from it. It
// stays with the best explanation of everything.
func (o batSeen) climb(best *bat) *bat {
	least := best.rows.misfit(best)
	for range climbRounds {
		poses, higher := best.beyond(0), false
		for _, k := range o.turns(poses) {
			b := o.descend(mirrored(poses, k, o.contactS), best.rows.whole)
			if b == nil {
				continue
			}
			if m := b.rows.misfit(b); m < least-climbLeast {
				best, least, poses, higher = b, m, b.beyond(0), true
			}
		}
		if !higher {
			break
		}
	}
	return best
}

// better is the one of two bats, either of which may be nil, that explains everything
// better; the first when both do so equally.
func better(a, b *bat) *bat {
	if a == nil || (b != nil && b.rows.misfit(b) < a.rows.misfit(a)) {
		return b
	}
	return a
}

// wholeGuesses are shares of the largest areas seen that the whole band may have.
var wholeGuesses = [...]float64{1, 0.75, 1.3}

// grown is the bat that explains best what was seen next to contact, carried from
// there as far as was seen; nil when none does.
func (o batSeen) grown() *bat {
	var best *bat
	for _, larger := range wholeGuesses {
		whole := larger * wholeMass(o.barrel)
		for _, poses := range o.starts(whole) {
			best = better(best, o.grow(poses, whole, growTryS))
		}
	}
	if best == nil {
		return nil
	}
	return o.wider(best, batReachS)
}

// nearest is what was seen next to contact: enough to start from.
func (o batSeen) nearest() (near batSeen, reach float64) {
	reach = growFromS
	for len(o.within(reach).barrel) < growLeast && reach < batReachS {
		reach += growFromS / 4
	}
	return o.within(reach), reach
}

// starts lists first guesses next to contact.
func (o batSeen) starts(whole float64) [][]startPose {
	near, _ := o.nearest()
	poses, ok := near.start(whole)
	if !ok {
		return nil
	}
	out := [][]startPose{poses}
	if len(near.hands) >= growLeast {
		return out
	}
	end := endOn(poses)
	for _, flip := range [][2]bool{{true, false}, {false, true}, {true, true}} { // before, after
		other := append([]startPose(nil), poses...)
		for i := range other {
			if (i <= end && !flip[0]) || (i > end && !flip[1]) {
				continue
			}
			p := &other[i]
			p.Hands.X, p.Hands.Z = p.Hands.X+2*o.leverM*p.Dir.X, p.Hands.Z+2*o.leverM*p.Dir.Z
			p.Dir.X, p.Dir.Z = -p.Dir.X, -p.Dir.Z
		}
		out = append(out, other)
	}
	return out
}

// endOn is the pose that points most along the line of sight.
func endOn(poses []startPose) int {
	best := 0
	for i, p := range poses {
		if math.Abs(p.Dir.Y) > math.Abs(poses[best].Dir.Y) {
			best = i
		}
	}
	return best
}

// grow fits a bat next to contact and then as far as reach.
func (o batSeen) grow(poses []startPose, whole, reach float64) *bat {
	near, _ := o.nearest()
	b := near.descend(poses, whole)
	if b == nil {
		return nil
	}
	return o.wider(b, reach)
}

// wider fits a bat to more and more of the swing, as far as reach.
func (o batSeen) wider(b *bat, reach float64) *bat {
	for at := b.reach(); b != nil && at < reach; {
		at = math.Min(growStep*at, reach)
		b = o.within(at).descend(b.beyond(at), b.rows.whole)
	}
	return b
}

// reach is how far from contact the bat was fitted.
func (b *bat) reach() float64 {
	from, to := b.knots.Span()
	tc := b.rows.seen.contactS
	return math.Max(math.Max(tc-from, to-tc), growFromS)
}

// beyond samples the bat and carries it on at even speed to reach from contact.
func (b *bat) beyond(reach float64) []startPose {
	from, to := b.knots.Span()
	tc := b.rows.seen.contactS
	var out []startPose
	first, last := b.at(from, fit.After), b.at(to, fit.Before)
	for t := tc - reach; t < from; t += growSampleS {
		out = append(out, first.carried(t, t-from))
	}
	for t := from; t <= to; t += growSampleS {
		p := b.at(t, fit.Before)
		out = append(out, startPose{TimeS: t, Hands: p.Hands, Dir: p.Dir})
	}
	for t := to + growSampleS; t < tc+reach; t += growSampleS {
		out = append(out, last.carried(t, t-to))
	}
	return out
}

// carried is the pose a while later if it turns and moves evenly; what is far
// ahead it does not know and stands still.
func (p pose) carried(timeS, ahead float64) startPose {
	ahead = math.Max(-growCarryS, math.Min(ahead, growCarryS))
	w := r3.Cross(p.Dir, p.DirV)
	angle := math.Sqrt(r3.Dot(w, w)) * ahead
	k := geom.Unit(w)
	c, s := math.Cos(angle), math.Sin(angle)
	q := r3.Cross(k, p.Dir)
	return startPose{
		TimeS: timeS,
		Hands: geom.Along(p.Hands, ahead, p.HandsV),
		Dir:   geom.Along(r3.Scale(c, p.Dir), s, q),
	}
}

// descend fits a bat from a first guess.
func (o batSeen) descend(poses []startPose, whole float64) *bat {
	if len(o.barrel) < 2 {
		return nil
	}
	first, last := o.barrel[0].TimeS, o.barrel[len(o.barrel)-1].TimeS
	b := &bat{sight: o.sight, leverM: o.leverM, markM: o.markM, knots: fit.NewKnots(first, last, batStepS, o.contactS)}
	b.x = make([]float64, batUnknowns*b.knots.Count())
	b.rows = rows{seen: o, whole: whole, start: poses}
	r := &b.rows
	for range 2 {
		if !b.solve(r, 1e-6) {
			return nil
		}
	}
	r.start = nil
	damp := 1e-3
	for round := range batRounds {
		c := offC
		if round < len(offRounds) {
			c = offRounds[round]
		}
		r.reweigh(b, c)
		cost := r.cost(b)
		old, slip, improved := b.x, b.slipM, false
		damp = math.Min(damp, 1)
		for damp < 1e4 {
			if b.solve(r, damp) {
				if c := r.cost(b); c < cost {
					improved = cost-c > 1e-3*cost
					damp = math.Max(1e-6, damp/10)
					break
				}
			}
			b.x, b.slipM = old, slip
			damp *= 10
		}
		if !improved && round >= len(offRounds) {
			break
		}
	}
	r.reweigh(b, offC)
	return b
}

// solve takes one step; on false nothing changed.
func (b *bat) solve(r *rows, damp float64) bool {
	n := r.normal(b)
	if !n.Factor(damp) {
		return false
	}
	d, slip, ok := n.Step()
	if !ok {
		return false
	}
	x := append([]float64(nil), b.x...)
	for i := range x {
		x[i] += d[i]
	}
	b.x = x
	b.slipM += slip
	b.straighten()
	return true
}

// straighten brings the direction's length back to 1 on average.
func (b *bat) straighten() {
	for i := 3; i < len(b.x); i += batUnknowns {
		l := math.Sqrt(b.x[i]*b.x[i] + b.x[i+1]*b.x[i+1] + b.x[i+2]*b.x[i+2])
		if l > 2 || (l > 0 && l < 0.5) {
			for k := range 3 {
				b.x[i+k] /= l
			}
		}
	}
}

// within keeps what is at most reach from contact.
func (o batSeen) within(reach float64) batSeen {
	cut := func(s []Sample) []Sample {
		var out []Sample
		for _, x := range s {
			if math.Abs(x.TimeS-o.contactS) < reach {
				out = append(out, x)
			}
		}
		return out
	}
	o.barrel, o.hands = cut(o.barrel), cut(o.hands)
	return o
}
