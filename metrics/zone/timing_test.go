package zone

import (
	"math"
	"testing"
)

// Two uniform motions: with w the ball's velocity less the barrel's, a swing
// that is d late passes at offset |o + d·(V × w)/|w||, o being the offset of
// the swing as it was.
func TestTimingOfStraightSwing(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name              string
		attack, descent   float64
		speed, ball, offM float64
	}{
		{"flat swing, square", 0, 6, 30, 36, 0},
		{"uppercut", 14, 6, 30, 36, 0.005},
		{"chop", -8, 5, 28, 40, -0.01},
		{"touch but not solid", 2, 9, 25, 30, 0.03},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s, c := math.Sincos(tc.attack * math.Pi / 180)
			v := [2]float64{tc.speed * c, tc.speed * s}
			barrel := Straight{PointM: [2]float64{0, tc.offM}, VelMPS: v}
			line := Line{DescentDeg: tc.descent}
			ball := line.Ball(tc.ball)
			cs := Circles{BallRadiusM: 0.0369, BarrelRadiusM: 0.033, SolidM: 0.0127, ReachS: 0.1, FromS: -0.3, ToS: 0.3}
			got := Meet(barrel, ball, cs)
			w := [2]float64{ball.VelMPS[0] - v[0], ball.VelMPS[1] - v[1]}
			n := math.Hypot(w[0], w[1])
			w[0], w[1] = w[0]/n, w[1]/n
			o := -tc.offM * -w[0] // (ball − barrel) × w
			k := v[0]*w[1] - v[1]*w[0]
			want := func(limit float64) (early, late float64) {
				a, b := (-limit-o)/k, (limit-o)/k
				return -math.Min(a, b), math.Max(a, b)
			}
			for _, x := range []struct {
				what  string
				w     Window
				limit float64
			}{{"solid", got.Solid, 0.0127}, {"any", got.Any, 0.0699}} {
				e, l := want(x.limit)
				if !x.w.OK || math.Abs(x.w.EarlyS-e) > exact || math.Abs(x.w.LateS-l) > exact || math.Abs(x.w.WindowS-e-l) > exact {
					t.Errorf("%s: got %+v, want early %.10f late %.10f", x.what, x.w, e, l)
				}
			}
			if math.Abs(got.Touch.OffsetM-math.Abs(o)) > exact {
				t.Errorf("offset: got %.10f, want %.10f", got.Touch.OffsetM, math.Abs(o))
			}
			if d := math.Hypot(got.Touch.CentreM[0], got.Touch.CentreM[1]); math.Abs(d-0.0699) > 1e-8 {
				t.Errorf("centres at touch: got %.10f, want 0.0699", d)
			}
		})
	}
}

// A barrel on an arc, against motions stepped one microsecond at a time.
func TestTimingOfArcAgainstSteps(t *testing.T) {
	t.Parallel()
	barrel := turned(arc(1.2, 25, 0.003), 9)
	ball := Line{PointM: [2]float64{0.01, 0.004}, DescentDeg: 7}.Ball(37)
	cs := Circles{FromS: -0.06, ToS: 0.06}
	got := Meet(barrel, ball, cs)
	const reach = 0.0369 + 0.033
	offset := func(d float64) float64 {
		const h = 1e-6
		for x := -0.06; x < 0.06; x += h {
			p, v := barrel.At(x)
			b, vb := ball.At(x + d)
			c := [2]float64{b[0] - p[0], b[1] - p[1]}
			if math.Hypot(c[0], c[1]) <= reach {
				w := [2]float64{vb[0] - v[0], vb[1] - v[1]}
				return math.Abs(c[0]*w[1]-c[1]*w[0]) / math.Hypot(w[0], w[1])
			}
		}
		return math.Inf(1)
	}
	// A microsecond is 0.06 mm of relative motion; near an end of the window the
	// offset changes by more than that over 20 µs.
	const eps = 20e-6
	for _, x := range []struct {
		what  string
		w     Window
		limit float64
	}{{"solid", got.Solid, 0.0127}, {"any", got.Any, reach}} {
		if !x.w.OK || x.w.Open {
			t.Fatalf("%s: got %+v", x.what, x.w)
		}
		for _, c := range []struct {
			d  float64
			in bool
		}{{-x.w.EarlyS - eps, false}, {-x.w.EarlyS + eps, true}, {0, true}, {x.w.LateS - eps, true}, {x.w.LateS + eps, false}} {
			if in := offset(c.d) <= x.limit; in != c.in {
				t.Errorf("%s: shifted by %.6f s, meets: got %t, want %t", x.what, c.d, in, c.in)
			}
		}
	}
}

