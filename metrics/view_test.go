package metrics

import (
	"math"
	"testing"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestViewProjectsBack(t *testing.T) {
	t.Parallel()
	v := View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.2, RollRad: 0.05, TiltRad: 0.07, YawRad: -0.2, Sign: -1, Lens: true}
	for _, w := range []World{{0.3, 0, -0.4}, {-1.2, 0.5, 0.2}, {0.8, -0.6, 0.9}} {
		got := v.At(v.Project(w), w.Y)
		if !near(got.X, w.X, 1e-9) || !near(got.Z, w.Z, 1e-9) {
			t.Errorf("At(Project(%v)) = %v", w, got)
		}
	}
}

// A camera 6 m away shows a thing 0.3 m nearer larger by D/(D−d), 5.26 %.
// Source: pinhole geometry; the figure is computed.
func TestViewDepthScale(t *testing.T) {
	t.Parallel()
	v := View{FocalPx: 1800, DistanceM: 6, Sign: 1, Lens: true}
	a, b := v.Project(World{X: 1, Y: 0.3}), v.Project(World{X: 1})
	if got := a[0]/b[0] - 1; !near(got, 0.3/5.7, 1e-12) {
		t.Errorf("scale error %.6f, want %.6f", got, 0.3/5.7)
	}
}

func TestViewScaleWithYawAndHeight(t *testing.T) {
	t.Parallel()
	// The lens stands 1.2 m up, 6 m from the plane, turned 12° to the pitcher.
	truth := View{FocalPx: 1700, CX: 639.5, CY: 359.5, DistanceM: 6, YawRad: 12 * math.Pi / 180, Sign: 1, Lens: true}
	front, rear := World{X: 0.2159, Z: -1.2}, World{X: -0.2159, Z: -1.2}
	p, q := truth.Project(front), truth.Project(rear)
	card := Card{Camera: Camera{DistanceM: math.Hypot(6, 1.2), YawDeg: 12}, Scale: []Scale{{Points: []Point{p, q}, LengthM: 0.4318}}}
	v, use := NewView(card, 1280, 720)
	if use.Source != "points" {
		t.Fatalf("source %q", use.Source)
	}
	// The middle of the two pixels is not the picture of the middle, hence 0.2 %.
	if math.Abs(v.FocalPx/truth.FocalPx-1) > 0.002 || math.Abs(v.DistanceM/6-1) > 0.002 {
		t.Errorf("focal %.1f px at %.3f m, want 1700 at 6", v.FocalPx, v.DistanceM)
	}
}

func TestPitcherSide(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		bats, side, pitcher string
		want                bool
	}{
		{"right", "open", "", true},
		{"right", "closed", "", false},
		{"left", "open", "", false},
		{"left", "closed", "", true},
		{"right", "open", "left", false},
		{"", "", "", true},
	} {
		card := Card{Bats: c.bats, Camera: Camera{Side: c.side, Pitcher: c.pitcher}}
		if got := card.PitcherRight(); got != c.want {
			t.Errorf("%+v: pitcher right = %v", c, got)
		}
	}
}

// The rod is lifted from pixels that its own geometry projects: bands on a bat
// that turns through contact, each seen as the middle of the half of the
// cylinder that faces the camera, computed here by summing small facets.
func TestRodLiftsBack(t *testing.T) {
	t.Parallel()
	v := View{FocalPx: 1500, CX: 639.5, CY: 359.5, DistanceM: 5.4, Sign: 1, Lens: true}
	const apart, radius, omega = 0.62, 0.033, 40.0
	hands := func(t float64) World { return World{X: -0.35 + 4*t, Y: -0.60, Z: 0.05} }
	barrel := func(t float64) World {
		phi := 25*math.Pi/180 - omega*t // from the camera's axis, behind it before contact
		h := hands(t)
		a := unit(World{-math.Sin(phi), math.Cos(phi), -0.25})
		return World{h.X + apart*a.X, h.Y + apart*a.Y, h.Z + apart*a.Z}
	}
	seen := func(at, other World, r float64) Point { return v.Project(facetMean(v, at, other, r)) }
	at0 := barrel(0)
	rd := rod{view: v, apartM: apart, barrelM: radius, handleM: handleRadiusM, nearer: 1, contactY: at0.Y}
	rd.anchor(seen(at0, hands(0), radius), seen(hands(0), at0, handleRadiusM))
	if !near(rd.handsY, -0.60, 2e-3) {
		t.Errorf("hands' depth %.4f, want -0.6000", rd.handsY)
	}
	// Earlier than 20 ms before, the bat lies within 20° of the plane and its depth
	// is not to be had from its length.
	for ms := 0.0; ms >= -20; ms-- {
		tt := ms / 1000
		b, h := barrel(tt), hands(tt)
		w := rd.lift(tt, seen(b, h, radius), seen(h, b, handleRadiusM))[1]
		if !near(w.X, b.X, 1e-3) || !near(w.Z, b.Z, 1e-3) || !near(w.Y, b.Y, 6e-3) {
			t.Errorf("%.0f ms: lifted to %.4f, want %.4f", ms, w, b)
		}
	}
}

// facetMean is the mean place of the facets of a narrow ring of the bat that
// face the camera, weighted by the area that each shows.
func facetMean(v View, at, other World, r float64) World {
	a := unit(World{at.X - other.X, at.Y - other.Y, at.Z - other.Z})
	p := unit(World{-a.Z, 0, a.X})
	q := World{a.Y*p.Z - a.Z*p.Y, a.Z*p.X - a.X*p.Z, a.X*p.Y - a.Y*p.X}
	var sum World
	total := 0.0
	const n = 3600
	for i := range n {
		th := 2 * math.Pi * float64(i) / n
		c, s := math.Cos(th), math.Sin(th)
		nrm := World{c*p.X + s*q.X, c*p.Y + s*q.Y, c*p.Z + s*q.Z}
		pt := World{at.X + r*nrm.X, at.Y + r*nrm.Y, at.Z + r*nrm.Z}
		l := v.lens()
		w := dot(nrm, unit(World{l.X - pt.X, l.Y - pt.Y, l.Z - pt.Z}))
		if w <= 0 {
			continue
		}
		sum.X += w * pt.X
		sum.Y += w * pt.Y
		sum.Z += w * pt.Z
		total += w
	}
	return World{sum.X / total, sum.Y / total, sum.Z / total}
}
