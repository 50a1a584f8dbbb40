package contact

import (
	"fmt"
	"math"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// How says what a time of contact comes from.
type How string

// The four, the surest first.
const (
	Turn     How = "turn"     // the ball's path turns
	Approach How = "approach" // barrel and ball first touch, or come closest
	Crossing How = "crossing" // a ball off a tee begins its flight at the barrel
	Peak     How = "peak"     // the barrel is fastest
)

// Path is where something is in the plane of the pitch at a time, m.
type Path func(t float64) [2]float64

// Seen is what there is to find a contact from.
type Seen struct {
	Before, After []fit.Sample // the ball on its way in and out, in the plane of the pitch, m
	Ball          flight.Ball
	Tee           bool
	ReachM        float64 // distance of the centres of ball and barrel that touch
	LensM         float64 // from the lens to the plane of the pitch
	FrameS        float64 // from frame to frame
	ExposureS     float64 // 0 unknown
	PeakS         float64 // when the barrel is fastest in the picture
}

// Contact is when and how surely barrel and ball met.
type Contact struct {
	TimeS, SDS float64
	How        How
	Confidence float64
	Assumed    bool   // nothing of the ball says when
	Why        string // what the confidence lacks
	Pitch      Pitch
	Pitched    bool // there is a pitch
	Hit        bool // barrel and ball touched
}

// Find finds the time of contact from the ball's turn and its touch of the barrel, else
// from the touch alone, else from the barrel's peak speed.
func Find(s Seen, barrel Path) Contact {
	s.After = s.After[:min(len(s.After), outUse)]
	c := Contact{
		TimeS: s.PeakS, SDS: peakSDS, How: Peak, Confidence: surePeak, Assumed: true,
		Why: "no ball was seen: contact is taken at the barrel's peak speed",
	}
	if len(s.Before) >= pitchLeast {
		c.Pitch, c.Pitched = FitPitch(s.Before, s.Ball)
	}
	switch {
	case !c.Pitched && s.Tee:
		return s.leave(c, barrel)
	case !c.Pitched:
		return c
	}
	c, ok := s.turn(c, barrel)
	if !ok {
		c = s.approach(c, barrel)
	}
	return c
}

// approach is the contact of a pitch whose turn was not seen.
func (s Seen) approach(c Contact, barrel Path) Contact {
	apart := func(t float64) float64 {
		p, _ := c.Pitch.At(t)
		q := barrel(t)
		return math.Hypot(p[0]-q[0], p[1]-q[1])
	}
	t := fit.Least(apart, s.PeakS-turnReachS, s.PeakS+turnReachS, closeLooks, closeNarrows)
	d := apart(t)
	c.TimeS, c.How, c.Assumed = t, Approach, false
	c.Confidence, c.Why = sureTouch, "the ball's turn was not seen: contact is where barrel and ball first touch"
	if d < s.ReachM {
		// The flight is carried on as if not hit, so its closest approach comes
		// after the touch that ended it.
		c.Hit = true
		c.TimeS, c.SDS, _ = s.touch(c.Pitch, barrel, t)
	} else {
		c.Confidence, c.SDS = sureMiss, 0.5*s.FrameS
		c.Why = fmt.Sprintf("barrel and ball stay %.0f cm apart: the ball was missed, and contact is their closest approach", 100*d)
	}
	return c
}

// turn is the contact of a pitch that turns, together with the barrel's touch; false
// when it does not turn, or not at the barrel.
func (s Seen) turn(c Contact, barrel Path) (Contact, bool) {
	if len(s.After) == 0 {
		return c, false
	}
	from, to := s.Before[len(s.Before)-1].TimeS-turnFrames*s.FrameS, s.After[0].TimeS+s.FrameS
	t, sd, ok := findBounce(c.Pitch, s.After, s.LensM, s.Ball, from, to)
	if !ok {
		return c, false
	}
	// Once more without what was exposed while the ball turned.
	if b, a := unbent(s.Before, t, s.ExposureS), unbent(s.After, t, s.ExposureS); len(b) < len(s.Before) || len(a) < len(s.After) {
		p, ok := FitPitch(b, s.Ball)
		if !ok {
			return c, false
		}
		again, sdAgain, ok := findBounce(p, a, s.LensM, s.Ball, from, to)
		if !ok {
			return c, false
		}
		c.Pitch, t, sd = p, again, sdAgain
	}
	// A ball that turns far from the barrel met a net, a wall or the ground.
	p, _ := c.Pitch.At(t)
	q := barrel(t)
	if math.Abs(t-s.PeakS) > turnReachS || math.Hypot(p[0]-q[0], p[1]-q[1]) > turnOffM {
		return c, false
	}
	c.TimeS, c.SDS, c.How, c.Assumed, c.Why, c.Hit = t, sd, Turn, false, "", true
	if touch, touchSD, ok := s.touch(c.Pitch, barrel, t); ok {
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

// within is the chance that an error of the s.d. is under sureS.
func within(sd float64) float64 { return math.Erf(sureS / (math.Sqrt2 * sd)) }

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
	c.Hit = true
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
