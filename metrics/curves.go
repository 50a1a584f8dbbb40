package metrics

import (
	"math"

	"ashline/metrics/bat"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// Curves are the curves of one swing. Places are px of the steadied picture.
type Curves struct {
	Span     Span
	ContactS float64 // clip's clock
	Known    bool    // false when the swing could not be put into the plane
	View     geom.View
	// Barrel is the path of the bat's axis at the band, at any time of the span.
	Barrel func(t float64) geom.Point
	// Line is the pitch line at contact: two points, 1 m before and after it, and
	// the half-width of the zone in px; Tracked says there is one.
	Line     [2]geom.Point
	LinePx   float64
	Tracked  bool
	FirstS   float64 // of the drawn path
	LastS    float64
	limbs    map[string]limb
	samples  []Sample
	lifted   bool
	path     func(t float64) geom.Point // smoothed in the picture alone
	variance func(t float64) float64    // of path, px², the larger axis
	bat      *bat.Bat                   // nil when not known
	stray    map[int]bool               // frames in which the hands' mark is another thing
	// plane samples the swing in the plane of the pitch, planeAt is the barrel in it,
	// from contact; nil where it is not known.
	plane   func() PlanePath
	planeAt func(t float64) (pos, vel [2]float64)
}

// curvesOf are the curves of a measured swing.
func curvesOf(p paths, m motion, whole wholePath, sp Span) Curves {
	cur := Curves{Span: sp, View: p.view, Known: whole.px != nil, ContactS: m.contact.TimeS}
	cur.FirstS, cur.LastS = whole.barrel.Span()
	cur.samples, cur.lifted, cur.limbs, cur.bat = whole.axisPx, m.lifted, p.limbs, m.bat
	if m.bat != nil {
		cur.stray = m.bat.Stray()
	}
	cur.path = func(t float64) geom.Point {
		side := fit.Before
		if t > m.contact.TimeS {
			side = fit.After
		}
		s := whole.px.State(t, side)
		return geom.Point{s.Pos[0], s.Pos[1]}
	}
	cur.Barrel = func(t float64) geom.Point {
		if m.bat != nil {
			if p, ok := m.bat.OnAxis(t); ok {
				return p
			}
		}
		return cur.path(t)
	}
	cur.variance = func(t float64) float64 {
		c := whole.px.State(t, fit.Before).Cov
		return math.Max(c[0][0], c[1][1])
	}
	at, _ := m.barrel.Mean().At(m.contact.TimeS)
	if pl := lineAt(p.setting, m, m.contact.Pitch, m.back(at)); pl.ok {
		u := pl.line.Against()
		for i, k := range []float64{1, -1} {
			cur.Line[i] = p.view.Project(geom.World{X: pl.line.PointM[0] + k*u[0], Z: pl.line.PointM[1] + k*u[1]})
		}
		at := p.view.Project(geom.World{X: pl.line.PointM[0], Z: pl.line.PointM[1]})
		cur.LinePx = p.card.DistanceM() / p.view.MetresPerPixel(at)
		cur.Tracked = true
	}
	return cur
}

// Joint is where a joint of JointNames or PoseNames, or ShoulderEnd, is at t, px of
// the steadied picture; false where it was hidden.
func (c Curves) Joint(name string, t float64) (geom.Point, bool) {
	l, ok := c.limbs[name]
	if !ok && name == ShoulderEnd {
		l, ok = c.limbs[leadShoulder]
	}
	if !ok || !l.known(t) {
		return geom.Point{}, false
	}
	p, _, _ := l.smooth.Mean().Side(t, fit.Before)
	return geom.Point{p[0], p[1]}, true
}

// place is the barrel in frame f, at time t or that of its sighting, if any.
func (c Curves) place(f int, t float64, seen Sample, sighted bool) (Sample, bool) {
	s := Sample{Frame: f, TimeS: t, How: Filled}
	if sighted {
		s = seen
	}
	var p geom.Point
	var v float64
	ok := c.bat != nil
	if ok {
		p, ok = c.bat.OnAxis(s.TimeS)
	}
	switch {
	case ok:
		v = sureness * sureness * c.bat.PxVar(s.TimeS)
		if !sighted {
			break
		}
		// Bat and sighting contradict each other: either may be right.
		off2 := (seen.XPx-p[0])*(seen.XPx-p[0]) + (seen.YPx-p[1])*(seen.YPx-p[1])
		switch {
		case c.bat.HiddenVar(seen.band()) > hiddenPx*hiddenPx:
			s.How = Filled
		case off2 > contradictSD*contradictSD*(v+(seen.VarXX+seen.VarYY)/2):
			s.How = Filled
			v += off2 / 2
		}
	case sighted:
		return s, true
	case t <= c.FirstS || t >= c.LastS:
		return s, false
	default:
		p, v = c.path(t), c.variance(t)
	}
	s.XPx, s.YPx, s.VarXX, s.VarXY, s.VarYY = p[0], p[1], v, 0, v
	return s, s.How == Seen || v <= fillSDPx*fillSDPx
}
