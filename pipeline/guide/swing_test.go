package guide

import (
	"math"
	"testing"
)

// The motion's velocity against differences of its places.
func TestSwingMovesAsItSays(t *testing.T) {
	t.Parallel()
	const h, tolMPS = 1e-6, 1e-4 // the third derivative, about 1e5 m/s³, times h²/6, and rounding over h
	for x := -0.15; x < 0.16; x += 0.01 {
		_, v := example.At(x)
		a, _ := example.At(x - h)
		b, _ := example.At(x + h)
		for i := range 2 {
			if got := (b[i] - a[i]) / (2 * h); math.Abs(got-v[i]) > tolMPS {
				t.Errorf("at %.2f s, axis %d: got %.6f, want %.6f m/s", x, i, got, v[i])
			}
		}
	}
}

// What the drawings' labels say is what the swing is.
func TestSwingIsAsLabelled(t *testing.T) {
	t.Parallel()
	const tol = 1e-9
	s := example
	p, v := s.At(0)
	z, touch := s.zone(), s.timing().Touch
	for _, tc := range []struct {
		name      string
		got, want float64
	}{
		{"x at contact", p[0], 0},
		{"z at contact", p[1], 0},
		{"attack angle", math.Atan2(v[1], v[0]) * 180 / math.Pi, s.attackDeg},
		{"barrel speed", math.Hypot(v[0], v[1]), s.barrelMPS},
		{"offset", z.OffsetM, s.offsetM},
		{"time of touch", touch.TimeS, 0},
		{"barrel's z at the top of its ellipse", pos(s)(s.finishS())[1], upM * (1 + math.Cos(s.start()))},
		{"barrel's x where it turns back", pos(s)(s.farS())[0], acrossM * (1 - math.Sin(s.start()))},
	} {
		if math.Abs(tc.got-tc.want) > tol {
			t.Errorf("%s: got %.12f, want %.12f", tc.name, tc.got, tc.want)
		}
	}
}

// The key positions by their definitions, by search where the swing has them in
// closed form and the other way round.
func TestSwingsKeyPositions(t *testing.T) {
	t.Parallel()
	const tolM = 1e-4 // the two searches step on different times
	s := example
	launch, lag, finish := s.launchS(), s.lagS(), s.finishS()
	if !(launch < slotS && slotS < lag && lag < 0 && 0 < s.farS() && s.farS() < finish) {
		t.Fatalf("out of order: launch %.3f, slot %.3f, lag %.3f, finish %.3f", launch, slotS, lag, finish)
	}
	peak := 0.0
	for x := -0.2; x <= 0; x += stepS {
		peak = math.Max(peak, s.speed(x))
		if apart(s, x) < apart(s, slotS) {
			t.Errorf("elbow and hip are closer at %.4f s than at slot", x)
		}
		if x >= launch && s.behindHands(x) > s.behindHands(lag)+tolM {
			t.Errorf("the barrel is farther behind the hands at %.4f s than at lag", x)
		}
	}
	if got := s.speed(launch) / peak; math.Abs(got-0.1) > 0.001 {
		t.Errorf("speed at launch: got %.4f of the peak, want 0.1", got)
	}
	if s.speed(finish) < peak/10 {
		t.Errorf("the swing is over before its highest point")
	}
	// A bat of 0.838 m with bands 0.10 m from either end cannot look longer.
	for x := launch; x <= finish; x += stepS {
		p, h := pos(s)(x), s.hands(x)
		if d := math.Hypot(p[0]-h[0], p[1]-h[1]); d > 0.638 {
			t.Fatalf("at %.3f s hands and barrel are %.3f m apart", x, d)
		}
	}
}

func apart(s swing, t float64) float64 { return math.Abs(s.elbow(t)[0] - s.hip(t)[0]) }
