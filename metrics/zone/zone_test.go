package zone

import (
	"math"
	"testing"
)

// exact is how well the ends of a run must meet their closed forms.
const exact = 1e-9

// moving is a Path made of two functions.
type moving struct{ pos, vel func(t float64) [2]float64 }

func (m moving) At(t float64) (pos, vel [2]float64) { return m.pos(t), m.vel(t) }

// arc turns about a centre r above its lowest point, which it passes at t0.
func arc(r, omega, t0 float64) moving {
	return moving{
		func(t float64) [2]float64 {
			a := omega * (t - t0)
			return [2]float64{r * math.Sin(a), r - r*math.Cos(a)}
		},
		func(t float64) [2]float64 {
			a := omega * (t - t0)
			return [2]float64{r * omega * math.Cos(a), r * omega * math.Sin(a)}
		},
	}
}

// turned is p turned about the origin.
func turned(p Path, deg float64) moving {
	s, c := math.Sincos(deg * math.Pi / 180)
	turn := func(v [2]float64) [2]float64 { return [2]float64{c*v[0] - s*v[1], s*v[0] + c*v[1]} }
	return moving{
		func(t float64) [2]float64 { x, _ := p.At(t); return turn(x) },
		func(t float64) [2]float64 { _, v := p.At(t); return turn(v) },
	}
}

func TestZoneClosedForms(t *testing.T) {
	t.Parallel()
	const d, dirDeg = 0.07, 10.0
	dir := dirDeg * math.Pi / 180
	speeding := func(v, a float64) moving {
		return moving{
			func(t float64) [2]float64 { return [2]float64{v * t, a * t * t / 2} },
			func(t float64) [2]float64 { return [2]float64{v, a * t} },
		}
	}
	straight := func(deg, v, off float64) Straight {
		s, c := math.Sincos(deg * math.Pi / 180)
		return Straight{PointM: [2]float64{0, off}, VelMPS: [2]float64{v * c, v * s}}
	}
	type ends struct {
		enter, leave float64
		openStart    bool
		openEnd      bool
	}
	for _, tc := range []struct {
		name              string
		path              Path
		near, along, both *ends
		length            float64
	}{
		{
			// r(1−cos ωt) ≤ d and |ωt| ≤ dir; here the direction binds.
			"arc, direction binds", arc(1, 30, 0),
			&ends{enter: -math.Acos(1-d) / 30, leave: math.Acos(1-d) / 30},
			&ends{enter: -dir / 30, leave: dir / 30},
			&ends{enter: -dir / 30, leave: dir / 30},
			2 * math.Sin(dir),
		},
		{
			// On a wide arc the distance would bind at a wider direction.
			"arc, distance binds", arc(5, 6, 0),
			&ends{enter: -math.Acos(1-d/5) / 6, leave: math.Acos(1-d/5) / 6},
			&ends{enter: -dir / 6, leave: dir / 6},
			&ends{enter: -math.Acos(1-d/5) / 6, leave: math.Acos(1-d/5) / 6},
			10 * math.Sin(math.Acos(1-d/5)),
		},
		{
			// The run lies away from contact: lowest 30 ms after it.
			"arc, late", arc(1, 30, 0.03),
			&ends{enter: 0.03 - math.Acos(1-d)/30, leave: 0.03 + math.Acos(1-d)/30},
			&ends{enter: 0.03 - dir/30, leave: 0.03 + dir/30},
			&ends{enter: 0.03 - dir/30, leave: 0.03 + dir/30},
			2 * math.Sin(dir),
		},
		{
			"constant acceleration", speeding(28, 900),
			&ends{enter: -math.Sqrt(2 * d / 900), leave: math.Sqrt(2 * d / 900)},
			&ends{enter: -28 * math.Tan(dir) / 900, leave: 28 * math.Tan(dir) / 900},
			&ends{enter: -28 * math.Tan(dir) / 900, leave: 28 * math.Tan(dir) / 900},
			2 * 28 * 28 * math.Tan(dir) / 900,
		},
		{
			"matched line", straight(0, 30, 0.02),
			&ends{enter: -0.1, leave: 0.1, openStart: true, openEnd: true},
			&ends{enter: -0.1, leave: 0.1, openStart: true, openEnd: true},
			&ends{enter: -0.1, leave: 0.1, openStart: true, openEnd: true},
			6,
		},
		{
			// |0.02 + 30 sin 8° t| ≤ 0.07
			"line at 8 degrees", straight(8, 30, 0.02),
			&ends{enter: -0.09 / (30 * math.Sin(8*math.Pi/180)), leave: 0.05 / (30 * math.Sin(8*math.Pi/180))},
			&ends{enter: -0.1, leave: 0.1, openStart: true, openEnd: true},
			&ends{enter: -0.09 / (30 * math.Sin(8*math.Pi/180)), leave: 0.05 / (30 * math.Sin(8*math.Pi/180))},
			0.14 / math.Tan(8*math.Pi/180),
		},
		{
			"crosses only", straight(70, 30, 0),
			&ends{enter: -0.07 / (30 * math.Sin(70*math.Pi/180)), leave: 0.07 / (30 * math.Sin(70*math.Pi/180))},
			nil, nil, 0,
		},
		{
			"misses", straight(0, 30, 0.2),
			nil, &ends{enter: -0.1, leave: 0.1, openStart: true, openEnd: true}, nil, 0,
		},
		{
			// Near the line at the start of the search, away from it later.
			"starts inside", straight(2, 10, 0.07+0.06*10*math.Sin(2*math.Pi/180)),
			&ends{enter: -0.1, leave: -0.06, openStart: true},
			&ends{enter: -0.1, leave: 0.1, openStart: true, openEnd: true},
			&ends{enter: -0.1, leave: -0.06, openStart: true},
			0.04 * 10 * math.Cos(2*math.Pi/180),
		},
	} {
		// The same must hold on every pitch line, the swing turned with it.
		for _, descent := range []float64{0, 6, 11, -3} {
			t.Run(tc.name, func(t *testing.T) {
				t.Parallel()
				z := Find(turned(tc.path, descent), Line{DescentDeg: descent}, Limits{DistanceM: d, DirectionDeg: dirDeg, FromS: -0.1, ToS: 0.1})
				check := func(what string, got Span, want *ends) {
					t.Helper()
					if want == nil {
						if got.OK {
							t.Errorf("%s: got %+v, want none", what, got)
						}
						return
					}
					if !got.OK || math.Abs(got.EnterS-want.enter) > exact || math.Abs(got.LeaveS-want.leave) > exact ||
						got.OpenStart != want.openStart || got.OpenEnd != want.openEnd {
						t.Errorf("%s: got %+v, want %+v", what, got, *want)
					}
				}
				check("near", z.Near, tc.near)
				check("along", z.Along, tc.along)
				check("both", z.Span, tc.both)
				if math.Abs(z.LengthM-tc.length) > 1e-7 {
					t.Errorf("length: got %.9f, want %.9f", z.LengthM, tc.length)
				}
				if z.OK && math.Abs(z.BehindM+z.AheadM-z.LengthM) > 1e-12 {
					t.Errorf("behind %g and ahead %g are not length %g", z.BehindM, z.AheadM, z.LengthM)
				}
			})
		}
	}
}

