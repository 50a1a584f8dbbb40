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
	shows := map[string]func(t Numbers) (float64, bool){
		LateOnLine:       func(t Numbers) (float64, bool) { return t["plane.gap_deg"], t["plane.gap_deg"] < -7.5 },
		EarlyOffLine:     func(t Numbers) (float64, bool) { return t["plane.gap_deg"], t["plane.gap_deg"] > 7.5 },
		EarlyStraightArm: func(t Numbers) (float64, bool) { v := t["body.lead_elbow_straight_s"]; return v, v > 0.060 },
		LowFinish:        func(t Numbers) (float64, bool) { return t["finish.height_m"], t["finish.height_m"] < 0.54 },
		TooEarly:         func(t Numbers) (float64, bool) { v := t["timing.any.early_s"]; return v, v > 0.008 && v < 0.014 },
		TooLate:          func(t Numbers) (float64, bool) { v := t["timing.any.late_s"]; return v, v > 0.008 && v < 0.014 },
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
				if v, ok := shows[fault](s.Swing().Metrics); !ok {
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
	if v := number(t, late.Metrics, "zone.enter_s"); v < -0.004 {
		t.Errorf("late on the line: got %.4f s", v)
	}
	if v := number(t, early.Metrics, "zone.leave_s"); v > 0.004 {
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

// A scene without a fault is what it was before there were any, so that kept clips stay
// true. The places are those of the program that knew no faults; its frames were equal
// to the byte.
func TestWithoutFaultAsEver(t *testing.T) {
	t.Parallel()
	s := setup(t, Random(7, Clean))
	for _, want := range []struct {
		timeS       float64
		mark, elbow Vec
	}{
		{-0.1, Vec{-0.871139825158, 0.94357807327, 1.48040492322}, Vec{-0.0259808618521, 0.64227137241, 1.15527865002}},
		{-0.03, Vec{-0.563117067088, 0.263047911149, 0.839240390334}, Vec{0.0942889837481, 0.864249747224, 1.1136654929}},
		{0.1, Vec{0.446499986029, 1.43321740083, 1.47816626623}, Vec{-0.0575693787182, 0.908505293688, 1.14969739491}},
	} {
		for _, d := range []float64{s.Mark(want.timeS).sub(want.mark).norm(), s.pose(want.timeS).leadElbow.sub(want.elbow).norm()} {
			if !(d < 1e-9) {
				t.Errorf("at %g s: got a place that is %g m off", want.timeS, d)
			}
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
