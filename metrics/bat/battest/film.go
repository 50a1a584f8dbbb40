package battest

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/geom"
)

// Swing is a bat in closed form at t, contact at 0: hands on a slow arc, the bat turning
// about a tilted axis, faster until contact and slower after it. Dir has length 1.
func Swing(t float64) (hands, dir geom.World) {
	hands = geom.World{X: -0.25 + 2.5*t, Y: -0.55 - 3*t, Z: 0.1 - 1.5*t}
	turn := 38 * t
	if t < 0 {
		hands.Y = -0.55 + t
		turn = 38 * 0.06 * (math.Exp(t/0.06) - 1)
	}
	phi := 22*math.Pi/180 - turn
	return hands, geom.Unit(geom.World{X: -math.Sin(phi), Y: math.Cos(phi), Z: -0.35 + 0.2*math.Sin(phi)})
}

// The swing's bat: middle of the hands to the barrel's band, radii and width of the
// bands, m.
const (
	LeverM  = 0.6
	RadiusM = 0.033
	HandleM = 0.0125
	WidthM  = 0.05
)

// Light is what a facet sends by its normal, as Lambert's law has it: as much from
// everywhere as a lamp of half a unit would send straight on, and a lamp of its own.
type Light geom.World

// Usual is a light from above and somewhat from the pitcher's side.
var Usual = Light{X: 0.1, Z: 0.6}

// of is the light of a facet, 1 where the lamp does not reach.
func (l Light) of(normal geom.World) float64 {
	return 1 + 2*math.Max(0, r3.Dot(normal, geom.World(l)))
}

// Moments are those of what is seen of a ring on a bat.
type Moments struct {
	Px            geom.Point // mean place of the facets that face the camera
	Light         float64
	SXX, SXY, SYY float64    // covariance of the light, px²
	Third         [4]float64 // its third central moments xxx, xxy, xyy, yyy, px³
	LitX, LitY    float64    // its mean place from Px, px
}

// Band sums up what is seen of a ring of a radius and a width about at. CodingPx2 is
// added to the variances along each axis.
func (l Light) Band(v geom.View, at, dir geom.World, radiusM, widthM, codingPx2 float64) Moments {
	p := geom.Unit(geom.World{X: -dir.Z, Z: dir.X})
	q := r3.Cross(dir, p)
	lens := geom.World{Y: v.DistanceM}
	each := func(f func(face, light float64, px geom.Point)) {
		const around, along = 240, 8
		for i := range around {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / around)
			n := geom.Along(r3.Scale(c, p), s, q)
			for j := range along {
				u := widthM * ((float64(j)+0.5)/along - 0.5)
				pt := geom.Along(geom.Along(at, radiusM, n), u, dir)
				d := r3.Sub(lens, pt)
				if face := r3.Dot(n, geom.Unit(d)) / r3.Dot(d, d); face > 0 {
					f(face, face*l.of(n), v.Project(pt))
				}
			}
		}
	}
	var area, ax, ay, m, x, y, xx, xy, yy float64
	each(func(face, light float64, px geom.Point) {
		area += face
		ax += face * px[0]
		ay += face * px[1]
		m += light
		x += light * px[0]
		y += light * px[1]
		xx += light * px[0] * px[0]
		xy += light * px[0] * px[1]
		yy += light * px[1] * px[1]
	})
	x, y, ax, ay = x/m, y/m, ax/area, ay/area
	var third [4]float64
	each(func(_, light float64, px geom.Point) {
		u, v := px[0]-x, px[1]-y
		for k, p := range [4]float64{u * u * u, u * u * v, u * v * v, v * v * v} {
			third[k] += light * p / m
		}
	})
	return Moments{
		Px: geom.Point{ax, ay}, Light: 1e6 * m, SXX: xx/m - x*x + codingPx2, SXY: xy/m - x*y, SYY: yy/m - y*y + codingPx2,
		Third: third, LitX: x - ax, LitY: y - ay,
	}
}
