package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/bat"
	"ashline/metrics/catalogue"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// course is the swing as a whole in the plane of the pitch: place, m, and velocity
// of barrel and hands on the clip's clock.
type course struct {
	barrel func(t float64) (pos, vel [2]float64)
	// hands is where they are, shown where the picture shows them at the scale of
	// the plane of the pitch; both nil without.
	hands, shown func(t float64) (pos, vel [2]float64)
	tc           float64
	from, to     float64
	scaled       bool
	behind       [2]float64 // unit direction from which the pitch comes to which it goes
	// stretch multiplies lengths, threshold is the share of the peak speed at
	// which a swing starts and ends, markX (m/s) tilts hands against barrel.
	stretch   float64
	threshold float64
	markX     float64
}

const (
	courseStepS = 0.0005
	turnS       = 0.005 // that a motion is followed beyond its farthest to be known to have turned
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

// oneOf is the expected motion, or with rng a random one; nil of nil.
func oneOf(m *fit.Smoothed, rng *rand.Rand) *fit.Path {
	switch {
	case m == nil:
		return nil
	case rng == nil:
		return m.Mean()
	}
	return m.Draw(rng)
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

const (
	// launchShare of the peak before contact is where a swing starts and ends,
	// thresholdSD the error of its logarithm that smoothing leaves.
	launchShare = 0.10
	thresholdSD = 0.02
	// hiddenHandsSD is how far off the hands are, m, when their mark is never seen and
	// they follow from the barrel's band alone: from scenes of known truth.
	hiddenHandsSD = 0.035
)

// astray is a slow error: independent at a swing's start, its middle and contact, a
// parabola between them.
type astray struct {
	tc float64
	e  [3][2]float64
}

func newAstray(sdM, tc float64, rng *rand.Rand) astray {
	a := astray{tc: tc}
	for i := range a.e {
		a.e[i] = [2]float64{sdM * rng.NormFloat64(), sdM * rng.NormFloat64()}
	}
	return a
}

// at is the error and its rate at t.
func (a astray) at(t float64) (pos, vel [2]float64) {
	u, rate := 1+2*(t-a.tc)/usualSwingS, 2/usualSwingS // −1 start, 0 middle, 1 contact
	if u < -1 || u > 1 {
		u, rate = math.Max(-1, math.Min(1, u)), 0
	}
	w := [3]float64{u * (u - 1) / 2, 1 - u*u, u * (u + 1) / 2}
	d := [3]float64{rate * (u - 0.5), -2 * rate * u, rate * (u + 0.5)}
	for k := range pos {
		for i := range a.e {
			pos[k] += w[i] * a.e[i][k]
			vel[k] += d[i] * a.e[i][k]
		}
	}
	return pos, vel
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

// fill computes the key positions and what hangs on them.
func (c course) fill(f *figures, b body, bandM float64) {
	peak := 0.0
	speed := func(t float64) float64 {
		_, v := c.barrel(t)
		return math.Hypot(v[0], v[1])
	}
	for t := c.tc; t >= c.from; t -= courseStepS {
		peak = math.Max(peak, speed(t))
	}
	launch := math.NaN()
	for t := c.tc; t >= c.from; t -= courseStepS {
		if speed(t) < c.threshold*peak {
			launch = t
			break
		}
	}
	f.keyS[catalogue.Launch] = launch - c.tc
	c.finish(f, b, speed, peak)
	c.lag(f, launch)
	if c.hands != nil && c.scaled && !math.IsNaN(launch) {
		c.handsPath(f, launch)
	}
	c.fillBody(f, b, launch, c.tc+f.keyS[catalogue.Lag], bandM)
	f.metric[catalogue.TempoLaunchContactS] = -f.keyS[catalogue.Launch]
	f.metric[catalogue.TempoLaunchLagS] = f.keyS[catalogue.Lag] - f.keyS[catalogue.Launch]
	f.metric[catalogue.TempoLagContactS] = -f.keyS[catalogue.Lag]
}

// lag is when the barrel is farthest behind the hands.
func (c course) lag(f *figures, launch float64) {
	if c.hands == nil {
		return
	}
	if math.IsNaN(launch) {
		launch = math.Max(c.from, c.tc-0.25)
	}
	behind := math.Inf(-1)
	for t := launch; t <= c.tc; t += courseStepS {
		h, _ := c.hands(t)
		b, _ := c.barrel(t)
		if d := (b[0]-h[0])*c.behind[0] + (b[1]-h[1])*c.behind[1] + 10*c.markX*(t-c.tc); d > behind {
			behind = d
			f.keyS[catalogue.Lag] = t - c.tc
		}
	}
}

// finish is about the barrel after contact until it is slow. What is still on its
// way where the last is seen of it is not known.
func (c course) finish(f *figures, b body, speed func(float64) float64, peak float64) {
	at0, _ := c.barrel(c.tc)
	high, far := at0[1], at0[0]
	highT, farT := c.tc, c.tc
	t := c.tc + courseStepS
	for ; t <= c.to && speed(t) >= c.threshold*peak; t += courseStepS {
		p, _ := c.barrel(t)
		if p[1] > high {
			high, highT = p[1], t
		}
		if p[0] > far {
			far, farT = p[0], t
		}
	}
	turned := func(at float64) bool { return t <= c.to || at < c.to-turnS }
	if highT > c.tc && turned(highT) {
		f.keyS[catalogue.Finish] = highT - c.tc
		if c.scaled {
			f.metric[catalogue.FinishHeightM] = c.stretch * (high - at0[1])
			f.metric[catalogue.FinishAboveShoulderM] = c.stretch * (high - b.at(b.end(), highT)[1])
		}
	}
	if c.scaled && turned(farT) {
		f.metric[catalogue.FinishExtensionM], f.metric[catalogue.FinishExtensionS] = c.stretch*(far-at0[0]), farT-c.tc
	}
}

// handsPath measures the hands' path from launch to contact as the picture shows
// it, at the scale of the plane of the pitch.
func (c course) handsPath(f *figures, launch float64) {
	first, _ := c.shown(launch)
	prev, arc, most := first, 0.0, 0.0
	for t := launch; t <= c.tc; t += courseStepS {
		p, _ := c.shown(t)
		_, v := c.hands(t)
		arc += math.Hypot(p[0]-prev[0], p[1]-prev[1])
		prev = p
		most = math.Max(most, math.Hypot(v[0], v[1]))
	}
	f.metric[catalogue.BodyHandsPathM], f.metric[catalogue.SpeedHandsPeakMPS] = c.stretch*arc, c.stretch*most
	if arc > 0 {
		f.metric[catalogue.BodyHandsStraightness] = math.Hypot(prev[0]-first[0], prev[1]-first[1]) / arc
	}
}
