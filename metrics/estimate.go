package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/bat"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// nuisance is what the card or the geometry may have wrong; zero is "as said".
// Intervals come from evaluating the swing under random ones.
type nuisance struct {
	scale    float64 // relative error of lengths
	distance float64 // relative error of the camera's distance
	apart    float64 // m, error of the distance between the bands
	depth    float64 // m, depth of the ball's path
	radius   float64 // relative error of the crescent's size
	rollRad  float64
	tiltRad  float64
	yawRad   float64
	descent  float64    // degrees, of a computed flight
	reach    float64    // m, of ball and barrel together where they met
	speed    float64    // relative, of the part of a speed that depth hides
	near     float64    // 1/m, one over the camera's distance where the card has none
	rng      *rand.Rand // of the bat's own uncertainty; nil for none
	// Without the bat's direction the middle of what is seen of the band lies
	// off the axis by an unknown vector (m) that turns with the bat (m/s).
	face, faceV [2]float64
}

// reachSD is what the radii of ball and barrel together may have wrong, m: official
// rules leave a ball's 0.5 mm each way, and a barrel tapers by about a millimetre
// around its widest (common practice).
const reachSD = 0.001

// drawNuisance is how well a coach measures, common practice for tape measures,
// phones that were levelled and set square by eye, and tape on a bat.
func drawNuisance(rng *rand.Rand, s ScaleUse) nuisance {
	const degree = math.Pi / 180
	return nuisance{
		scale: rng.NormFloat64() * s.RelSD, distance: rng.NormFloat64() * 0.03, apart: rng.NormFloat64() * 0.006,
		rng: rng, depth: rng.NormFloat64() * 0.05, radius: rng.NormFloat64() * 0.03,
		rollRad: rng.NormFloat64() * 0.3 * degree,
		tiltRad: rng.NormFloat64() * 0.5 * degree,
		yawRad:  rng.NormFloat64() * 1.0 * degree,
		descent: rng.NormFloat64() * computedSD, reach: rng.NormFloat64() * reachSD, speed: rng.NormFloat64() * 0.02,
		near:  math.Exp(usualSD*rng.NormFloat64()) / usualM,
		face:  [2]float64{rng.NormFloat64() * faceM, rng.NormFloat64() * faceM},
		faceV: [2]float64{rng.NormFloat64() * faceMPS, rng.NormFloat64() * faceMPS},
	}
}

// motion is one swing in the plane of the pitch, around contact.
type motion struct {
	contact contact
	lifted  bool
	// barrel is the motion of the bat's axis at the band, along and across dir,
	// the unit direction of its travel at contact.
	barrel  *fit.Smoothed
	dir     [2]float64
	axisPx  []Sample // the samples, moved to the bat's axis, px
	places  []geom.World
	impactS float64  // the path's impact: where contact was when it was smoothed
	bat     *bat.Bat // nil when not known
	wrong   nuisance // what was taken to be wrong
	samples []fit.Sample
}

// usualSD is how far from usualM a camera may stand whose card does not say: the
// s.d. of the distance's logarithm; common practice.
const usualSD = 0.35

// computedSD is the error of a descent computed from a card, degrees: published
// drag and lift coefficients leave half of it, a guessed spin the rest.
const computedSD = 0.8

// A band at 33 mm from the axis seen nearly end-on is off by up to 26 mm, and the
// bat turns at about 40 rad/s.
const (
	faceM   = 0.015
	faceMPS = 0.7
)

const (
	windowBeforeS = 0.12 // of the motion around contact
	windowAfterS  = 0.12
	barrelOrder   = 4
	// An impact takes 3–5 m/s along the line of centres, which a hitter keeps
	// within a few degrees of the barrel's travel; friction and that angle leave a
	// few tenths across. Of its speed the barrel loses bat.LossShare, give or take lossSD
	// and of the bend of its path twice that; common practice.
	kinkMPS   = 8.0
	lossSD    = 0.04
	crossMPS  = 0.25
	crossMPS2 = 200.0
)

// kink is what an impact does to the barrel's motion along and across its travel.
// The bat keeps 1−bat.LossShare of its speed, so that its travel bends with the square
// of that.
func (m *motion) kink() fit.Kink {
	k := fit.Kink{TimeS: m.contact.timeS, SD: []float64{kinkMPS, 1e4, 1e7}, Cross: []float64{crossMPS, crossMPS2, 1e5}}
	if m.bat == nil || !m.contact.hit {
		return k
	}
	p := m.bat.At(m.contact.timeS, fit.Before)
	acc, vel := p.Acc(m.bat.LeverM()), p.Vel(m.bat.LeverM())
	bend := m.dir[0]*acc.Z - m.dir[1]*acc.X
	kept := (1 - bat.LossShare) * (1 - bat.LossShare)
	speed := math.Hypot(vel.X, vel.Z)
	k.SD[0] = lossSD * speed
	k.Mean = [2][]float64{{-bat.LossShare * speed}, {0, (kept - 1) * bend}}
	return k
}

