package metrics

import (
	"fmt"
	"math"
)

// contact is when and how surely barrel and ball met.
type contact struct {
	timeS      float64
	how        string // turn, approach, crossing, peak
	confidence float64
	status     Status
	why        string
	in, out    ballPath
	hasIn      bool
	hasOut     bool
}

// ballSD is the s.d. of the centre of a seen ball that is added to a sighting's
// own: half a pixel of blur, seams and shading.
const ballSDPx = 0.3

// flight fits the sightings of a ball in the plane of depth y.
func (v View) flight(s []Sample, y float64, loose bool) (ballPath, bool) {
	t := make([]float64, len(s))
	pos := make([][2]float64, len(s))
	sd := make([]float64, len(s))
	for i, x := range s {
		w := v.At(Point{x.XPx, x.YPx}, y)
		t[i], pos[i] = x.TimeS, [2]float64{w.X, w.Z}
		px := math.Sqrt((x.VarXX+x.VarYY)/2 + ballSDPx*ballSDPx)
		sd[i] = px * v.MetresPerPixel(Point{x.XPx, x.YPx})
	}
	return fitBall(t, pos, sd, loose)
}

// turnReachS is how far the ball's turn may be from the barrel's peak speed, s.
const turnReachS = 0.06

// outUse is how many sightings after the turn are used: later ones have had time
// to leave the plane of the pitch.
const outUse = 8

// findContact finds the time of contact from the ball's turn, else from the
// closest approach of barrel (a path in the plane) and ball, else from the
// barrel's peak speed.
func (in *swingInput) findContact(v View, barrel func(t float64) [2]float64) contact {
	c := contact{timeS: in.peakS, how: "peak", confidence: 0.2, status: Assumed, why: "no ball was seen: contact is taken at the barrel's peak speed"}
	if len(in.ball.In) >= 4 {
		c.in, c.hasIn = v.flight(in.ball.In, 0, false)
	}
	if n := len(in.ball.Out); n >= 2 {
		c.out, c.hasOut = v.flight(in.ball.Out[:min(n, outUse)], 0, true)
	}
	if c.hasIn && c.hasOut {
		last, first := in.ball.In[len(in.ball.In)-1].TimeS, in.ball.Out[0].TimeS
		t := turn(c.in, c.out, (last+first)/2)
		step := 1 / in.fps
		if t > last-3*step && t < first+3*step && math.Abs(t-in.peakS) < turnReachS {
			c.timeS, c.how, c.status, c.why = t, "turn", Measured, ""
			c.confidence = math.Max(0.5, 1-0.5*math.Max(0, first-last-2*step)/0.03)
			return c
		}
	}
	if !c.hasIn && c.hasOut && in.card.Kind == "tee" {
		if t, ok := in.leaves(c.out, barrel, in.ball.Out[0].TimeS); ok {
			c.timeS, c.how, c.status, c.confidence = t, "crossing", Measured, 0.7
			c.why = "the ball left the tee: contact is where its flight begins at the barrel"
		}
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
		c.timeS = in.touch(c.in, barrel, t)
	} else {
		c.confidence = 0.4
		c.why = fmt.Sprintf("barrel and ball stay %.0f cm apart: the ball was missed, and contact is their closest approach", 100*d)
	}
	return c
}

// touch is the last time before t at which barrel and ball are as far apart as
// their radii.
func (in *swingInput) touch(ball ballPath, barrel func(float64) [2]float64, t float64) float64 {
	apart := func(t float64) float64 {
		p, _ := ball.At(t)
		q := barrel(t)
		return math.Hypot(p[0]-q[0], p[1]-q[1]) - in.reachM()
	}
	const step = 0.0002
	lo := t
	for lo > t-0.02 && apart(lo) < 0 {
		lo -= step
	}
	hi := lo + step
	for range 40 {
		if mid := (lo + hi) / 2; apart(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// leaves is the time before first at which a ball on its way out was as far from
// the barrel as their radii.
func (in *swingInput) leaves(out ballPath, barrel func(float64) [2]float64, first float64) (float64, bool) {
	const step = 0.0002
	before := math.Inf(1)
	for t := first; t > first-0.03; t -= step {
		p, _ := out.At(t)
		q := barrel(t)
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
