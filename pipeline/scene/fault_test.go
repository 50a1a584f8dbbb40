package scene

import (
	"encoding/json"
	"errors"
	"testing"
)

// The truth of a planted fault shows it, by definitions that know nothing of it. The
// bounds are looser than what is drawn and tighter than what swings without a fault do:
// of sixty of those none is straight earlier than 34 ms, finishes lower than 0.6 m or has
// less than 11 ms to spare on a side.
func TestPlantedFaults(t *testing.T) {
	t.Parallel()
	shows := map[string]func(t SwingTruth) (float64, bool){
		LateOnLine:       func(t SwingTruth) (float64, bool) { return *t.Plane.GapDeg, *t.Plane.GapDeg < -7.5 },
		EarlyOffLine:     func(t SwingTruth) (float64, bool) { return *t.Plane.GapDeg, *t.Plane.GapDeg > 7.5 },
		EarlyStraightArm: func(t SwingTruth) (float64, bool) { v := *t.Body.LeadElbowStraightS; return v, v > 0.060 },
		LowFinish:        func(t SwingTruth) (float64, bool) { return *t.Finish.HeightM, *t.Finish.HeightM < 0.54 },
		TooEarly:         func(t SwingTruth) (float64, bool) { v := *t.Timing.Any.EarlyS; return v, v > 0.008 && v < 0.014 },
		TooLate:          func(t SwingTruth) (float64, bool) { v := *t.Timing.Any.LateS; return v, v > 0.008 && v < 0.014 },
	}
	for _, fault := range Faults() {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			for seed := uint64(1); seed <= 4; seed++ {
				p := Random(seed, Clean)
				p.Fault = fault
				s := setup(t, p)
				if !s.hit {
					t.Errorf("seed %d: the ball is missed", seed)
				}
				if v, ok := shows[fault](s.Swing()); !ok {
					t.Errorf("seed %d: got %.4g, which is no such fault", seed, v)
				}
			}
		})
	}
}

// What zone and line have to do with the gap is measured, not set.
func TestFaultsOfTheLineShowInTheZone(t *testing.T) {
	t.Parallel()
	p := Random(11, Clean)
	p.Fault = LateOnLine
	late := setup(t, p).Swing()
	p.Fault = EarlyOffLine
	early := setup(t, p).Swing()
	if v := known(t, "enter", late.Zone.EnterS); v < -0.004 {
		t.Errorf("late on the line: got %.4f s", v)
	}
	if v := known(t, "leave", early.Zone.LeaveS); v > 0.004 {
		t.Errorf("early off the line: got %.4f s", v)
	}
}

// Parameters come back from a truth file with what the fault has set; the scene is the
// same again.
func TestFaultTwice(t *testing.T) {
	t.Parallel()
	for _, fault := range []string{LateOnLine, LowFinish, TooLate} {
		p := Random(5, Clean)
		p.Fault = fault
		once := setup(t, p)
		again := setup(t, once.P)
		if a, b := text(t, once.P), text(t, again.P); a != b {
			t.Errorf("%s: got %s, want %s", fault, b, a)
		}
		if a, b := once.Mark(-0.03), again.Mark(-0.03); a != b {
			t.Errorf("%s: got the barrel at %v, want %v", fault, b, a)
		}
	}
}

func TestFaultRefused(t *testing.T) {
	t.Parallel()
	for _, p := range []Params{
		{Fault: "lates"},
		{Fault: TooLate, Kind: "tee"},
		{Fault: LateOnLine, Kind: "dry"},
		{Fault: TooEarly, OffsetM: Num(0.3)}, // never meets the ball
	} {
		var bad *ParamError
		if _, err := New(p); !errors.As(err, &bad) || bad.Name != "fault" {
			t.Errorf("%+v: got %v", p, err)
		}
	}
}

func text(t *testing.T, v any) string {
	t.Helper()
	j, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(j)
}
