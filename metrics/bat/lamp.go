package bat

import (
	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// lampStep is the step of the lamp's numeric derivatives.
const lampStep = 1e-4

// lampOf is the light that explains best, with the bat as it is, how the barrel's band
// is shaded: one step of least squares from the present one.
func (b *Bat) lampOf(barrel []Sighting) geom.World {
	s := b.sight
	var normal [3][3]float64
	var gradient [3]float64
	for k, v := range [3]float64{s.lamp.X - usualLamp.X, s.lamp.Y - usualLamp.Y, s.lamp.Z - usualLamp.Z} {
		normal[k][k] = 1 / (lampSD * lampSD)
		gradient[k] = v / (lampSD * lampSD)
	}
	for _, x := range barrel {
		if !x.Shape.Skewed {
			continue
		}
		p := b.At(x.TimeS, fit.Before)
		w := p.At(b.leverM)
		_, _, sin := s.facing(w, p.Dir)
		sure := 1 - thinPx/(s.WidthM*s.perM*sin)
		if sure <= 0 {
			continue
		}
		even := s
		even.lamp = geom.World{}
		from := even.middle(w, p.Dir, s.RadiusM)
		shift := func(l geom.World) geom.Point {
			lit := s
			lit.lamp = l
			q := lit.middle(w, p.Dir, s.RadiusM)
			return geom.Point{q[0] - from[0], q[1] - from[1]}
		}
		at := shift(s.lamp)
		var g [3]geom.Point
		for k, l := range [3]geom.World{
			r3.Add(s.lamp, geom.World{X: lampStep}), r3.Add(s.lamp, geom.World{Y: lampStep}), r3.Add(s.lamp, geom.World{Z: lampStep}),
		} {
			q := shift(l)
			g[k] = geom.Point{(q[0] - at[0]) / lampStep, (q[1] - at[1]) / lampStep}
		}
		weight := sure / (shadePx * shadePx)
		for axis, off := range [2]float64{at[0] - x.Shape.LitX, at[1] - x.Shape.LitY} {
			for i := range g {
				gradient[i] += weight * g[i][axis] * off
				for j := range g {
					normal[i][j] += weight * g[i][axis] * g[j][axis]
				}
			}
		}
	}
	step := fit.Solve3(normal, gradient)
	return r3.Sub(s.lamp, geom.World{X: step[0], Y: step[1], Z: step[2]})
}
