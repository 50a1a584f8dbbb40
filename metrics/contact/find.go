package contact

import (
	"fmt"
	"math"

	"ashline/metrics/fit"
)

// Find finds the time of contact and what became of the swing: from the ball's turn and
// its touch of the barrel, else from the touch alone; of a ball that goes on unturned
// from the barrel's passing of its line; without a ball from the barrel's peak speed.
func Find(s Seen, barrel Path) Contact {
	c := Contact{
		TimeS: s.PeakS, SDS: peakSDS, How: Peak, Confidence: surePeak, Assumed: true, Outcome: None, Chance: sureNone,
		Why: "no ball was seen: contact is taken at the barrel's peak speed",
	}
	s.Before, s.After = s.parted(barrel)
	s.After = s.After[:min(len(s.After), outUse)]
	if len(s.Before) >= pitchLeast {
		c.Pitch, c.Pitched = FitPitch(s.Before, s.Ball)
	}
	switch {
	case !c.Pitched && s.Tee:
		return s.leave(c, barrel)
	case !c.Pitched:
		return c
	}
	if turned, ok := s.turn(c, barrel); ok {
		return turned
	}
	return s.unturned(c, barrel)
}

// parted tells the way in from the way out: what of a flight lies beyond its closest
// approach to the barrel is on the way out, whether it turned there or not.
func (s Seen) parted(barrel Path) (in, out []fit.Sample) {
	if len(s.After) > 0 || len(s.Before) < pitchLeast+outLeast {
		return s.Before, s.After
	}
	p, ok := FitPitch(s.Before, s.Ball)
	if !ok {
		return s.Before, s.After
	}
	by, _ := s.closest(p, barrel)
	n := 0
	for n < len(s.Before) && s.Before[n].TimeS < by {
		n++
	}
	if n < pitchLeast || len(s.Before)-n < outLeast {
		return s.Before, s.After
	}
	return s.Before[:n], s.Before[n:]
}

// closest is when a pitch, carried on as if not hit, comes closest to the barrel, and
// how close.
func (s Seen) closest(ball Pitch, barrel Path) (t, apartM float64) {
	apart := func(t float64) float64 {
		p, _ := ball.At(t)
		q := barrel(t)
		return math.Hypot(p[0]-q[0], p[1]-q[1])
	}
	t = fit.Least(apart, s.PeakS-turnReachS, s.PeakS+turnReachS, closeLooks, closeNarrows)
	return t, apart(t)
}

// unturned is the contact of a pitch that was not seen to turn at the barrel. One that
// was seen to go on was missed; else it is how close the two come that tells.
func (s Seen) unturned(c Contact, barrel Path) Contact {
	t, d := s.closest(c.Pitch, barrel)
	touched := normal((s.ReachM - d) / touchM)
	if wentOn := s.wentOn(c.Pitch); wentOn > 0 {
		touched *= 1 - wentOn
	}
	if touched < 0.5 {
		return s.pass(c, barrel, 1-touched)
	}
	// The flight is carried on as if not hit, so its closest approach comes after the
	// touch that ended it.
	c.TimeS, c.SDS, _ = s.touch(c.Pitch, barrel, t)
	c.How, c.Assumed, c.Outcome, c.Chance, c.Confidence = Approach, false, Hit, touched, sureTouch*touched
	c.Why = "the ball's turn was not seen: contact is where barrel and ball first touch"
	return c
}

// wentOn is how sure it is that a pitch flew on as if not hit: by how many sightings
// beyond the barrel lie on its flight.
func (s Seen) wentOn(ball Pitch) float64 {
	on := 0
	for _, x := range s.After {
		p, _ := ball.At(x.TimeS)
		if math.Hypot(x.Pos[0]-p[0], x.Pos[1]-p[1]) < onFlightM+onFlightMPS*(x.TimeS-s.Before[len(s.Before)-1].TimeS) {
			on++
		}
	}
	if on < outLeast || 2*on < len(s.After) {
		return 0
	}
	return sureOn
}

