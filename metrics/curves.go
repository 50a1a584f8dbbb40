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
