package overlay

import (
	"math"
	"testing"

	"ashline/pipeline/footage"
)

// evenTimes are the times of a clip of an even rate.
func evenTimes(fps, seconds float64) []float64 {
	var t []float64
	for i := range int(fps * seconds) {
		t = append(t, float64(i)/fps)
	}
	return t
}

func usualSwing() Moments {
	return Moments{
		StartS: 0.5 - 0.26, LaunchS: 0.5 - 0.16, ContactS: 0.5, FinishS: 0.5 + 0.19, EndS: 0.5 + 0.29,
		ZoneFromS: 0.5 - 0.008, ZoneToS: 0.5 + 0.010,
	}
}

func TestPlanPace(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		fps     float64
		fromS   float64
		toS     float64
		perSrc  float64 // shown frames a frame of the clip
		slackIn float64 // shown frames: one at each end may fall either way
	}{
		{"240 before launch", 240, 0.25, 0.33, 1.0 / 3, 1},
		{"240 swing", 240, 0.36, 0.43, 1.0 / 2, 1},
		{"240 approach", 240, 0.445, 0.470, 1, 1},
		{"240 zone before contact", 240, 0.480, 0.497, 2, 2},
		{"240 after the zone", 240, 0.530, 0.555, 1, 1},
		{"120 zone before contact", 120, 0.480, 0.497, 4, 4},
		{"1000 approach", 1000, 0.445, 0.470, 0.24, 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			times := evenTimes(tc.fps, 1)
			src, got := 0, 0
			for _, s := range times {
				if s >= tc.fromS && s < tc.toS {
					src++
				}
			}
			for _, s := range plan(times, usualSwing()) {
				if at := times[s.frame]; at >= tc.fromS && at < tc.toS {
					got += s.times
				}
			}
			if want := tc.perSrc * float64(src); math.Abs(float64(got)-want) > tc.slackIn {
				t.Errorf("%d frames of the clip shown as %d, want %.1f", src, got, want)
			}
		})
	}
}

func TestPlanHoldsContactAndEnd(t *testing.T) {
	t.Parallel()
	for _, fps := range []float64{30, 60, 120, 240, 480, 1000} {
		times := evenTimes(fps, 1)
		m := usualSwing()
		m.ContactS += 0.3 / fps // between two frames, nearer to the first
		shots := plan(times, m)
		contact := footage.Nearest(times, m.ContactS)
		held := 0
		for i, s := range shots {
			if i > 0 && s.frame <= shots[i-1].frame {
				t.Fatalf("%g fps: frame %d after %d", fps, s.frame, shots[i-1].frame)
			}
			if at := times[s.frame]; at < m.StartS || at > m.EndS {
				t.Errorf("%g fps: frame at %g s lies outside %g to %g s", fps, at, m.StartS, m.EndS)
			}
			if s.frame == contact {
				held = s.times
			} else if i < len(shots)-1 && s.times > mostRepeats {
				t.Errorf("%g fps: frame %d shown %d times", fps, s.frame, s.times)
			}
		}
		if held <= ContactHold || held > ContactHold+mostRepeats {
			t.Errorf("%g fps: contact shown %d times, want a hold of %d", fps, held, ContactHold)
		}
		last := shots[len(shots)-1]
		if last.times <= EndHold || times[last.frame] < m.EndS-1/fps-1e-9 {
			t.Errorf("%g fps: ends on frame at %g s shown %d times", fps, times[last.frame], last.times)
		}
		if n := shown(shots); n > 250 {
			t.Errorf("%g fps: %d frames shown, want at most 250", fps, n)
		}
	}
}

// The choice goes by time: dropped frames change neither the pace nor the hold.
func TestPlanUnevenTimes(t *testing.T) {
	t.Parallel()
	whole := evenTimes(240, 1)
	var holes []float64
	for i, s := range whole {
		if i%7 != 3 {
			holes = append(holes, s)
		}
	}
	a, b := shown(plan(whole, usualSwing())), shown(plan(holes, usualSwing()))
	if math.Abs(float64(a-b)) > 6 {
		t.Errorf("%d frames with holes, %d without", b, a)
	}
}

func TestPlanNothingToShow(t *testing.T) {
	t.Parallel()
	m := usualSwing()
	m.StartS, m.EndS = 3, 4
	if got := plan(evenTimes(240, 1), m); len(got) != 0 {
		t.Errorf("plan outside the clip = %v", got)
	}
}

func TestPlanHoldsKeys(t *testing.T) {
	t.Parallel()
	times := evenTimes(240, 1)
	m := usualSwing()
	m.KeysS = []float64{m.LaunchS, m.ContactS - 0.04, m.ContactS, m.FinishS}
	times0, held := map[int]int{}, map[int]int{}
	for _, s := range plan(times, usualSwing()) {
		times0[s.frame] = s.times
	}
	for _, s := range plan(times, m) {
		held[s.frame] = s.times
	}
	for _, k := range m.KeysS {
		f, hold := footage.Nearest(times, k), KeyHold
		if k == m.ContactS {
			hold = 0 // of contact nothing changes
		}
		if got, want := held[f], max(times0[f], 1)+hold; got != want {
			t.Errorf("frame at %.3f s shown %d times, want %d", k, got, want)
		}
	}
}

// At normal speed a second away from contact is a second.
func TestRealPace(t *testing.T) {
	t.Parallel()
	times := evenTimes(240, 1)
	m := usualSwing()
	m.Real = true
	want := 0
	for _, s := range plan(times, usualSwing()) {
		if math.Abs(times[s.frame]-m.ContactS) <= approachFor {
			want += s.times
		}
	}
	slow, n := 0, 0
	for _, s := range plan(times, m) {
		switch at := times[s.frame]; {
		case math.Abs(at-m.ContactS) <= approachFor:
			slow += s.times
		case at < m.ContactS:
			n += s.times
		}
	}
	if before := (m.ContactS - approachFor - m.StartS) * footage.ShownFPS; math.Abs(float64(n)-before) > 1.5 {
		t.Errorf("%d frames before the slow part, want %.1f", n, before)
	}
	if slow < want-1 || slow > want+1 {
		t.Errorf("%d frames around contact, want %d as at the slow pace", slow, want)
	}
}
