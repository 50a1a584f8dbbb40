package metrics

import (
	"math"
	"math/rand/v2"
	"sort"

	"ashline/metrics/fit"
)

// nuisance is what the card or the geometry may have wrong; zero is "as said".
// Intervals come from evaluating the swing under random ones.
type nuisance struct {
	scale    float64 // relative error of lengths
	distance float64 // relative error of the camera's distance
	apart    float64 // m, error of the distance between the bands
	handsVY  float64 // m/s, drift of the hands in depth around contact
	retreat  float64 // added to the hands' retreat from the plate
	depth    float64 // m, depth of the ball's path
	radius   float64 // relative error of the crescent's size
	rollRad  float64
	tiltRad  float64
	descent  float64 // degrees, of a computed flight
	reach    float64 // m, of ball and barrel together where they met
	speed    float64 // relative, of the part of a speed that depth hides
	// Without the bat's direction the middle of what is seen of the band lies
	// off the axis by an unknown vector (m) that turns with the bat (m/s).
	face, faceV [2]float64
}

// drawNuisance is common practice for tape measures, hand-set points and
// levelled phones.
func drawNuisance(rng *rand.Rand, s ScaleUse) nuisance {
	return nuisance{
		scale: rng.NormFloat64() * s.RelSD, distance: rng.NormFloat64() * 0.02, apart: rng.NormFloat64() * 0.006,
		handsVY: rng.NormFloat64() * 1.0, retreat: rng.NormFloat64() * 0.2, depth: rng.NormFloat64() * 0.05, radius: rng.NormFloat64() * 0.08,
		rollRad: rng.NormFloat64() * 0.1 * math.Pi / 180,
		tiltRad: rng.NormFloat64() * 1.2 * math.Pi / 180,
		descent: rng.NormFloat64() * computedSD, reach: rng.NormFloat64() * 0.002, speed: rng.NormFloat64() * 0.03,
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
	depth   *fit.Smoothed // y, nil when not lifted
	axisPx  []Sample      // the samples, moved to the bat's axis, px
	places  []World
	tilt    []float64 // apparent share of the rod's length, by sample; nil when not lifted
	handsY  float64   // depth of the hands, m
	wrong   nuisance  // what was taken to be wrong
	samples []fit.Sample
}

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
	// few tenths across. The path's curvature changes with the square of the speed.
	kinkMPS   = 8.0
	crossMPS  = 0.5
	crossMPS2 = 250.0
)

