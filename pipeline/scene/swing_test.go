package scene

import (
	"fmt"
	"math"
	"testing"
)

func TestSwings(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 40; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			s := setup(t, Random(seed, Clean))
			if !s.hit {
				t.Fatal("no contact")
			}
			near(t, "clock of contact", s.swingZero, 0, 1e-7)
			// A rigid bat: the bands never change their distance.
			for ts := -0.6; ts < 0.45; ts += 0.0137 {
				near(t, "marks apart", s.Mark(ts).sub(s.Hands(ts)).norm(), s.P.MarksApartM, 1e-12)
			}
			// Ball and barrel touch at contact and not before.
			near(t, "gap at contact", s.gapM(0), 0, 1e-6)
			for ts := -0.15; ts < -0.0001; ts += 0.0005 {
				if g := s.gapM(ts); g <= 0 {
					t.Fatalf("touch at %.4f s already", ts)
				}
			}
			// The asked velocity, taken before the impact.
			const h = 1e-6
			back := s.Mark(0).sub(s.Mark(-h)).mul(1 / h)
			near(t, "attack", math.Atan2(back.Z, back.X)/degree, *s.P.AttackDeg, 0.01)
			near(t, "speed", math.Hypot(back.X, back.Z), s.P.BarrelSpeedMPS, 0.01)
			// The impact takes a tenth to a sixth of it within a millisecond, and
			// the path does not jump.
			after := velocity(s.Mark, impactS)
			loss := 1 - math.Hypot(after.X, after.Z)/s.P.BarrelSpeedMPS
			if loss < 0.06 || loss > 0.22 {
				t.Errorf("speed lost in the impact: %.3f", loss)
			}
			// What it takes of the barrel's velocity is an impulse along the line of
			// centres and, for the ball's slip, 2/7 of it along the bat's surface, with
			// 1 + e = 3/2 of the approach (momentum; mechanics, from memory). Only what is
			// square to the bat is felt there.
			mark := func(w swing) func(t float64) Vec {
				return func(t float64) Vec {
					grip, dir := w.at(t + s.swingZero)
					return grip.add(dir.mul(w.markM))
				}
			}
			missed := *s.swing
			missed.impactAt = math.NaN()
			took := velocity(mark(*s.swing), impactS).sub(velocity(mark(missed), impactS))
			knob, dir := s.batAt(0)
			ball, _ := s.ballUnhit(0)
			foot := clamp(ball.sub(knob).dot(dir), 0, s.P.BatLengthM)
			n := ball.sub(knob.add(dir.mul(foot))).unit()
			coming := velocity(func(t float64) Vec {
				knob, dir := s.batAt(t)
				ball, _ := s.ballUnhit(t)
				return knob.add(dir.mul(foot)).sub(ball)
			}, -2*impactS)
			push := n.mul(1.5 * coming.dot(n)).add(coming.sub(n.mul(coming.dot(n))).mul(2.0 / 7))
			flat := func(v Vec) Vec { return v.sub(dir.mul(v.dot(dir))).unit() }
			near(t, "direction of the impulse", flat(took).dot(flat(push)), -1, 0.002)
			if jump := s.Mark(1e-7).sub(s.Mark(-1e-7)).norm(); jump > 1e-5 {
				t.Errorf("path jumps by %g m", jump)
			}
			// Peak of a real swing's speed: near contact.
			if at := peakOf(s.barrelSpeed, -0.1, 0.05); at < -0.025 || at > 0.006 {
				t.Errorf("barrel is fastest at %.4f s", at)
			}
		})
	}
}

func TestTimingAndMisses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		p       Params
		wantHit bool
	}{
		{"on time", Params{}, true},
		{"a little early", Params{TimingMS: -6, BatAheadDeg: Num(15)}, true},
		{"far too late", Params{TimingMS: 70}, false},
		{"over the ball", Params{OffsetM: Num(0.12)}, false},
		{"under the ball", Params{OffsetM: Num(-0.12)}, false},
		{"tee", Params{Kind: "tee"}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.p.Seed = 4
			s := setup(t, c.p)
			if s.hit != c.wantHit {
				t.Fatalf("hit %v, want %v", s.hit, c.wantHit)
			}
			if c.wantHit {
				near(t, "gap", s.gapM(0), 0, 1e-6)
				before, _ := s.Ball(-0.001)
				after, _ := s.Ball(0.001)
				at, _ := s.Ball(0)
				if after.X <= at.X || before.X < at.X-1e-9 {
					t.Errorf("ball goes %.3f, %.3f, %.3f: not turned", before.X, at.X, after.X)
				}
				return
			}
			// Zero is where the barrel goes along the line: halfway through its stay near it.
			line := s.pitchLine()
			v := velocity(s.Mark, 0)
			near(t, "gap at zero", math.Atan2(v.Z, v.X)/degree-line.descent, 0, alongDeg)
			if b, _ := s.Ball(0.02); b.X > 0.4 {
				t.Errorf("missed ball does not go on: x %.2f", b.X)
			}
		})
	}
}

func TestDrySwingHasNoBallAndPeaksAtZero(t *testing.T) {
	t.Parallel()
	s := setup(t, Params{Seed: 4, Kind: "dry"})
	if _, ok := s.Ball(0); ok {
		t.Error("there is a ball")
	}
	near(t, "peak", peakOf(s.barrelSpeed, -0.03, 0.03), 0, 1e-5)
	if got, ok := s.swingTruth().Metrics["plane.gap_deg"]; ok {
		t.Errorf("gap without a pitch: %v", got)
	}
}

func TestLeftIsTheMirrorOfRight(t *testing.T) {
	t.Parallel()
	r, l := setup(t, Params{Seed: 9}), setup(t, Params{Seed: 9, Bats: "left"})
	for _, ts := range []float64{-0.4, -0.05, 0, 0.1} {
		near(t, "mark", r.Mark(ts).flip(-1).sub(l.Mark(ts)).norm(), 0, 1e-12)
		a, b := r.Cam.Project(r.Mark(ts)), l.Cam.Project(l.Mark(ts))
		near(t, "x in the picture", a.XPx, float64(r.P.WidthPx-1)-b.XPx, 1e-9)
		near(t, "y in the picture", a.YPx, b.YPx, 1e-9)
	}
}
