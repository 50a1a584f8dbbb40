package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/bat"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// courseOf is the whole swing: that of the bat, or where none is known that of the
// smoothed barrel and hands. With rng it is a random one of those that m, a random
// motion too, allows.
//
// Not lifted, what the plane of the pitch gets wrong far from contact, where depth
// is a matter of anatomy, is one random stretch of everything.
func courseOf(p paths, m motion, whole wholePath, rng *rand.Rand) course {
	var c course
	if m.bat != nil {
		c = batCourse(m.bat, p.view.Rescaled(1+m.wrong.scale), m.wrong.near)
	} else {
		c = planeCourse(oneOf(whole.barrel, rng), oneOf(p.handsPx, rng), p.view, m.contact.TimeS)
	}
	switch {
	case rng == nil:
	case m.lifted:
		c.stretch = 1 + farSD*rng.NormFloat64()
	default:
		c.stretch = 1 + m.wrong.scale + farFlatSD*rng.NormFloat64()
		c.markX = markTiltMPS * rng.NormFloat64()
	}
	c.from, c.to = whole.barrel.Span()
	c.tc, c.scaled = m.contact.TimeS, p.scale.known()
	if at := lostAt(p.barrel, c.tc); at < c.to {
		c.to, c.lost = at, true
	}
	c.behind = [2]float64{-1, 0}
	if pl := lineAt(p.setting, m, m.contact.Pitch, [2]float64{}); pl.ok {
		u := pl.line.Against()
		c.behind = [2]float64{-u[0], -u[1]}
	}
	if rng == nil {
		return c
	}
	c.threshold *= math.Exp(thresholdSD * rng.NormFloat64())
	if hidden := handsHidden(p.sighted, c.tc); c.hands != nil && hidden > 0 {
		c.handsAstray(hidden*hiddenHandsSD, rng)
	}
	return c
}

// lostAt is when a mark is first lost for long after a time; infinite when it is not.
func lostAt(s []Sample, afterS float64) float64 {
	for i := 1; i < len(s); i++ {
		if s[i].TimeS > afterS && s[i].TimeS-s[i-1].TimeS > lostS {
			return math.Max(afterS, s[i-1].TimeS)
		}
	}
	return math.Inf(1)
}

// course is the swing as a whole in the plane of the pitch: place, m, and velocity
// of barrel and hands on the clip's clock.
type course struct {
	barrel func(t float64) (pos, vel [2]float64)
	// hands is where they are, shown where the picture shows them at the scale of
	// the plane of the pitch; both nil without.
	hands, shown func(t float64) (pos, vel [2]float64)
	tc           float64
	from, to     float64
	lost         bool // at to, and seen again later
	scaled       bool
	behind       [2]float64 // unit direction from which the pitch comes to which it goes
	// stretch multiplies lengths, threshold is the share of the peak speed at
	// which a swing starts and ends, markX (m/s) tilts hands against barrel.
	stretch   float64
	threshold float64
	markX     float64
}

// batCourse is the course of a fitted bat seen by v. near is what one over the
// camera's distance may be where the card does not say it, 1/m.
func batCourse(b *bat.Bat, v geom.View, near float64) course {
	c := course{stretch: 1, threshold: launchShare}
	if v.Lens {
		near = 0
	}
	mid := v.At(geom.Point{v.CX, v.CY}, 0)
	// at is the place and motion of the bat's axis leverM from the hands.
	at := func(t, leverM float64) (w, u geom.World) {
		side := fit.Before
		if t > b.ContactS() {
			side = fit.After
		}
		p := b.At(t, side)
		return p.At(leverM), p.Vel(leverM)
	}
	plane := func(w, u geom.World) (pos, vel [2]float64) {
		k := 1 - w.Y*near
		x, z := w.X-mid.X, w.Z-mid.Z
		return [2]float64{mid.X + k*x, mid.Z + k*z}, [2]float64{k*u.X - u.Y*near*x, k*u.Z - u.Y*near*z}
	}
	c.barrel = func(t float64) (pos, vel [2]float64) { return plane(at(t, b.LeverM())) }
	markM, marked := b.MarkM()
	if !marked {
		return c
	}
	c.hands = func(t float64) (pos, vel [2]float64) { return plane(at(t, markM)) }
	c.shown = func(t float64) (pos, vel [2]float64) {
		const h = 1e-4
		w, u := at(t, markM)
		p, q := v.At(b.Eye().Project(w), 0), v.At(b.Eye().Project(geom.Along(w, h, u)), 0)
		return [2]float64{p.X, p.Z}, [2]float64{(q.X - p.X) / h, (q.Z - p.Z) / h}
	}
	return c
}

// planeCourse is the course of a barrel's path in the plane and of hands in the
// picture, where no bat and so no depth is known.
func planeCourse(barrel, hands *fit.Path, v geom.View, tc float64) course {
	c := course{stretch: 1, threshold: launchShare}
	c.barrel = func(t float64) (pos, vel [2]float64) {
		side := fit.Before
		if t > tc {
			side = fit.After
		}
		pos, vel, _ = barrel.Side(t, side)
		return pos, vel
	}
	if hands == nil {
		return c
	}
	c.hands = func(t float64) (pos, vel [2]float64) {
		const h = 1e-4
		px, u, _ := hands.Side(t, fit.Before)
		w, q := v.At(geom.Point{px[0], px[1]}, 0), v.At(geom.Point{px[0] + h*u[0], px[1] + h*u[1]}, 0)
		return [2]float64{w.X, w.Z}, [2]float64{(q.X - w.X) / h, (q.Z - w.Z) / h}
	}
	c.shown = c.hands
	return c
}

// handsAstray moves the hands by a random slow error of sdM.
func (c *course) handsAstray(sdM float64, rng *rand.Rand) {
	a := newAstray(sdM, c.tc, rng)
	moved := func(at func(t float64) (pos, vel [2]float64)) func(t float64) (pos, vel [2]float64) {
		return func(t float64) (pos, vel [2]float64) {
			pos, vel = at(t)
			e, v := a.at(t)
			return [2]float64{pos[0] + e[0], pos[1] + e[1]}, [2]float64{vel[0] + v[0], vel[1] + v[1]}
		}
	}
	c.hands, c.shown = moved(c.hands), moved(c.shown)
}
