package scene

import (
	"fmt"
	"math"
	"testing"
)

// Each family has the outcome of its name, by physics; a swing that is a little late or
// early may still meet the ball.
func TestUnmetFamilies(t *testing.T) {
	t.Parallel()
	want := map[Family][]string{
		Late: {Missed, Hit, Tip}, Early: {Missed, Hit, Tip}, Over: {Missed}, Under: {Missed}, Tipped: {Tip}, Checked: {Check}, Taken: {None},
	}
	for _, f := range UnmetFamilies() {
		for seed := uint64(1); seed <= 6; seed++ {
			t.Run(fmt.Sprint(f, seed), func(t *testing.T) {
				t.Parallel()
				s := setup(t, Random(seed, f))
				for _, w := range want[f] {
					if s.outcome() == w {
						return
					}
				}
				t.Errorf("got %s, want %v", s.outcome(), want[f])
			})
		}
	}
}

// A miss has its contact in the middle of the time that the barrel is near the line: as
// long before it as after it the barrel comes near and leaves. A straight edge and a stop
// watch, without the search.
func TestMissIsInTheMiddle(t *testing.T) {
	t.Parallel()
	s := setup(t, Params{Seed: 4, TimingMS: 70, AttackDeg: Num(6)})
	line := s.pitchLine()
	off := func(at float64) float64 { q := s.Mark(at); return math.Abs(line.above(q.X, q.Z)) }
	edge := func(way float64) float64 {
		at := 0.0
		for off(at) < s.P.reachM() {
			at += way * 1e-5
		}
		return at
	}
	near(t, "middle", edge(1)+edge(-1), 0, 3e-4)
	// The ball was at the barrel's place before the barrel by as much as it says.
	late := s.swingTruth().Metrics["timing.late_s"]
	b, _ := s.Ball(-late)
	q := s.Mark(0)
	near(t, "ball at the barrel's place", line.along(b.X, b.Z), line.along(q.X, q.Z), 1e-6)
}

// A tipped ball goes on, and what the touch takes of its motion lies along the line of
// centres: the rest, square to it, stays.
func TestTipPushesAlongTheCentres(t *testing.T) {
	t.Parallel()
	s := setup(t, Random(3, Tipped))
	ball, _ := s.ballUnhit(0)
	knob, dir := s.batAt(0)
	n := ball.sub(knob.add(dir.mul(clamp(ball.sub(knob).dot(dir), 0, s.P.BatLengthM)))).unit()
	const h = 1e-5
	before, _ := s.ballUnhit(-h)
	in := ball.sub(before).mul(1 / h)
	e := s.exit.at(0)
	took := Vec{e.vx, s.exitY, e.vz}.sub(in)
	near(t, "across the centres", took.sub(n.mul(took.dot(n))).norm(), 0, 1e-6)
	if !(took.dot(n) > 1) || !(e.vx < 0) {
		t.Errorf("thrown back by %.1f m/s, goes on at %.1f", took.dot(n), e.vx)
	}
}