// turn is the contact of a pitch that turns, together with the barrel's touch; false
// when it does not turn, or not at the barrel.
func (s Seen) turn(c Contact, barrel Path) (Contact, bool) {
	if len(s.After) == 0 {
		return c, false
	}
	from, to := s.Before[len(s.Before)-1].TimeS-turnFrames*s.FrameS, s.After[0].TimeS+s.FrameS
	b, ok := findBounce(c.Pitch, s.After, s.LensM, s.Ball, from, to)
	if !ok {
		return c, false
	}
	// Once more without what was exposed while the ball turned.
	if in, out := unbent(s.Before, b.atS, s.ExposureS), unbent(s.After, b.atS, s.ExposureS); len(in) < len(s.Before) || len(out) < len(s.After) {
		p, ok := FitPitch(in, s.Ball)
		if !ok {
			return c, false
		}
		again, ok := findBounce(p, out, s.LensM, s.Ball, from, to)
		if !ok {
			return c, false
		}
		c.Pitch, b = p, again
	}
	// A ball that turns far from the barrel met a net, a wall or the ground.
	p, v := c.Pitch.At(b.atS)
	q := barrel(b.atS)
	change := math.Hypot(b.vel[0]-v[0], b.vel[1]-v[1])
	if change < turnLeastMPS || math.Abs(b.atS-s.PeakS) > turnReachS || math.Hypot(p[0]-q[0], p[1]-q[1]) > turnOffM {
		return c, false
	}
	c.TimeS, c.SDS, c.How, c.Assumed, c.Why = b.atS, b.sdS, Turn, false, ""
	// The ball keeps its way, or goes back: what lies between the two is a choice of words.
	back := normal(b.vel[0] / backSDMPS)
	if c.Outcome, c.Chance = Hit, back; back < 0.5 {
		c.Outcome, c.Chance = Tip, 1-back
	}
	c.Chance *= normal((change - turnLeastMPS) / turnSDMPS)
	if touch, touchSD, ok := s.touch(c.Pitch, barrel, b.atS); ok {
		return c.agree(touch, touchSD), true
	}
	c.Confidence = math.Min(sureAlone, within(c.SDS))
	c.Why = "the barrel is not where the ball turned"
	return c, true
}

// agree brings a turn and a touch together: their weighted mean where they agree,
// else the surer of the two, and then neither is sure.
func (c Contact) agree(touch, sd float64) Contact {
	both := math.Hypot(c.SDS, sd)
	apart := math.Abs(touch - c.TimeS)
	w := sd * sd / (both * both)
	if apart <= apartSD*both {
		c.TimeS = w*c.TimeS + (1-w)*touch
		c.SDS *= sd / both
		c.Confidence = within(c.SDS)
		return c
	}
	if w < 0.5 {
		c.TimeS, c.SDS, c.How = touch, sd, Approach
	}
	c.Why = fmt.Sprintf("the ball's turn and its touch of the barrel are %.1f ms apart", 1000*apart)
	// Either may be the true one, and the farther apart the less either explains
	// the other.
	c.Confidence = math.Max(w, 1-w) * within(c.SDS) * apartSD * both / apart
	c.SDS = math.Max(c.SDS, apart/2)
	return c
}

// touch is when a ball and a barrel, near t, come as close as their radii, and its
// s.d.; ok is false when they pass each other.
func (s Seen) touch(ball Pitch, barrel Path, t float64) (touchS, sdS float64, ok bool) {
	const h = 0.0005
	reach := s.ReachM
	var off, before, speed float64
	for range touchRounds {
		p, v := ball.At(t)
		q, r := barrel(t), barrel(t-h)
		d := [2]float64{p[0] - q[0], p[1] - q[1]}
		w := [2]float64{v[0] - (q[0]-r[0])/h, v[1] - (q[1]-r[1])/h}
		speed = math.Hypot(w[0], w[1])
		if speed == 0 {
			return t, math.Inf(1), false
		}
		off = math.Abs(d[0]*w[1]-d[1]*w[0]) / speed
		before = math.Sqrt(math.Max(reach*reach-off*off, glancing*glancing*reach*reach))
		t -= (d[0]*w[0]+d[1]*w[1])/(speed*speed) + before/speed
	}
	return t, touchM / speed * reach / before, off < reach+2*touchM
}

// leave is the contact of a ball hit off a tee: where its flight begins at the
// barrel. The ball is little faster than the barrel that it leaves, so that the
// time is known worse than a touch.
func (s Seen) leave(c Contact, barrel Path) Contact {
	out, ok := newHitLine(s.After, s.LensM)
	if !ok {
		return c
	}
	t, ok := s.leaves(out, barrel, s.After[0].TimeS)
	if !ok {
		return c
	}
	apart := func(t float64) float64 {
		p, q := out.at(t), barrel(t)
		return math.Hypot(p[0]-q[0], p[1]-q[1])
	}
	const h = 0.0005
	speed := (apart(t+h) - apart(t)) / h
	c.TimeS, c.SDS, c.How, c.Assumed, c.Confidence = t, math.Min(touchM/math.Max(speed, slowMPS), peakSDS), Crossing, false, sureLeft
	c.Outcome, c.Chance = Hit, sureLeft
	c.Why = "the ball left the tee: contact is where its flight begins at the barrel"
	return c
}

// leaves is the time before first at which a ball on its way out was as far from
// the barrel as their radii.
func (s Seen) leaves(out hitLine, barrel Path, first float64) (float64, bool) {
	const step = 0.0002 // s
	before := math.Inf(1)
	for t := first; t > first-leaveS; t -= step {
		p, q := out.at(t), barrel(t)
		d := math.Hypot(p[0]-q[0], p[1]-q[1])
		if d <= s.ReachM {
			return t, true
		}
		if d > before {
			return t, d < 2*s.ReachM
		}
		before = d
	}
	return 0, false
}
