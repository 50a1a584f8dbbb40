package bat

import (
	"math"
)

// Fit fits a bat to what was seen of one swing. It reports false when too
// little says how the bat lies.
//
// In one frame a rod seen from one side may point towards the camera or away from
// it. How the band bulges tells the two apart where it is seen well, and from there
// how evenly a bat turns; where it is nowhere seen well the fit starts at contact, at
// which the barrel is farther from the hitter than the hands are, and grows outwards.
// The best explanation of everything stays.
func Fit(o Seen) (*Bat, bool) {
	o.Sight.lamp = usualLamp
	o = o.within(reachS)
	if len(o.Barrel) < leastSeen {
		return nil, false
	}
	best := o.started()
	// What has the hands' hue may be another thing for a while, and lead a fit that
	// starts from it astray.
	if len(o.Hands) > 0 {
		bare := o
		bare.Hands = nil
		if b := bare.started(); b != nil {
			best = better(best, o.descend(b.beyond(0), b.whole))
		}
	}
	if best == nil {
		return nil, false
	}
	return o.climb(best).finished()
}

// finished is the bat with what tells how sure it is.
func (b *Bat) finished() (*Bat, bool) {
	out := *b
	out.normal, out.equations, out.stray = b.normalOf(b.terms), nil, map[int]bool{}
	for _, t := range b.terms {
		t.rows(b, false, func(first int, g []float64, common, is float64) {
			out.equations = append(out.equations, equation{first, g, common, is})
		})
		if h, ok := t.(handsBand); ok && h.off(b) > strayHandSD*strayHandSD {
			out.stray[h.seen.Frame] = true
		}
	}
	return &out, out.normal.Factor(0)
}

// started is the best of the bats that the first guesses lead to; nil when there is
// none.
func (o Seen) started() *Bat {
	best := o.grown()
	// The band's whole area may not have been seen, or only near the camera.
	for _, larger := range wholeGuesses {
		whole := larger * wholeMass(o.Barrel)
		if poses, ok := o.start(whole); ok {
			best = better(best, o.descend(poses, whole))
		}
	}
	return best
}

// climb tries, beyond each time at which the bat lies in the plane of the picture,
// the other lean: what passed through the plane may have turned back from it. It
// stays with the best explanation of everything.
func (o Seen) climb(best *Bat) *Bat {
	least := best.misfit
	for range climbRounds {
		poses, higher := best.beyond(0), false
		for _, k := range o.turns(poses) {
			b := o.descend(mirrored(poses, k, o.ContactS), best.whole)
			if b == nil {
				continue
			}
			if m := b.misfit; m < least-climbLeast {
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
func better(a, b *Bat) *Bat {
	if a == nil || (b != nil && b.misfit < a.misfit) {
		return b
	}
	return a
}

// grown is the bat that explains best what was seen next to contact, carried from
// there as far as was seen; nil when none does.
func (o Seen) grown() *Bat {
	var best *Bat
	for _, larger := range wholeGuesses {
		whole := larger * wholeMass(o.Barrel)
		for _, poses := range o.starts(whole) {
			best = better(best, o.grow(poses, whole, growTryS))
		}
	}
	if best == nil {
		return nil
	}
	return o.wider(best, reachS)
}

// nearest is what was seen next to contact: enough to start from.
func (o Seen) nearest() (near Seen, reach float64) {
	reach = growFromS
	for len(o.within(reach).Barrel) < growLeast && reach < reachS {
		reach += growFromS / 4
	}
	return o.within(reach), reach
}

// starts lists first guesses next to contact.
func (o Seen) starts(whole float64) [][]startPose {
	near, _ := o.nearest()
	poses, ok := near.start(whole)
	if !ok {
		return nil
	}
	out := [][]startPose{poses}
	if len(near.Hands) >= growLeast {
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
			p.Hands.X, p.Hands.Z = p.Hands.X+2*o.LeverM*p.Dir.X, p.Hands.Z+2*o.LeverM*p.Dir.Z
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
func (o Seen) grow(poses []startPose, whole, reach float64) *Bat {
	near, _ := o.nearest()
	b := near.descend(poses, whole)
	if b == nil {
		return nil
	}
	return o.wider(b, reach)
}

// wider fits a bat to more and more of the swing, as far as reach.
func (o Seen) wider(b *Bat, reach float64) *Bat {
	for at := b.reach(); b != nil && at < reach; {
		at = math.Min(growStep*at, reach)
		b = o.within(at).descend(b.beyond(at), b.whole)
	}
	return b
}