// A film run k times as fast has windows k times as short.
func TestTimingScales(t *testing.T) {
	t.Parallel()
	fast := func(p Path, k float64) moving {
		return moving{
			func(t float64) [2]float64 { x, _ := p.At(k * t); return x },
			func(t float64) [2]float64 { _, v := p.At(k * t); return [2]float64{k * v[0], k * v[1]} },
		}
	}
	barrel, ball := arc(1, 30, 0.001), Line{DescentDeg: 6}.Ball(36)
	a := Meet(barrel, ball, Circles{FromS: -0.05, ToS: 0.05})
	b := Meet(fast(barrel, 2), fast(ball, 2), Circles{FromS: -0.025, ToS: 0.025, ReachS: 0.03, StepS: 0.00025})
	if !a.Solid.OK || math.Abs(a.Solid.WindowS-2*b.Solid.WindowS) > exact || math.Abs(a.Any.LateS-2*b.Any.LateS) > exact {
		t.Errorf("got %+v and %+v", a, b)
	}
}

func TestTimingEdges(t *testing.T) {
	t.Parallel()
	ball := Line{}.Ball(36)
	over := Straight{PointM: [2]float64{0, 0.5}, VelMPS: [2]float64{30, 0}}
	if got := Meet(over, ball, Circles{}); got.Any.OK || got.Solid.OK || got.Touch.OK {
		t.Errorf("far over the ball: got %+v", got)
	}
	// A matched swing meets the ball whenever it comes.
	matched := Straight{VelMPS: [2]float64{30, 0}}
	got := Meet(matched, ball, Circles{FromS: -0.5, ToS: 0.5, ReachS: 0.05})
	if !got.Solid.OK || !got.Solid.Open || math.Abs(got.Solid.WindowS-0.1) > exact {
		t.Errorf("matched: got %+v", got.Solid)
	}
	// Only a later swing would have been solid: the barrel rises through the
	// line 10 ms before the ball is there.
	rising := Straight{PointM: [2]float64{0, 0.05}, VelMPS: [2]float64{30, 5}}
	got = Meet(rising, ball, Circles{})
	if !got.Solid.OK || got.Solid.EarlyS >= 0 || got.Solid.LateS <= 0 || !got.Any.OK {
		t.Errorf("early swing: got %+v", got)
	}
	// Carried backwards through the ball's line the barrel meets nothing.
	back := Straight{VelMPS: [2]float64{-10, 0}}
	if got := Meet(back, ball, Circles{}); got.Any.OK {
		t.Errorf("moving with the ball: got %+v", got.Any)
	}
}

// Source: geometry. Ball of 9⅛ in circumference, barrel of 2.61 in diameter
// (Official Baseball Rules 3.01 and 3.02): asin(offset / 2.7573 in).
func TestOffsetAngle(t *testing.T) {
	t.Parallel()
	for offset, want := range map[float64]float64{0.25: 5.202, 0.5: 10.448, 0.75: 15.784, 1: 21.265, 1.5: 32.957} {
		const in = 0.0254
		if got := OffsetAngleDeg(offset*in, 9.125/(2*math.Pi)*in, 1.305*in); math.Abs(got-want) > 5.1e-4 {
			t.Errorf("%g in: got %.4f, want %.3f", offset, got, want)
		}
	}
}

func BenchmarkMeet(b *testing.B) {
	barrel, ball := arc(1, 30, 0.001), Line{DescentDeg: 6}.Ball(36)
	for b.Loop() {
		Meet(barrel, ball, Circles{})
	}
}

func BenchmarkFind(b *testing.B) {
	barrel := arc(1, 30, 0.001)
	for b.Loop() {
		Find(barrel, Line{DescentDeg: 6}, Limits{})
	}
}
