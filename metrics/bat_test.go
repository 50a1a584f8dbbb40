package metrics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/geom"
)

// swung is a bat in closed form: hands on a slow arc, the bat turning about a
// tilted axis, faster until contact at 0 and slower after it.
func swung(t float64) (hands, dir geom.World) {
	hands = geom.World{X: -0.25 + 2.5*t, Y: -0.55 - 3*t, Z: 0.1 - 1.5*t}
	turn := 38 * t
	if t < 0 {
		hands.Y = -0.55 + t
		turn = 38 * 0.06 * (math.Exp(t/0.06) - 1)
	}
	phi := 22*math.Pi/180 - turn
	return hands, geom.Unit(geom.World{X: -math.Sin(phi), Y: math.Cos(phi), Z: -0.35 + 0.2*math.Sin(phi)})
}

const testApart, testRadius, testWidth = 0.6, 0.033, 0.05

// testLamp is a light from above and somewhat from the pitcher's side.
var testLamp = geom.World{X: 0.1, Z: 0.6}

// facets is what a camera sees of a ring on the bat, computed by summing small
// facets that face the camera: the mean of their places in the picture, and their
// light and its covariance, px.
func facets(v geom.View, at, dir, lamp geom.World, radius, width float64) Sample {
	p := geom.Unit(geom.World{X: -dir.Z, Z: dir.X})
	q := r3.Cross(dir, p)
	each := func(f func(face, light float64, px geom.Point)) {
		const around, along = 240, 8
		for i := range around {
			th := 2 * math.Pi * (float64(i) + 0.5) / around
			c, s := math.Cos(th), math.Sin(th)
			n := geom.Along(r3.Scale(c, p), s, q)
			for j := range along {
				u := width * ((float64(j)+0.5)/along - 0.5)
				pt := geom.Along(geom.Along(at, radius, n), u, dir)
				l := v.LensAt()
				d := r3.Sub(l, pt)
				if face := r3.Dot(n, geom.Unit(d)) / r3.Dot(d, d); face > 0 {
					f(face, face*(ambient+math.Max(0, r3.Dot(n, lamp)))/ambient, v.Project(pt))
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
	return Sample{XPx: ax, YPx: ay, VarXX: 0.09, VarYY: 0.09, How: Seen, Shape: Shape{
		Mass: 1e6 * m, SXX: xx/m - x*x + chromaVar, SXY: xy/m - x*y, SYY: yy/m - y*y + chromaVar,
		Third: third, LitX: x - ax, LitY: y - ay, Skewed: true,
	}}
}

func filmed(v geom.View, withHands bool) batSeen {
	o := batSeen{
		sight:  sight{radiusM: testRadius, handleM: handleRadiusM, widthM: testWidth, lamp: usualLamp}.through(v),
		leverM: testApart, contactSD: depthSD, handsY: -usualHandsY,
	}
	h, d := swung(0)
	o.contactY = pose{Hands: h, Dir: d}.Barrel(testApart).Y
	for i := -36; i <= 24; i++ {
		t := float64(i) / 240
		h, d := swung(t)
		s := facets(v, pose{Hands: h, Dir: d}.Barrel(testApart), d, testLamp, testRadius, testWidth)
		s.Frame, s.TimeS = i, t
		o.barrel = append(o.barrel, s)
		if withHands {
			s := facets(v, h, d, testLamp, handleRadiusM, testWidth)
			s.Frame, s.TimeS = i, t
			o.hands = append(o.hands, s)
		}
	}
	return o
}

// A bat is found again from what a camera sees of it, with and without a mark on
// the hands, and with a stretch of frames missing.
func TestBatIsFoundAgain(t *testing.T) {
	t.Parallel()
	view := geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true, TiltRad: -0.03}
	// A shift of 0.4 px is 1.5 mm; depth is known through perspective alone.
	const axisPx, depthM, gapPx = 0.4, 0.12, 2.0
	for _, c := range []struct {
		name  string
		hands bool
		gap   bool
		flat  bool // how the band bulges was not seen
		other bool // the hands' mark is hidden, and a while a still thing looks like it
	}{
		{name: "both marks", hands: true},
		{name: "the barrel's band alone"},
		{name: "ten frames hidden", hands: true, gap: true},
		{name: "no bulge seen", hands: true, flat: true},
		{name: "another thing of the hands' hue", hands: true, other: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			o := filmed(view, c.hands)
			if c.flat {
				for i := range o.barrel {
					// Only the hue was followed.
					o.barrel[i].Shape.Skewed, o.barrel[i].Shape.LitX, o.barrel[i].Shape.LitY = false, 0, 0
				}
			}
			if c.other {
				o.hands = o.hands[4:18]
				for i := range o.hands {
					o.hands[i].XPx, o.hands[i].YPx = 700, 300
				}
			}
			all := o.barrel
			if c.gap {
				o.barrel = append(append([]Sample(nil), all[:16]...), all[26:]...)
			}
			b, ok := fitBat(o)
			if !ok {
				t.Fatal("no bat")
			}
			for _, s := range all {
				h, d := swung(s.TimeS)
				want := pose{Hands: h, Dir: d}.Barrel(testApart)
				px := view.Project(want)
				got, y := b.axis(s)
				if e := math.Hypot(got[0]-px[0], got[1]-px[1]); e > axisPx {
					t.Errorf("%+.0f ms: axis %.2f px off", 1000*s.TimeS, e)
				}
				if math.Abs(y-want.Y) > depthM {
					t.Errorf("%+.0f ms: depth %.3f, want %.3f", 1000*s.TimeS, y, want.Y)
				}
				place, variance, _ := b.place(s.TimeS)
				if e := math.Hypot(place[0]-px[0], place[1]-px[1]); e > gapPx {
					t.Errorf("%+.0f ms: path %.2f px off, s.d. %.2f", 1000*s.TimeS, e, math.Sqrt(variance))
				}
			}
		})
	}
}

// How a band is shaded tells where light comes from and how strong it is.
func TestLampIsFound(t *testing.T) {
	t.Parallel()
	const tolerance = 0.15 // of each part: a shift of a tenth of the bat's radius
	b, ok := fitBat(filmed(geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true}, true))
	if !ok {
		t.Fatal("no bat")
	}
	l := b.sight.lamp
	if off := r3.Sub(l, testLamp); max(math.Abs(off.X), math.Abs(off.Y), math.Abs(off.Z)) > tolerance {
		t.Errorf("lamp %.2f, want %.2f", l, testLamp)
	}
}

func TestBatNeedsSightings(t *testing.T) {
	t.Parallel()
	o := filmed(geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true}, true)
	o.barrel = o.barrel[:5]
	if _, ok := fitBat(o); ok {
		t.Error("a bat from five sightings")
	}
}

