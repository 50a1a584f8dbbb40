package bat

import (
	"math"
	"testing"

	"ashline/metrics/geom"
)

// from is a camera so far away that perspective vanishes: 300 px are a metre.
var from = geom.View{FocalPx: 3e7, DistanceM: 1e5, Sign: 1, Lens: true}

const ringM, bandM, perM = 0.03, 0.06, 300.0

// A ring of radius r in even light and in that of a lamp straight from the camera, of
// strength L against a light of ½ from everywhere. With c = cos θ towards the camera
// and u = sin θ across, θ even from −π/2 to π/2, each part shows c and sends ½ + L·c:
// the integrals of cⁿ are 2, π/2, 4/3, 3π/8, 16/15 for n = 1 … 5.
func TestShineInClosedForm(t *testing.T) {
	t.Parallel()
	n, across := geom.World{Y: 1}, geom.World{X: 1}
	c := []float64{math.Pi, 2, math.Pi / 2, 4.0 / 3, 3 * math.Pi / 8, 16.0 / 15}
	for _, lamp := range []float64{0, 0.7} {
		e := func(k int) float64 { return 0.5*c[k] + lamp*c[k+1] } // of c^(k−1), not divided
		sum := e(1)
		m1, m2, m3 := e(2)/sum, e(3)/sum, e(4)/sum
		uu, cuu := 1-m2, m1-m3 // u² = 1 − c²
		want := map[string]float64{
			"sum": sum, "c": m1, "u": 0, "cc": m2 - m1*m1, "uu": uu, "cu": 0,
			"ccc": m3 - 3*m1*m2 + 2*m1*m1*m1, "cuu": cuu - m1*uu, "uuu": 0, "ccu": 0,
		}
		s := Sight{lamp: geom.World{Y: lamp}}.shine(n, across)
		for name, got := range map[string]float64{"sum": s.sum, "c": s.c, "u": s.u, "cc": s.cc, "uu": s.uu, "cu": s.cu, "ccc": s.ccc, "cuu": s.cuu, "uuu": s.uuu, "ccu": s.ccu} {
			// Sixteen parts for an integral.
			if math.Abs(got-want[name]) > 0.005 {
				t.Errorf("lamp %g: %s is %.4f, want %.4f", lamp, name, got, want[name])
			}
		}
	}
	// A lamp square to the camera lights one half alone: the light leans to it, and what
	// turns away from it is as bright as before.
	s := Sight{lamp: geom.World{X: 1}}.shine(n, across)
	// ½·2 + ∫c·u over the lit half, ½; its lean ∫c·u² over it, ⅓.
	if want := (1.0 / 3) / 1.5; math.Abs(s.u-want) > 0.005 || math.Abs(s.sum-1.5) > 0.005 {
		t.Errorf("lamp from the side: u %.4f, sum %.4f, want %.4f, 1.5", s.u, s.sum, want)
	}
}

// What is seen of a band side-on, end-on and aslant, by hand from its own sizes.
func TestLookByHand(t *testing.T) {
	t.Parallel()
	r, w := ringM*perM, bandM*perM // 9 and 18 px
	const coding = 2.0 / 3
	for _, c := range []struct {
		name                  string
		dir                   geom.World
		area, along, across   float64
		shiftAlong, thirdEff  float64
		exposure, speedPerSec float64
	}{
		// Side-on a ring is a strip: w²/12 along, (2r)²/12 across.
		{name: "side-on", dir: geom.World{X: 1}, area: 1, along: w*w/12 + coding, across: r*r/3 + coding},
		// Moved by 10 px during the exposure, along the bat: 10²/12 more.
		{name: "moving", dir: geom.World{X: 1}, area: 1, along: w*w/12 + 100.0/12 + coding, across: r*r/3 + coding, exposure: 0.002, speedPerSec: 10 / perM / 0.002},
		// Aslant by 60° to the line of sight towards the camera: half as long, and its near
		// side, π/4·r nearer, is seen cos φ of that back along the bat.
		{
			name: "aslant", dir: geom.World{X: math.Sqrt(0.75), Y: 0.5}, area: math.Sqrt(0.75),
			along: w*w/12*0.75 + r*r*0.25*(2.0/3-math.Pi*math.Pi/16) + coding, across: r*r/3 + coding,
			shiftAlong: -0.5 * math.Pi / 4 * r, thirdEff: -0.5 * r * r * r * (math.Pi/16 - math.Pi/12),
		},
	} {
		s := Sight{RadiusM: ringM, WidthM: bandM, ExposureS: c.exposure}.Through(from)
		p := Pose{Dir: c.dir, HandsV: geom.World{X: c.speedPerSec}}
		l := s.look(p, 0)
		q := s.barrel(p, 0)
		for _, x := range []struct {
			what            string
			got, want, size float64
		}{
			{"light", l.area, c.area, 1},
			{"along", l.xx, c.along, r * r},
			{"across", l.yy, c.across, r * r},
			{"askew", l.xy, 0, r * r},
			{"middle along", q[0], c.shiftAlong, r},
			{"middle across", q[1], 0, r},
			{"bulge", l.third[2], c.thirdEff, r * r * r * 0.1},
		} {
			if math.Abs(x.got-x.want) > 0.005*x.size {
				t.Errorf("%s: %s is %.4f, want %.4f", c.name, x.what, x.got, x.want)
			}
		}
	}
}

// Over an exposure T an accelerated band is seen a·T²/24 from where it is in the middle
// of it; the hands' band likewise has no such shift, as it hardly accelerates.
func TestExposureMovesTheMiddle(t *testing.T) {
	t.Parallel()
	s := Sight{RadiusM: ringM, WidthM: bandM, ExposureS: 0.01}.Through(from)
	p := Pose{Dir: geom.World{X: 1}, HandsA: geom.World{X: 1000}, DirA: geom.World{Z: 2000}}
	q := s.barrel(p, 0.5)
	want := geom.Point{(0.5 + 1000*1e-4/24) * perM, -0.5 * 2000 * 1e-4 / 24 * perM}
	for k := range want {
		if math.Abs(q[k]-want[k]) > 1e-3 {
			t.Errorf("axis %d: %.4f px, want %.4f", k, q[k], want[k])
		}
	}
}

// Each moment of the third tensor counts as often as it stands in it, of 8 % of the most
// that a band can bulge and 5 px³: r³·(π/12 − π/16).
func TestBulgesAreInSD(t *testing.T) {
	t.Parallel()
	s := Sight{RadiusM: ringM, WidthM: bandM}.Through(from)
	sd := 0.08*(math.Pi/12-math.Pi/16)*9*9*9 + 5
	got := s.bulges(look{third: [4]float64{1, 1, 1, 1}}, Shape{})
	for k, n := range [4]float64{1, 3, 3, 1} {
		if want := math.Sqrt(n/3) / sd; math.Abs(got[k]-want) > 1e-6 {
			t.Errorf("moment %d: %.6f, want %.6f", k, got[k], want)
		}
	}
}

// A sighting is whitened by its own covariance and a floor: the sum of squares is the
// quadratic form of the inverse. By hand: covariance {1, ½; ½, 2} less a floor of ½ px.
func TestWhitening(t *testing.T) {
	t.Parallel()
	s := Sighting{VarXX: 0.75, VarXY: 0.5, VarYY: 1.75}
	d := whitening(s, 0.5)(3, -1, 1)
	// (2·9 + 2·½·3 + 1)/(2 − ¼)
	if got, want := squares(d...), (18+3+1)/1.75; math.Abs(got-want) > 1e-9 {
		t.Errorf("%.6f, want %.6f", got, want)
	}
}