// move puts the swing into the plane, given what may be wrong. q fixes the
// smoother's intensity; 0 lets it choose.
func (in *swingInput) move(n nuisance, q [2]float64) (motion, bool) {
	v := in.view.Rescaled(1 + n.scale)
	v.RollRad += n.rollRad
	v.TiltRad += n.tiltRad
	if v.Lens {
		v.DistanceM *= 1 + n.distance
		v.FocalPx *= 1 + n.distance
	}
	flat := func(t float64) [2]float64 {
		s := in.barrelPx.State(t, fit.Before)
		w := v.At(Point{s.Pos[0], s.Pos[1]}, 0)
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

// handsKnown reports whether the hands were seen often enough around contact to
// give the bat's direction.
func (in *swingInput) handsKnown(tc float64) bool {
	if in.handsPx == nil {
		return false
	}
	before, after, n := math.Inf(1), math.Inf(1), 0
	for _, s := range in.hands {
		d := s.TimeS - tc
		switch {
		case d <= 0:
			before = math.Min(before, -d)
		default:
			after = math.Min(after, d)
		}
		if math.Abs(d) < 0.04 {
			n++
		}
	}
	return n >= 4 && math.Min(before, after) < 0.015 && math.Max(before, after) < 0.04
}

// rodHands returns the hands' end of the rod: the hands' mark where it is seen
// around contact, else what the band's shape says.
func (in *swingInput) rodHands(tc float64) rodEnd {
	if in.card.Bat.MarksApartM > 0 && in.handsKnown(tc) {
		shape := in.handsByShape()
		return rodEnd{px: in.handsPx, seen: in.hands, apartM: in.card.Bat.MarksApartM, beyond: &shape}
	}
	return in.handsByShape()
}

// handsByShape is the hands' end of the rod from the shape of the barrel's band.
func (in *swingInput) handsByShape() rodEnd {
	if in.shape == nil {
		in.shape = &rodEnd{apartM: in.reach()}
		perM := 1 / in.view.MetresPerPixel(Point{in.view.CX, in.view.CY})
		s := in.handsFromShape(perM, in.exposureS)
		if len(s) >= 8 {
			m := fit.Smoother{Order: 2, Robust: true, FitNoise: true}
			if p, err := m.Fit(fitSamples(s)); err == nil {
				in.shape.px, in.shape.seen = p, s
			}
		}
	}
	return *in.shape
}

// rodEnd is the hands' end of the rod.
type rodEnd struct {
	px     *fit.Smoothed // nil when it is not known
	seen   []Sample
	apartM float64
	// beyond is where the end is when it was not seen; nil for nowhere.
	beyond *rodEnd
}

// at is the end's place in the picture at t, and whether it is known there.
func (e rodEnd) at(t float64) (fit.State, bool) {
	switch {
	case e.knownAt(t):
		return e.px.State(t, fit.Before), true
	case e.beyond != nil && e.beyond.px != nil && e.beyond.knownAt(t):
		return e.beyond.px.State(t, fit.Before), true
	}
	return e.px.State(t, fit.Before), false
}

// knownAt reports whether the end was seen within reachS of t.
func (e rodEnd) knownAt(t float64) bool {
	i := sort.Search(len(e.seen), func(i int) bool { return e.seen[i].TimeS >= t })
	return (i < len(e.seen) && e.seen[i].TimeS-t < endReachS) || (i > 0 && t-e.seen[i-1].TimeS < endReachS)
}

// endReachS is how far the hands' smoothed path may be trusted beyond a sighting.
const endReachS = 0.03

// lift computes the barrel's places and smooths them.
func (in *swingInput) lift(m *motion, v View, n nuisance, q [2]float64) bool {
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
	m.samples = m.planeSamples(v, use)
	deep := make([]fit.Sample, len(use))
	for i, s := range use {
		deep[i] = fit.Sample{TimeS: s.TimeS, Pos: [2]float64{m.places[i].Y, 0}, Cov: [2][2]float64{{m.depthVar(i), 0}, {0, 1}}}
	}
	m.dir = in.travel(v, tc)
	kinks := []fit.Kink{{TimeS: tc, SD: []float64{kinkMPS, 1e4, 1e7}, Cross: []float64{crossMPS, crossMPS2, 1e5}}}
	sm := fit.Smoother{Order: barrelOrder, Robust: q[0] == 0, FitNoise: q[0] == 0, Q: q[0], Kinks: kinks}
	var err error
	if m.barrel, err = sm.Fit(m.turned(m.samples)); err != nil {
		return false
	}
	if m.lifted {
		kinks = []fit.Kink{{TimeS: tc, SD: []float64{kinkMPS, 1e4}}}
		sm = fit.Smoother{Order: 3, Axes: 1, Robust: q[1] == 0, FitNoise: q[1] == 0, Q: q[1], Kinks: kinks}
		if m.depth, err = sm.Fit(deep); err != nil {
			m.depth = nil
		}
	}
	return true
}

// depthVar is the variance of a sample's depth, m²: a length seen wrong by lengthM
// turns into depth by the tangent of the bat's tilt, without bound where the bat
// lies in the plane of the picture.
func (m *motion) depthVar(i int) float64 {
	if m.tilt == nil {
		return 1
	}
	s := math.Min(m.tilt[i], 0.999)
	d := lengthM * s / math.Sqrt(1-s*s)
	return d*d + 1e-5
}

// lengthM is the error of the bat's apparent length, from both bands.
const lengthM = 0.008

// place finds where the bat's axis is at each sample.
func (in *swingInput) place(m *motion, v View, n nuisance, use []Sample) {
	tc := m.contact.timeS
	m.axisPx = append([]Sample(nil), use...)
	m.places = make([]World, len(use))
	hands := in.rodHands(tc)
	m.lifted = v.Lens && hands.px != nil
	if m.lifted {
		in.liftRod(m, v, n, use, hands)
		return
	}
	for i, s := range use {
		m.places[i] = v.At(Point{s.XPx, s.YPx}, 0)
		m.places[i].X += n.face[0] + n.faceV[0]*(s.TimeS-tc)
		m.places[i].Z += n.face[1] + n.faceV[1]*(s.TimeS-tc)
	}
}

// planeSamples are the places in the plane with their covariance.
func (m *motion) planeSamples(v View, use []Sample) []fit.Sample {
	out := make([]fit.Sample, len(use))
	for i, s := range use {
		k := v.MetresPerPixel(Point{s.XPx, s.YPx}) * (v.DistanceM - m.places[i].Y) / v.DistanceM
		out[i] = fit.Sample{
			TimeS: s.TimeS, Pos: [2]float64{m.places[i].X, m.places[i].Z},
			Cov: [2][2]float64{{k * k * s.VarXX, k * k * s.VarXY}, {k * k * s.VarXY, k * k * s.VarYY}},
		}
	}
	return out
}

// travel is the direction of the band's motion at contact in the plane.
func (in *swingInput) travel(v View, tc float64) [2]float64 {
	s := in.barrelPx.State(tc, fit.Before)
	const h = 0.001
	a := v.At(Point{s.Pos[0] - h*s.Vel[0], s.Pos[1] - h*s.Vel[1]}, 0)
	b := v.At(Point{s.Pos[0] + h*s.Vel[0], s.Pos[1] + h*s.Vel[1]}, 0)
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

// liftRod lifts each sample. Every sample has two tilts that look alike, the
// barrel nearer the camera than the hands or farther. Around contact the
// camera's place says which; before and after, the tilt changes over where the
// bat lies in the plane of the picture.
func (in *swingInput) liftRod(m *motion, v View, n nuisance, use []Sample, end rodEnd) {
	hands := end.px
	tc := m.contact.timeS
	r := rod{
		view: v, apartM: end.apartM + n.apart, barrelM: in.card.BarrelRadiusM() * (1 + n.radius),
		handleM: handleRadiusM, nearer: 1, handsVY: n.handsVY, contactY: n.depth, retreat: n.retreat,
	}
	if !in.card.Open() {
		r.nearer = -1
	}
	b, h := in.barrelPx.State(tc, fit.Before), hands.State(tc, fit.Before)
	r.anchor(Point{b.Pos[0], b.Pos[1]}, Point{h.Pos[0], h.Pos[1]})
	m.handsY = r.handsY
	lengths := make([]float64, len(use))
	other := make([]World, len(use))
	lost := make([]bool, len(use))
	split := 0
	for i, s := range use {
		h, known := end.at(s.TimeS)
		lost[i] = !known
		both := r.lift(s.TimeS-tc, Point{s.XPx, s.YPx}, Point{h.Pos[0], h.Pos[1]})
		m.places[i], other[i] = both[1], both[0]
		if r.nearer < 0 {
			m.places[i], other[i] = both[0], both[1]
		}
		lengths[i] = r.apparent(s.TimeS-tc, Point{s.XPx, s.YPx}, Point{h.Pos[0], h.Pos[1]})
		if s.TimeS <= tc {
			split = i
		}
	}
	m.tilt = lengths
	for _, step := range []int{-1, 1} {
		for i := turned(lengths, split, step); i >= 0 && i < len(use); i += step {
			m.places[i] = other[i]
		}
	}
	for i, s := range use {
		if lost[i] {
			// Without a direction the band's middle stands for the axis, somewhere
			// about the hitter, and may be off by the crescent.
			m.places[i] = v.At(Point{s.XPx, s.YPx}, r.handsDepth(s.TimeS-tc))
			off := crescent * r.barrelM / v.MetresPerPixel(Point{s.XPx, s.YPx})
			m.axisPx[i].VarXX += off * off / 2
			m.axisPx[i].VarYY += off * off / 2
			continue
		}
		p := v.Project(m.places[i])
		m.axisPx[i].XPx, m.axisPx[i].YPx = p[0], p[1]
	}
}

// A bat that is swung points at the camera (or away from it) around contact and
// lies in the plane of the picture some time before and some time after. There
// its apparent length is greatest, and beyond it its tilt is the other way.
const (
	flatShare = 0.80 // of the bat's length: less, and it never lay in the plane
	pastFlat  = 0.05 // of the bat's length, shorter again: it has passed
)

// turned walks from sample i in steps of ±1 and returns the index at which the
// apparent length was greatest, or an index outside when it never was.
func turned(lengths []float64, i, step int) int {
	best := i
	for ; i >= 0 && i < len(lengths); i += step {
		if lengths[i] > lengths[best] {
			best = i
		}
		if lengths[best] >= flatShare && lengths[i] < lengths[best]-pastFlat {
			return best
		}
	}
	return i
}

// handleRadiusM is the radius of a handle under its tape; common practice.
const handleRadiusM = 0.0125
