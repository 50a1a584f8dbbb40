package scene

import (
	"math"
	"testing"
)

func TestSession(t *testing.T) {
	t.Parallel()
	p := Random(3, Long)
	s := setup(t, p)
	near(t, "length, s", s.timesS[s.Frames()-1]-s.timesS[0], 12, 0.1)
	// Within a round the bat is the round's own; nothing jumps on the way to the next.
	for k, r := range s.session.rounds {
		if !r.hit {
			t.Errorf("round %d meets no ball", k)
		}
		for _, u := range []float64{-0.2, -0.01, 0, 0.2} {
			a, b := s.Mark(u+s.session.atS[k]), r.Mark(u)
			near(t, "barrel of a round", a.sub(b).norm(), 0, 1e-9)
		}
		a, ok := s.Ball(s.session.atS[k])
		b, _ := r.Ball(0)
		if near(t, "ball of a round", a.sub(b).norm(), 0, 1e-9); !ok {
			t.Errorf("round %d has no ball", k)
		}
	}
	fastest := map[bool]float64{}
	last := s.Mark(s.timesS[0])
	for at := s.timesS[0] + 0.004; at < s.timesS[s.Frames()-1]; at += 0.004 {
		q := s.Mark(at)
		inRound := false
		for _, c := range s.session.atS {
			inRound = inRound || math.Abs(at-c) < 0.5
		}
		fastest[inRound] = math.Max(fastest[inRound], q.sub(last).norm()/0.004)
		last = q
	}
	if fast := fastest[false]; fast < 5 || fast > 0.5*fastest[true] {
		t.Errorf("between rounds up to %.1f m/s, in them %.1f", fast, fastest[true])
	}
	swings := s.session.truths(s.timesS)
	if len(swings) != 3 {
		t.Fatalf("%d swings, want 3", len(swings))
	}
	for k, w := range swings {
		near(t, "contact, s", known(t, "contact", w.Keys.Contact.TimeS), roundsAtS[k], 1e-9)
		i := int(known(t, "frame", w.Keys.Contact.Frame))
		if s.timesS[i] > roundsAtS[k] || s.timesS[i+1] < roundsAtS[k] {
			t.Errorf("contact of round %d at frame %d, %.3f s", k, i, s.timesS[i])
		}
	}
}
