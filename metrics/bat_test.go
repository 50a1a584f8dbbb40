package metrics

import (
	"math"
	"testing"
)

// swung is a bat in closed form: hands on a slow arc, the bat turning about a
// tilted axis, faster until contact at 0 and slower after it.
func swung(t float64) (hands, dir World) {
	hands = World{X: -0.25 + 2.5*t, Y: -0.55 - 3*t, Z: 0.1 - 1.5*t}
	turn := 38 * t
	if t < 0 {
		hands.Y = -0.55 + t
		turn = 38 * 0.06 * (math.Exp(t/0.06) - 1)
	}
	phi := 22*math.Pi/180 - turn
	return hands, unit(World{-math.Sin(phi), math.Cos(phi), -0.35 + 0.2*math.Sin(phi)})
}

const testApart, testRadius, testWidth = 0.6, 0.033, 0.05

// facets is what a camera sees of a ring on the bat, computed by summing small
// facets that face the camera: the mean of their places in the picture, their
// area and their covariance, px.
func facets(v View, at, dir World, radius, width float64) Sample {
	p := unit(World{-dir.Z, 0, dir.X})
	q := cross(dir, p)
	var m, x, y, xx, xy, yy float64
	const around, along = 240, 8
	for i := range around {
		th := 2 * math.Pi * (float64(i) + 0.5) / around
		c, s := math.Cos(th), math.Sin(th)
		n := World{c*p.X + s*q.X, c*p.Y + s*q.Y, c*p.Z + s*q.Z}
		for j := range along {
			u := width * ((float64(j)+0.5)/along - 0.5)
			pt := World{at.X + radius*n.X + u*dir.X, at.Y + radius*n.Y + u*dir.Y, at.Z + radius*n.Z + u*dir.Z}
			l := v.lens()
			d := World{l.X - pt.X, l.Y - pt.Y, l.Z - pt.Z}
			face := dot(n, unit(d)) / dot(d, d)
			if face <= 0 {
				continue
			}
			px := v.Project(pt)
			m += face
			x += face * px[0]
			y += face * px[1]
			xx += face * px[0] * px[0]
			xy += face * px[0] * px[1]
			yy += face * px[1] * px[1]
		}
	}
	x, y = x/m, y/m
	return Sample{XPx: x, YPx: y, VarXX: 0.09, VarYY: 0.09, How: Seen, Shape: Shape{
		Mass: 1e6 * m, SXX: xx/m - x*x + chromaVar, SXY: xy/m - x*y, SYY: yy/m - y*y + chromaVar,
	}}
}

func filmed(v View, withHands bool) batSeen {
	o := batSeen{
		sight:  sight{radiusM: testRadius, handleM: handleRadiusM, widthM: testWidth}.through(v),
		apartM: testApart, contactSD: depthSD, handsY: -usualHandsY,
	}
	h, d := swung(0)
	o.contactY = pose{Hands: h, Dir: d}.Barrel(testApart).Y
	for i := -36; i <= 24; i++ {
		t := float64(i) / 240
		h, d := swung(t)
		s := facets(v, pose{Hands: h, Dir: d}.Barrel(testApart), d, testRadius, testWidth)
		s.Frame, s.TimeS = i, t
		o.barrel = append(o.barrel, s)
		if withHands {
			s := facets(v, h, d, handleRadiusM, testWidth)
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
	view := View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true, TiltRad: -0.03}
	// A shift of 0.4 px is 1.5 mm; depth is known through perspective alone.
	const axisPx, depthM, gapPx = 0.4, 0.12, 2.0
	for _, c := range []struct {
		name  string
		hands bool
		gap   bool
	}{{"both marks", true, false}, {"the barrel's band alone", false, false}, {"ten frames hidden", true, true}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			o := filmed(view, c.hands)
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
				got, y := b.axis(Point{s.XPx, s.YPx}, s.TimeS)
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

func TestBatNeedsSightings(t *testing.T) {
	t.Parallel()
	o := filmed(View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true}, true)
	o.barrel = o.barrel[:5]
	if _, ok := fitBat(o); ok {
		t.Error("a bat from five sightings")
	}
}
