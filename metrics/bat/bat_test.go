package bat

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/bat/battest"
	"ashline/metrics/geom"
)

// codingPx2 is what averaging chroma over two pixels and coding it add to a variance:
// (2² − 1)/12 and 1/12, and as much again (measured on coded scenes).
const codingPx2 = 2 * (3.0/12 + 1.0/12)

func sighting(m battest.Moments) Sighting {
	return Sighting{Px: m.Px, VarXX: 0.09, VarYY: 0.09, Shape: Shape{
		Mass: m.Light, SXX: m.SXX, SXY: m.SXY, SYY: m.SYY, Third: m.Third, LitX: m.LitX, LitY: m.LitY, Skewed: true,
	}}
}

func filmed(v geom.View, withHands bool) Seen {
	o := Seen{
		Sight:  Sight{RadiusM: battest.RadiusM, WidthM: battest.WidthM}.Through(v),
		LeverM: battest.LeverM, ContactSDM: 0.03, HandsYM: -0.5,
	}
	h, d := battest.Swing(0)
	o.ContactYM = Pose{Hands: h, Dir: d}.At(battest.LeverM).Y
	for i := -36; i <= 24; i++ {
		t := float64(i) / 240
		h, d := battest.Swing(t)
		s := sighting(battest.Usual.Band(v, Pose{Hands: h, Dir: d}.At(battest.LeverM), d, battest.RadiusM, battest.WidthM, codingPx2))
		s.Frame, s.TimeS = i, t
		o.Barrel = append(o.Barrel, s)
		if withHands {
			s := sighting(battest.Usual.Band(v, h, d, battest.HandleM, battest.WidthM, codingPx2))
			s.Frame, s.TimeS = i, t
			o.Hands = append(o.Hands, s)
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
				for i := range o.Barrel {
					// Only the hue was followed.
					o.Barrel[i].Shape.Skewed, o.Barrel[i].Shape.LitX, o.Barrel[i].Shape.LitY = false, 0, 0
				}
			}
			if c.other {
				o.Hands = o.Hands[4:18]
				for i := range o.Hands {
					o.Hands[i].Px = geom.Point{700, 300}
				}
			}
			all := o.Barrel
			if c.gap {
				o.Barrel = append(append([]Sighting(nil), all[:16]...), all[26:]...)
			}
			b, ok := Fit(o)
			if !ok {
				t.Fatal("no bat")
			}
			if stray := len(b.Stray()); c.other && stray != len(o.Hands) || !c.other && stray > 0 {
				t.Errorf("%d of %d sightings of the hands' band are stray", stray, len(o.Hands))
			}
			for _, s := range all {
				h, d := battest.Swing(s.TimeS)
				want := Pose{Hands: h, Dir: d}.At(battest.LeverM)
				px := view.Project(want)
				got, y := b.Axis(s)
				if e := math.Hypot(got[0]-px[0], got[1]-px[1]); e > axisPx {
					t.Errorf("%+.0f ms: axis %.2f px off", 1000*s.TimeS, e)
				}
				if math.Abs(y-want.Y) > depthM {
					t.Errorf("%+.0f ms: depth %.3f, want %.3f", 1000*s.TimeS, y, want.Y)
				}
				place, _ := b.OnAxis(s.TimeS)
				if e := math.Hypot(place[0]-px[0], place[1]-px[1]); e > gapPx {
					t.Errorf("%+.0f ms: path %.2f px off, s.d. %.2f", 1000*s.TimeS, e, math.Sqrt(b.PxVar(s.TimeS)))
				}
			}
		})
	}
}

// How a band is shaded tells where light comes from and how strong it is.
func TestLampIsFound(t *testing.T) {
	t.Parallel()
	const tolerance = 0.15 // of each part: a shift of a tenth of the bat's radius
	b, ok := Fit(filmed(geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true}, true))
	if !ok {
		t.Fatal("no bat")
	}
	l := b.sight.lamp
	if off := r3.Sub(l, geom.World(battest.Usual)); max(math.Abs(off.X), math.Abs(off.Y), math.Abs(off.Z)) > tolerance {
		t.Errorf("lamp %.2f, want %.2f", l, geom.World(battest.Usual))
	}
}

func TestBatNeedsSightings(t *testing.T) {
	t.Parallel()
	o := filmed(geom.View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true}, true)
	o.Barrel = o.Barrel[:5]
	if _, ok := Fit(o); ok {
		t.Error("a bat from five sightings")
	}
}

// The moments of a band's look are those of its facets, from a camera so far away
// that perspective vanishes.
func TestLookIsThatOfFacets(t *testing.T) {
	t.Parallel()
	const relative = 0.03 // of the largest of each kind: facets and what is left of perspective
	view := geom.View{FocalPx: 30000, CX: 639.5, CY: 359.5, DistanceM: 100, Sign: 1, Lens: true}
	s := Sight{RadiusM: battest.RadiusM, WidthM: battest.WidthM, lamp: geom.World(battest.Usual)}.Through(view)
	px := battest.RadiusM * s.perM
	for _, dir := range []geom.World{{X: 1, Y: 0.2, Z: 0.1}, {X: 0.3, Y: 0.9, Z: -0.4}, {X: -0.5, Y: -0.8, Z: 0.6}, {X: 0.2, Y: -0.3, Z: -1}} {
		dir = geom.Unit(dir)
		p := Pose{Hands: geom.World{X: 0.1, Z: 0.2}, Dir: dir}
		seen := sighting(battest.Usual.Band(view, p.At(battest.LeverM), dir, battest.RadiusM, battest.WidthM, codingPx2))
		l := s.look(p, battest.LeverM)
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