// move puts the swing into the plane, given what may be wrong. q fixes the
// smoother's intensity; 0 lets it choose.
func (in *swingInput) move(n nuisance, q float64) (motion, bool) {
	v := in.view.Rescaled(1 + n.scale)
	v.RollRad += n.rollRad
	if v.Lens { // a camera from far away shows no more of a small turn than its shift
		v.TiltRad += n.tiltRad
		v.YawRad += n.yawRad
		v.DistanceM *= 1 + n.distance
		v.FocalPx *= 1 + n.distance
	}
	flat := func(t float64) [2]float64 {
		s := in.barrelPx.State(t, fit.Before)
		w := v.At(geom.Point{s.Pos[0], s.Pos[1]}, 0)
		return [2]float64{w.X, w.Z}
	}
	m := motion{contact: in.findContact(v, flat), wrong: n}
	// Without a turn the closest approach needs the barrel's true place, and the
	// barrel's place needs the time of contact: two rounds settle it.
	for range 2 {
		if !in.lift(&m, v, n, q) {
			return m, false
		}
		if m.contact.how != "approach" && m.contact.how != "crossing" {
			break
		}
		again := in.findContact(v, func(t float64) [2]float64 { p, _ := m.barrel.Mean().At(t); return m.back(p) })
		m.contact = again
	}
	return m, true
}

// lift computes the barrel's places and smooths them.
func (in *swingInput) lift(m *motion, v geom.View, n nuisance, q float64) bool {
	tc := m.contact.timeS
	var use []Sample
	for _, s := range in.barrel {
		if s.TimeS > tc-windowBeforeS && s.TimeS < tc+windowAfterS {
			use = append(use, s)
		}
	}
	if len(use) < 6 {
		return false
	}
	in.place(m, v, n, use)
	m.samples = append(m.planeSamples(v), in.bridged(m, v, use)...)
	m.dir, m.impactS = in.travel(v, tc), tc
	kinks := []fit.Kink{m.kink()}
	sm := fit.Smoother{Order: barrelOrder, Robust: q == 0, FitNoise: q == 0, Q: q, Kinks: kinks}
	var err error
	if m.barrel, err = sm.Fit(m.turned(m.samples)); err != nil {
		return false
	}
	return true
}

// bridged are places of the barrel in frames of a gap in its sightings, where the
// bat as a whole still says where it was.
func (in *swingInput) bridged(m *motion, v geom.View, use []Sample) []fit.Sample {
	if m.bat == nil {
		return nil
	}
	var out []fit.Sample
	step := 1 / in.fps
	for i := 1; i < len(use); i++ {
		a, b := use[i-1].TimeS, use[i].TimeS
		n := int(math.Round((b - a) / step))
		for k := 1; k < n; k++ {
			t := a + (b-a)*float64(k)/float64(n)
			w := m.bat.Barrel(t, fit.Before)
			px := v.MetresPerPixel(v.Project(w)) * (v.DistanceM - w.Y) / v.DistanceM
			sd2 := px * px * (in.bat.PxVar(t)*sureness*sureness + 1)
			out = append(out, fit.Sample{TimeS: t, Pos: [2]float64{w.X, w.Z}, Cov: [2][2]float64{{sd2, 0}, {0, sd2}}})
		}
	}
	return out
}

// place finds where the bat's axis is at each sample.
func (in *swingInput) place(m *motion, v geom.View, n nuisance, use []Sample) {
	tc := m.contact.timeS
	m.axisPx = append([]Sample(nil), use...)
	m.places = make([]geom.World, len(use))
	b := in.batAt(m.contact, v, n)
	m.bat, m.lifted = b, b != nil && v.Lens
	for i, s := range use {
		if b == nil {
			m.places[i] = v.At(geom.Point{s.XPx, s.YPx}, 0)
			m.places[i].X += n.face[0] + n.faceV[0]*(s.TimeS-tc)
			m.places[i].Z += n.face[1] + n.faceV[1]*(s.TimeS-tc)
			continue
		}
		p, y := b.Axis(s.band())
		m.axisPx[i] = s.widened(b.HiddenVar(s.band()))
		m.axisPx[i].XPx, m.axisPx[i].YPx = p[0], p[1]
		if v.Lens {
			m.places[i] = v.At(p, y)
			continue
		}
		// What is nearer to the camera is seen larger, about the picture's middle.
		at, mid := v.At(p, 0), v.At(geom.Point{v.CX, v.CY}, 0)
		k := 1 - y*n.near
		m.places[i] = geom.World{X: mid.X + k*(at.X-mid.X), Z: mid.Z + k*(at.Z-mid.Z)}
	}
}

