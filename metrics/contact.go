package metrics

import (
	"fmt"
	"math"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
	"ashline/metrics/geom"
)

// contact is when and how surely barrel and ball met.
type contact struct {
	timeS      float64
	sdS        float64
	how        string // turn, approach, crossing, peak
	confidence float64
	status     Status
	why        string
	in         ballPath
	hasIn      bool
	hit        bool // barrel and ball touched
}

const (
	// turnReachS is how far the ball's turn may be from the barrel's peak speed, s.
	turnReachS = 0.06
	// turnOffM is how far the ball's turn may be from the barrel's band, m: a bat
	// that meets the ball near its hands points at the camera rather than across.
	turnOffM = 0.35
	// outUse is how many sightings after the turn are used.
	outUse = 10
	// touchM is the error of the distance between ball and barrel where they touch:
	// the ball does not meet the band's middle but some way along a bat that points
	// askew, and the band's middle is not the bat's axis.
	touchM = 0.02
	// glancing is the least share of ball's and barrel's radii by which the ball is
	// before the barrel when they touch: with less, the time says nothing.
	glancing = 0.3
	// apartSD is how many standard deviations turn and touch may differ.
	apartSD = 2.0
	// sureS is how near the truth a contact must be to count as right, s.
	sureS = 0.0005
	// A bat is fastest some milliseconds before it meets the ball or after.
	peakSD = 0.005
)

// findContact finds the time of contact from the ball's turn and its touch of the
// barrel (a path in the plane), else from the touch alone, else from the barrel's
// peak speed.
func (in *swingInput) findContact(v geom.View, barrel func(t float64) [2]float64) contact {
	c := contact{
		timeS: in.peakS, sdS: peakSD, how: "peak", confidence: 0.2, status: Assumed,
		why: "no ball was seen: contact is taken at the barrel's peak speed",
	}
	ball, err := flight.Named(in.card.Pitch.Ball)
	if err != nil {
		ball = flight.Baseball
	}
	before, after := inPlane(v, in.ball.In), inPlane(v, in.ball.Out[:min(len(in.ball.Out), outUse)])
	if len(before) >= 4 {
		c.in, c.hasIn = fitBall(before, ball)
	}
	if c.hasIn && in.turn(&c, v, barrel, ball, before, after) {
		return c
	}
	if !c.hasIn && in.card.Kind == "tee" {
		in.leave(&c, v, barrel, after)
		return c
	}
	if !c.hasIn {
		return c
	}
	t, d := closest(func(t float64) [2]float64 { p, _ := c.in.At(t); return p }, barrel, in.peakS-0.06, in.peakS+0.06)
	c.timeS, c.how, c.status = t, "approach", Measured
	c.confidence, c.why = 0.6, "the ball's turn was not seen: contact is where barrel and ball first touch"
	if d < in.reachM() {
		// The flight is carried on as if not hit, so its closest approach comes
		// after the touch that ended it.
		c.hit = true
		c.timeS, c.sdS, _ = in.touch(c.in, barrel, t)
	} else {
		c.confidence, c.sdS = 0.4, 0.5/in.fps
		c.why = fmt.Sprintf("barrel and ball stay %.0f cm apart: the ball was missed, and contact is their closest approach", 100*d)
	}
	return c
}

// turn sets the contact from the ball's turn, together with the barrel's touch. It
// reports whether there was one.
func (in *swingInput) turn(c *contact, v geom.View, barrel func(float64) [2]float64, ball flight.Ball, before, after []fit.Sample) bool {
	if len(after) == 0 {
		return false
	}
	step := 1 / in.fps
	from, to := before[len(before)-1].TimeS-3*step, after[0].TimeS+step
	t, sd, ok := findBounce(c.in, after, v, ball, from, to)
	if !ok {
		return false
	}
	// Once more without what was exposed while the ball turned.
	if b, a := unbent(before, t, in.exposureS), unbent(after, t, in.exposureS); len(b) < len(before) || len(a) < len(after) {
		p, ok := fitBall(b, ball)
		if !ok {
			return false
		}
		again, sdAgain, ok := findBounce(p, a, v, ball, from, to)
		if !ok {
			return false
		}
		c.in, t, sd = p, again, sdAgain
	}
	// A ball that turns far from the barrel met a net, a wall or the ground.
	p, _ := c.in.At(t)
	q := barrel(t)
	if math.Abs(t-in.peakS) > turnReachS || math.Hypot(p[0]-q[0], p[1]-q[1]) > turnOffM {
		return false
	}
	c.timeS, c.sdS, c.how, c.status, c.why, c.hit = t, sd, "turn", Measured, "", true
	touch, touchSD, ok := in.touch(c.in, barrel, t)
	if ok {
		c.agree(touch, touchSD)
	} else {
		c.confidence = math.Min(0.5, within(c.sdS))
		c.why = "the barrel is not where the ball turned"
	}
	return true
}

