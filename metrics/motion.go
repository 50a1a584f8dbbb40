package metrics

import (
	"math"

	"ashline/metrics/bat"
	"ashline/metrics/contact"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// motion is one swing in the plane of the pitch, around contact.
type motion struct {
	contact contact.Contact
	lifted  bool // depth is known
	// barrel is the motion of the bat's axis at the band, along and across dir,
	// the unit direction of its travel at contact.
	barrel  *fit.Smoothed
	dir     [2]float64
	axisPx  []Sample // the samples, moved to the bat's axis, px
	impactS float64  // the path's impact: where contact was when it was smoothed
	bat     *bat.Bat // nil when not known
	wrong   nuisance // what was taken to be wrong
}

// motionOf puts a swing into the plane of the pitch as n has it wrong: contact from the
// picture, the bat from contact, the motion from the bat. q fixes the smoother's
// intensity; 0 lets it choose. known is a bat that was fitted before, nil without.
func motionOf(p paths, n nuisance, q float64, known *bat.Bat) (motion, bool) {
	v := n.view(p.view)
	seen := p.meeting(v)
	c := contact.Find(seen, func(t float64) [2]float64 {
		s := p.barrelPx.State(t, fit.Before)
		w := v.At(geom.Point{s.Pos[0], s.Pos[1]}, 0)
		return [2]float64{w.X, w.Z}
	})
	var m motion
	// Without a turn the closest approach needs the barrel's true place, and the
	// barrel's place needs the time of contact: two rounds settle it.
	for range 2 {
		known = batAt(p, c, v, known, n)
		var ok bool
		if m, ok = around(p, c, v, n, q, known); !ok {
			return m, false
		}
		if c.How == contact.Turn || c.How == contact.Peak {
			break
		}
		c = contact.Find(seen, func(t float64) [2]float64 {
			at, _ := m.barrel.Mean().At(t)
			return m.back(at)
		})
		m.contact = c
	}
	return m, true
}

// batAt is the fitted bat for a contact; nil where none is known. One fitted before for
// nearly the same contact serves, and so it does for a random motion, which draws from it.
func batAt(p paths, c contact.Contact, v geom.View, known *bat.Bat, n nuisance) *bat.Bat {
	switch {
	case !p.scale.known():
		return nil
	case n.rng != nil, known != nil && math.Abs(known.ContactS()-c.TimeS) <= batSameS:
		return known
	}
	if b, ok := bat.Fit(batSeen(p, c, v)); ok {
		return b
	}
	return nil
}

// batSeen gathers what there is to fit a bat to.
func batSeen(p paths, c contact.Contact, v geom.View) bat.Seen {
	o := bat.Seen{
		Sight:  bat.Sight{RadiusM: p.card.BarrelRadiusM(), WidthM: p.card.BandWidthM(), ExposureS: p.exposureS}.Through(v),
		LeverM: p.card.leverM(), ContactS: c.TimeS, Hit: c.Outcome == contact.Hit, ContactSDM: depthSDM, HandsYM: p.card.handsYM(), Barrel: bands(p.barrel),
	}
	switch {
	case c.Outcome == contact.Check:
		o.ContactSDM = 0 // the barrel stops anywhere
	case !c.Touched():
		o.ContactSDM = peakDepthSDM
	}
	if apart := p.card.Bat.MarksApartM; apart > 0 {
		o.Hands, o.MarkM, o.Marked = bands(p.hands), o.LeverM-apart, p.card.Marks.Hands != nil
	}
	return o
}

// around computes the barrel's places around contact and smooths them.
func around(p paths, c contact.Contact, v geom.View, n nuisance, q float64, known *bat.Bat) (motion, bool) {
	var use []Sample
	for _, s := range p.barrel {
		if s.TimeS > c.TimeS-windowBeforeS && s.TimeS < c.TimeS+windowAfterS {
			use = append(use, s)
		}
	}
	m := motion{contact: c, wrong: n, bat: known, dir: travel(p, v, c.TimeS), impactS: c.TimeS}
	if len(use) < aroundLeast {
		return m, false
	}
	if known != nil && n.rng != nil {
		m.bat = known.Draw(v, bat.Wrong{RadiusShare: n.radius, ApartM: n.apart, ContactYM: n.depth}, n.rng)
	}
	m.lifted = m.bat != nil && v.Lens
	on := placed(m, v, use)
	m.axisPx = on.axisPx
	samples := append(on.inPlane(v), bridged(m, v, use, 1/p.fps, known)...)
	sm := fit.Smoother{Order: aroundOrder, Robust: q == 0, FitNoise: q == 0, Q: q}
	if !c.Unmet() {
		sm.Kinks = []fit.Kink{m.kink()}
	}
	var err error
	if m.barrel, err = sm.Fit(m.turned(samples)); err != nil {
		return m, false
	}
	return m, true
}

// onAxis are samples of the barrel moved to the bat's axis, with their places in space.
type onAxis struct {
	axisPx []Sample
	places []geom.World
}

// placed finds where the bat's axis is at each sample.
func placed(m motion, v geom.View, use []Sample) onAxis {
	out := onAxis{append([]Sample(nil), use...), make([]geom.World, len(use))}
	n := m.wrong
	for i, s := range use {
		if m.bat == nil {
			out.places[i] = v.At(s.px(), 0)
			out.places[i].X += n.face[0] + n.faceV[0]*(s.TimeS-m.contact.TimeS)
			out.places[i].Z += n.face[1] + n.faceV[1]*(s.TimeS-m.contact.TimeS)
			continue
		}
		p, y := m.bat.Axis(s.band())
		out.axisPx[i] = s.widened(m.bat.HiddenVar(s.band()))
		out.axisPx[i].XPx, out.axisPx[i].YPx = p[0], p[1]
		if v.Lens {
			out.places[i] = v.At(p, y)
			continue
		}
		// What is nearer to the camera is seen larger, about the picture's middle.
		at, mid := v.At(p, 0), v.At(geom.Point{v.CX, v.CY}, 0)
		k := 1 - y*n.near
		out.places[i] = geom.World{X: mid.X + k*(at.X-mid.X), Z: mid.Z + k*(at.Z-mid.Z)}
	}
	return out
}

// inPlane are the places in the plane of the pitch with their covariance.
func (o onAxis) inPlane(v geom.View) []fit.Sample {
	out := make([]fit.Sample, len(o.axisPx))
	for i, s := range o.axisPx {
		k := v.MetresPerPixel(s.px()) * (v.DistanceM - o.places[i].Y) / v.DistanceM
		out[i] = fit.Sample{
			TimeS: s.TimeS, Pos: [2]float64{o.places[i].X, o.places[i].Z},
			Cov: [2][2]float64{{k * k * s.VarXX, k * k * s.VarXY}, {k * k * s.VarXY, k * k * s.VarYY}},
		}
	}
	return out
}

// bridged are places of the barrel in frames of a gap in its sightings, where the
// bat as a whole still says where it was, and the fitted one how surely.
func bridged(m motion, v geom.View, use []Sample, frameS float64, fitted *bat.Bat) []fit.Sample {
	if m.bat == nil {
		return nil
	}
	var out []fit.Sample
	for i := 1; i < len(use); i++ {
		a, b := use[i-1].TimeS, use[i].TimeS
		n := int(math.Round((b - a) / frameS))
		for k := 1; k < n; k++ {
			t := a + (b-a)*float64(k)/float64(n)
			w := m.bat.Barrel(t, fit.Before)
			px := v.MetresPerPixel(v.Project(w)) * (v.DistanceM - w.Y) / v.DistanceM
			sd2 := px * px * (fitted.PxVar(t)*sureness*sureness + 1)
			out = append(out, fit.Sample{TimeS: t, Pos: [2]float64{w.X, w.Z}, Cov: [2][2]float64{{sd2, 0}, {0, sd2}}})
		}
	}
	return out
}

// kink is what an impact does to the barrel's motion along and across its travel.
// The bat keeps 1−bat.LossShare of its speed, so that its travel bends with the square
// of that.
func (m motion) kink() fit.Kink {
	k := fit.Kink{TimeS: m.contact.TimeS, SD: []float64{kinkMPS, kinkMPS2, kinkMPS3}, Cross: []float64{crossMPS, crossMPS2, crossMPS3}}
	if m.bat == nil || m.contact.Outcome != contact.Hit {
		return k
	}
	p := m.bat.At(m.contact.TimeS, fit.Before)
	acc, vel := p.Acc(m.bat.LeverM()), p.Vel(m.bat.LeverM())
	bend := m.dir[0]*acc.Z - m.dir[1]*acc.X
	kept := (1 - bat.LossShare) * (1 - bat.LossShare)
	speed := math.Hypot(vel.X, vel.Z)
	k.SD[0] = lossSD * speed
	k.Mean = [2][]float64{{-bat.LossShare * speed}, {0, (kept - 1) * bend}}
	return k
}

// travel is the direction of the band's motion at contact in the plane.
func travel(p paths, v geom.View, tc float64) [2]float64 {
	s := p.barrelPx.State(tc, fit.Before)
	const h = 0.001
	a := v.At(geom.Point{s.Pos[0] - h*s.Vel[0], s.Pos[1] - h*s.Vel[1]}, 0)
	b := v.At(geom.Point{s.Pos[0] + h*s.Vel[0], s.Pos[1] + h*s.Vel[1]}, 0)
	l := math.Hypot(b.X-a.X, b.Z-a.Z)
	if l == 0 {
		return [2]float64{1, 0}
	}
	return [2]float64{(b.X - a.X) / l, (b.Z - a.Z) / l}
}

// turned are samples along and across the direction of travel.
func (m motion) turned(s []fit.Sample) []fit.Sample {
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
func (m motion) back(v [2]float64) [2]float64 {
	return [2]float64{m.dir[0]*v[0] - m.dir[1]*v[1], m.dir[1]*v[0] + m.dir[0]*v[1]}
}

// depthVel is the barrel's speed towards the camera; 0 where it is not known.
func (m motion) depthVel(t float64) float64 {
	if m.bat == nil || !m.lifted {
		return 0
	}
	return m.bat.At(t, fit.Before).Vel(m.bat.LeverM()).Y
}

// wholePath is the bat's axis over the whole swing.
type wholePath struct {
	barrel *fit.Smoothed // x, z
	px     *fit.Smoothed // picture
	axisPx []Sample
}

// wholeOf places all samples of the swing as those around contact were; false where
// they cannot be smoothed.
func wholeOf(p paths, m motion) (wholePath, bool) {
	on := placed(m, p.view, p.barrel)
	sm := fit.Smoother{Order: wholeOrder, Robust: true, FitNoise: true}
	var kinkPx []fit.Kink
	if !m.contact.Unmet() {
		px := kinkMPS / p.view.MetresPerPixel(geom.Point{p.view.CX, p.view.CY})
		sm.Kinks = []fit.Kink{{TimeS: m.contact.TimeS, SD: []float64{kinkMPS, kinkMPS2}}}
		kinkPx = []fit.Kink{{TimeS: m.contact.TimeS, SD: []float64{px, kinkPxRise * px}}}
	}
	barrel, err := sm.Fit(on.inPlane(p.view))
	if err != nil {
		return wholePath{}, false
	}
	return wholePath{barrel, smoothPx(on.axisPx, kinkPx), on.axisPx}, true
}