func TestZonePlaces(t *testing.T) {
	t.Parallel()
	z := Find(arc(1, 30, 0.002), Line{PointM: [2]float64{0.3, 0.01}}, Limits{})
	dir := 10 * math.Pi / 180
	at := math.Sin(-0.06)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"offset", z.OffsetM, 1 - math.Cos(0.06) - 0.01},
		{"behind", z.BehindM, at + math.Sin(dir)},
		{"ahead", z.AheadM, math.Sin(dir) - at},
		// 1 − cos a = 0.01, the crossing nearer to contact.
		{"closest", z.ClosestS, 0.002 - math.Acos(0.99)/30},
	} {
		if math.Abs(c.got-c.want) > 1e-7 {
			t.Errorf("%s: got %.9f, want %.9f", c.what, c.got, c.want)
		}
	}
	if z.ClosestS > 0 || z.OffsetM > 0 {
		t.Errorf("signs: closest %g, offset %g", z.ClosestS, z.OffsetM)
	}
}

// A run much shorter than the step of the scan must be found too.
func TestShortRun(t *testing.T) {
	t.Parallel()
	const gap = 1e-7
	p := arc(1, 30, 0.01234)
	z := Find(p, Line{PointM: [2]float64{0, -0.07 + gap}}, Limits{})
	want := math.Acos(1-gap) / 30
	if !z.Near.OK || math.Abs(z.Near.DurationS()-2*want) > 1e-8 {
		t.Errorf("got %+v, want %g either side of 0.01234", z.Near, want)
	}
}