// agree brings a turn and a touch together: their weighted mean where they agree,
// else the surer of the two, and then neither is sure.
func (c *contact) agree(touch, sd float64) {
	both := math.Hypot(c.sdS, sd)
	apart := math.Abs(touch - c.timeS)
	w := sd * sd / (both * both)
	if apart <= apartSD*both {
		c.timeS = w*c.timeS + (1-w)*touch
		c.sdS *= sd / both
		c.confidence = within(c.sdS)
		return
	}
	if w < 0.5 {
		c.timeS, c.sdS, c.how = touch, sd, "approach"
	}
	c.why = fmt.Sprintf("the ball's turn and its touch of the barrel are %.1f ms apart", 1000*apart)
	// Either may be the true one, and the farther apart the less either explains
	// the other.
	c.confidence = math.Max(w, 1-w) * within(c.sdS) * apartSD * both / apart
	c.sdS = math.Max(c.sdS, apart/2)
}

// within is the chance that an error of the s.d. is under sureS.
func within(sd float64) float64 { return math.Erf(sureS / (math.Sqrt2 * sd)) }

// contactSD is the s.d. of the time of contact, s.
func (in *swingInput) contactSD(m motion) float64 { return m.contact.sdS }

// touch is when a ball and a barrel, near t, come as close as their radii, and its
// s.d.; ok is false when they pass each other.
func (in *swingInput) touch(ball ballPath, barrel func(float64) [2]float64, t float64) (touchS, sdS float64, ok bool) {
	const h = 0.0005
	reach := in.reachM()
	var off, before, speed float64
	for range 6 {
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

// leave sets the contact of a ball hit off a tee: where its flight begins at the
// barrel. The ball is little faster than the barrel that it leaves, so that the
// time is known worse than a touch.
func (in *swingInput) leave(c *contact, v geom.View, barrel func(float64) [2]float64, after []fit.Sample) {
	out, ok := newHitLine(after, v)
	if !ok {
		return
	}
	t, ok := in.leaves(out, barrel, after[0].TimeS)
	if !ok {
		return
	}
	apart := func(t float64) float64 {
		p, q := out.at(t), barrel(t)
		return math.Hypot(p[0]-q[0], p[1]-q[1])
	}
	const h = 0.0005
	speed := (apart(t+h) - apart(t)) / h
	c.timeS, c.sdS, c.how, c.status, c.confidence = t, math.Min(touchM/math.Max(speed, 0.1), peakSD), "crossing", Measured, 0.7
	c.hit = true
	c.why = "the ball left the tee: contact is where its flight begins at the barrel"
}

// leaves is the time before first at which a ball on its way out was as far from
// the barrel as their radii.
func (in *swingInput) leaves(out hitLine, barrel func(float64) [2]float64, first float64) (float64, bool) {
	const step = 0.0002
	before := math.Inf(1)
	for t := first; t > first-0.03; t -= step {
		p, q := out.at(t), barrel(t)
		d := math.Hypot(p[0]-q[0], p[1]-q[1])
		if d <= in.reachM() {
			return t, true
		}
		if d > before {
			return t, d < 2*in.reachM()
		}
		before = d
	}
	return 0, false
}

// closest finds the time in [a, b] at which two paths are closest.
func closest(p, q func(float64) [2]float64, a, b float64) (t, d float64) {
	dist := func(t float64) float64 {
		u, w := p(t), q(t)
		return math.Hypot(u[0]-w[0], u[1]-w[1])
	}
	const n = 240
	t, d = a, math.Inf(1)
	for i := range n + 1 {
		x := a + (b-a)*float64(i)/n
		if e := dist(x); e < d {
			t, d = x, e
		}
	}
	lo, hi := t-(b-a)/n, t+(b-a)/n
	for range 60 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if dist(m1) < dist(m2) {
			hi = m2
		} else {
			lo = m1
		}
	}
	return (lo + hi) / 2, dist((lo + hi) / 2)
}

// reachM is the distance of centres at which barrel and ball touch.
func (in *swingInput) reachM() float64 { return in.card.BallRadiusM() + in.card.BarrelRadiusM() }

// BallRadiusM is the radius of the card's ball, the middle of the official
// range of circumferences.
// Source: baseball 9–9¼ in, softballs 11⅞–12⅛ in and 10⅞–11⅛ in (Official
// Baseball Rules 3.01, Little League Rule 1.09).
func (c Card) BallRadiusM() float64 {
	inches := 9.125
	switch c.Pitch.Ball {
	case "softball_11":
		inches = 11
	case "softball_12":
		inches = 12
	}
	return inches * 0.0254 / (2 * math.Pi)
}

// BarrelRadiusM is the radius of the card's bat at the barrel.
func (c Card) BarrelRadiusM() float64 {
	if c.Bat.BarrelDiameterM > 0 {
		return c.Bat.BarrelDiameterM / 2
	}
	return 0.033
}

// DirectionDeg is the zone's limit on direction.
func (c Card) DirectionDeg() float64 {
	if c.Tolerances.DirectionDeg > 0 {
		return c.Tolerances.DirectionDeg
	}
	return 10
}

// DistanceM is the zone's limit on distance.
func (c Card) DistanceM() float64 {
	if c.Tolerances.DistanceM > 0 {
		return c.Tolerances.DistanceM
	}
	return c.BallRadiusM() + c.BarrelRadiusM()
}

// SolidM is the largest offset of solid contact.
func (c Card) SolidM() float64 {
	if c.Tolerances.SolidM > 0 {
		return c.Tolerances.SolidM
	}
	return 0.0127
}