// The moments of a band's look are those of its facets, from a camera so far away
// that perspective vanishes.
func TestLookIsThatOfFacets(t *testing.T) {
	t.Parallel()
	const relative = 0.03 // of the largest of each kind: facets and what is left of perspective
	view := geom.View{FocalPx: 30000, CX: 639.5, CY: 359.5, DistanceM: 100, Sign: 1, Lens: true}
	s := sight{radiusM: testRadius, handleM: handleRadiusM, widthM: testWidth, lamp: testLamp}.through(view)
	px := testRadius * s.perM
	for _, dir := range []geom.World{{X: 1, Y: 0.2, Z: 0.1}, {X: 0.3, Y: 0.9, Z: -0.4}, {X: -0.5, Y: -0.8, Z: 0.6}, {X: 0.2, Y: -0.3, Z: -1}} {
		dir = geom.Unit(dir)
		p := pose{Hands: geom.World{X: 0.1, Z: 0.2}, Dir: dir}
		seen := facets(view, p.Barrel(testApart), dir, testLamp, testRadius, testWidth)
		l := s.look(p, testApart)
		for k, want := range seen.Shape.Third {
			if got := l.third[k]; math.Abs(got-want) > relative*bulgeAcross*px*px*px {
				t.Errorf("%v: third moment %d is %.2f, facets %.2f px³", dir, k, got, want)
			}
		}
		for k, w := range [3][2]float64{{l.xx, seen.Shape.SXX}, {l.xy, seen.Shape.SXY}, {l.yy, seen.Shape.SYY}} {
			if math.Abs(w[0]-w[1]) > relative*px*px/3 {
				t.Errorf("%v: second moment %d is %.2f, facets %.2f px²", dir, k, w[0], w[1])
			}
		}
	}
}