// batAt is the bat's motion when contact is at c, as seen by v, with n wrong; nil
// when it is not known.
func (in *swingInput) batAt(c contact, v geom.View, n nuisance) *bat.Bat {
	if in.scale.Source == "guess" {
		return nil
	}
	if n.rng != nil {
		if in.bat == nil {
			return nil
		}
		return in.bat.Draw(v, bat.Wrong{RadiusShare: n.radius, ApartM: n.apart, ContactYM: n.depth}, n.rng)
	}
	if in.bat == nil || math.Abs(in.bat.ContactS()-c.timeS) > batSameS {
		in.bat, _ = bat.Fit(in.batSeen(c, v))
	}
	return in.bat
}

// batSameS is how far contact may move without the bat being fitted again.
const batSameS = 0.0005

// batSeen gathers what there is to fit a bat to.
func (in *swingInput) batSeen(c contact, v geom.View) bat.Seen {
	o := bat.Seen{
		Sight:  bat.Sight{RadiusM: in.card.BarrelRadiusM(), WidthM: bandWidthM, ExposureS: in.exposureS},
		LeverM: in.lever(), ContactS: c.timeS, Hit: c.hit, ContactSDM: depthSD, HandsYM: -usualHandsY, Barrel: bands(in.barrel),
	}
	if c.how == "peak" {
		o.ContactSDM = 5 * depthSD
	}
	if !in.card.Open() {
		o.HandsYM = usualHandsY
	}
	if w := in.card.Marks.Barrel; w != nil && w.WidthM > 0 {
		o.Sight.WidthM = w.WidthM
	}
	o.Sight = o.Sight.Through(v)
	if apart := in.card.Bat.MarksApartM; apart > 0 {
		o.Hands, o.MarkM, o.Marked = bands(in.hands), o.LeverM-apart, in.card.Marks.Hands != nil
	}
	return o
}

// Common practice: a band is two inches of tape, and a hitter's hands are about half
// a metre from the plate's middle at contact. depthSD is tighter than the hand's
// breadth within which a ball that is hit passes it: the band's size and shape,
// which also say how deep the bat is, err together over all frames, and would win.
// Its honest error enters through the draws.
const (
	bandWidthM  = 0.05
	depthSD     = 0.03
	usualHandsY = 0.5
	gripM       = 0.12 // from the knob's end to the middle of the hands
)

// lever is the distance from the middle of the hands to the barrel's band, m.
func (in *swingInput) lever() float64 {
	length, fromEnd := in.card.Bat.LengthM, 0.0
	if length == 0 {
		length = 0.838
	}
	if in.card.Marks.Barrel != nil {
		fromEnd = in.card.Marks.Barrel.FromEndM
	}
	if fromEnd == 0 {
		fromEnd = 0.10
	}
	return length - fromEnd - gripM
}

// planeSamples are the places in the plane with their covariance.
func (m *motion) planeSamples(v geom.View) []fit.Sample {
	out := make([]fit.Sample, len(m.axisPx))
	for i, s := range m.axisPx {
		k := v.MetresPerPixel(geom.Point{s.XPx, s.YPx}) * (v.DistanceM - m.places[i].Y) / v.DistanceM
		out[i] = fit.Sample{
			TimeS: s.TimeS, Pos: [2]float64{m.places[i].X, m.places[i].Z},
			Cov: [2][2]float64{{k * k * s.VarXX, k * k * s.VarXY}, {k * k * s.VarXY, k * k * s.VarYY}},
		}
	}
	return out
}

// travel is the direction of the band's motion at contact in the plane.
func (in *swingInput) travel(v geom.View, tc float64) [2]float64 {
	s := in.barrelPx.State(tc, fit.Before)
	const h = 0.001
	a := v.At(geom.Point{s.Pos[0] - h*s.Vel[0], s.Pos[1] - h*s.Vel[1]}, 0)
	b := v.At(geom.Point{s.Pos[0] + h*s.Vel[0], s.Pos[1] + h*s.Vel[1]}, 0)
	l := math.Hypot(b.X-a.X, b.Z-a.Z)
	if l == 0 {
		return [2]float64{1, 0}
	}
	return [2]float64{(b.X - a.X) / l, (b.Z - a.Z) / l}
}

// turned returns samples along and across the direction of travel.
func (m *motion) turned(s []fit.Sample) []fit.Sample {
	c, n := m.dir[0], m.dir[1]
	out := append([]fit.Sample(nil), s...)
	for i, x := range s {
		out[i].Pos = [2]float64{c*x.Pos[0] + n*x.Pos[1], c*x.Pos[1] - n*x.Pos[0]}
		xx, xy, yy := x.Cov[0][0], x.Cov[0][1], x.Cov[1][1]
		cross := c*c*xy - n*n*xy + c*n*(yy-xx)
		out[i].Cov = [2][2]float64{{c*c*xx + 2*c*n*xy + n*n*yy, cross}, {cross, n*n*xx - 2*c*n*xy + c*c*yy}}
	}
	return out
}

// back turns a vector along and across the direction of travel to x and z.
func (m *motion) back(v [2]float64) [2]float64 {
	return [2]float64{m.dir[0]*v[0] - m.dir[1]*v[1], m.dir[1]*v[0] + m.dir[0]*v[1]}
}
