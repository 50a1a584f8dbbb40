package scene

import (
	"errors"
	"math"
	"testing"
)

func TestDragAlone(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name         string
		a            air
		v0, distance float64
		want, tol    float64
	}{
		// v(x) = v0·exp(-k·x) with k = density·drag·area/(2·mass): closed form.
		{
			"closed form",
			air{massKG: 0.145, areaM2: 0.00416, densityKGM3: 1.194, drag: 0.35},
			42, 17,
			42 * math.Exp(-1.194*0.35*0.00416/(2*0.145)*17), 1e-6,
		},
		// Source: Serway & Jewett, a textbook problem: 40.2 m/s is 36.5 m/s after
		// 18.3 m with drag 0.305, 0.145 kg, 4.2e-3 m², 1.20 kg/m³; 36.484 computed.
		{"textbook", air{massKG: 0.145, areaM2: 4.2e-3, densityKGM3: 1.20, drag: 0.305}, 40.2, 18.3, 36.484, 0.02},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, end := c.a.arrive(ballState{x: c.distance, vx: -c.v0}, 0)
			near(t, "speed", end.speed(), c.want, c.tol)
		})
	}
}

// Source: Nathan, Am. J. Phys. 76 (2008) 119, Table I (read, quoted): Magnus
// deflection over 55 ft. Within one inch, the table's own rounding and the
// spread of its lift measurements.
func TestMagnusDeflection(t *testing.T) {
	t.Parallel()
	const inch, mph, tolIn = 0.0254, 0.44704, 1.0
	for _, c := range []struct{ mph, rpm, wantIn float64 }{{75, 1000, 16}, {75, 1800, 21}, {90, 1000, 14}, {90, 1800, 19}} {
		drop := func(rpm float64) float64 {
			_, end := baseballAir(rpm).arrive(ballState{x: 55 * 12 * inch, z: 2, vx: -c.mph * mph}, 0)
			return end.z
		}
		near(t, "deflection, in", (drop(c.rpm)-drop(0))/inch, c.wantIn, tolIn)
	}
}

func TestPitchGoesThroughTheContactPoint(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		p    Params
	}{
		{"by spin", Params{}},
		{"by descent", Params{DescentDeg: Num(6.25)}},
		{"toss", Params{Kind: "toss"}},
		{"slow", Params{PitchSpeedMPS: 22}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := setup(t, c.p)
			b := s.pitch.at(0)
			near(t, "x", b.x, s.P.ContactXM, 1e-6)
			near(t, "z", b.z, s.P.ContactHeightM, 1e-6)
			start := s.pitch.at(s.pitch.begins())
			near(t, "release speed", start.speed(), s.P.PitchSpeedMPS, 1e-9)
			near(t, "release height", start.z, s.P.ReleaseHeightM, 1e-9)
			if c.p.DescentDeg != nil {
				near(t, "descent", b.descentDeg(), *c.p.DescentDeg, 1e-6)
			}
		})
	}
}

func TestImpossibleDescent(t *testing.T) {
	t.Parallel()
	_, err := New(Params{DescentDeg: Num(30)})
	if !errors.Is(err, ErrParams) {
		t.Errorf("got %v, want ErrParams", err)
	}
}
