package scene

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"
)

func known(t *testing.T, what string, v *float64) float64 {
	t.Helper()
	if v == nil {
		t.Fatalf("%s is missing", what)
	}
	return *v
}

func number(t *testing.T, n Numbers, path string) float64 {
	t.Helper()
	v, ok := n[path]
	if !ok {
		t.Fatalf("%s is missing", path)
	}
	return v
}

// The zone again, by another road: the mark itself at 0.1 ms, direction by a
// five-point derivative, edges by bisection.
func TestZoneByAnotherMethod(t *testing.T) {
	t.Parallel()
	const tolS = 1e-5 // half a step of the dense sampling
	for seed := uint64(1); seed <= 12; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			s := setup(t, Random(seed, Clean))
			truth := s.swingTruth().Metrics
			b := s.pitch.at(s.ballZero)
			slope := b.vz / b.vx // of the line, height for each metre
			inside := func(ts float64) bool {
				const h = 5e-6
				m := s.Mark(ts)
				d := math.Abs(m.Z-b.z-slope*(m.X-b.x)) / math.Sqrt(1+slope*slope)
				p2, p1, n1, n2 := s.Mark(ts+2*h), s.Mark(ts+h), s.Mark(ts-h), s.Mark(ts-2*h)
				vx := 8*(p1.X-n1.X) - (p2.X - n2.X)
				vz := 8*(p1.Z-n1.Z) - (p2.Z - n2.Z)
				off := math.Atan2(vz, vx) - math.Atan(slope)
				return d <= s.P.BarrelDiameterM/2+0.0364 && math.Abs(off) <= 10*degree
			}
			if !inside(0) {
				t.Skip("contact is outside the zone; the nearest run is another definition's matter")
			}
			edge := func(step float64) float64 {
				ts := 0.0
				for inside(ts + step) {
					ts += step
				}
				lo, hi := ts, ts+step
				for range 40 {
					if mid := (lo + hi) / 2; inside(mid) {
						lo = mid
					} else {
						hi = mid
					}
				}
				return lo
			}
			enter, leave := edge(-1e-4), edge(1e-4)
			near(t, "enter", number(t, truth, "zone.enter_s"), enter, tolS)
			near(t, "leave", number(t, truth, "zone.leave_s"), leave, tolS)
			near(t, "duration", number(t, truth, "zone.duration_s"), leave-enter, 2*tolS)
			a, c := s.Mark(enter), s.Mark(leave)
			length := ((c.X - a.X) + slope*(c.Z-a.Z)) / math.Sqrt(1+slope*slope)
			near(t, "length", number(t, truth, "zone.length_m"), length, 0.001)
			near(t, "behind and ahead", truth["zone.behind_m"]+truth["zone.ahead_m"], length, 0.001)
		})
	}
}

// A barrel and a ball on straight lines at constant speeds have timing windows
// in closed form: sliding by d moves the line of relative motion by
// V·d·|u×e|/|u|, u the relative velocity and e the barrel's direction.
func TestTimingClosedForm(t *testing.T) {
	t.Parallel()
	const v, angleDeg, ballV, descentDeg = 30.0, 14.0, 36.0, 6.0
	s := &Scene{P: Params{BarrelDiameterM: 0.066, RunOutS: 0.2}}
	sn, cs := math.Sincos(angleDeg * degree)
	f := &film{from: -0.3}
	for i := range int(0.6/denseS) + 1 {
		ts := f.from + float64(i)*denseS
		f.x, f.z = append(f.x, v*cs*ts), append(f.z, v*sn*ts)
		f.vx, f.vz = append(f.vx, v*cs), append(f.vz, v*sn)
	}
	down, along := math.Sincos(descentDeg * degree)
	s.pitch = air{massKG: 1}.fly(ballState{x: ballV * along * 0.3, z: ballV * down * 0.3, vx: -ballV * along, vz: -ballV * down}, -0.3, 0.6)
	ux, uz := -ballV*along-v*cs, -ballV*down-v*sn
	shift := v * math.Abs(cs*uz-sn*ux) / math.Hypot(ux, uz) // of the line, m for each second slid
	solid, touch := s.timing(f)
	got := Numbers{}
	solid.putWindow(got, "timing.solid")
	touch.putWindow(got, "timing.any")
	near(t, "any", number(t, got, "timing.any.window_s"), 2*s.P.reachM()/shift, 2e-5)
	near(t, "solid", number(t, got, "timing.solid.window_s"), 2*solidM/shift, 2e-5)
	near(t, "early", number(t, got, "timing.solid.early_s"), solidM/shift, 2e-5)
	near(t, "late", number(t, got, "timing.solid.late_s"), solidM/shift, 2e-5)
}

func TestKeysAreInOrderAndComplete(t *testing.T) {
	t.Parallel()
	for _, family := range Families() {
		for seed := uint64(102); seed < 104; seed++ {
			t.Run(fmt.Sprint(family, seed), func(t *testing.T) {
				t.Parallel()
				s := setup(t, Random(seed, family))
				tr := s.swingTruth()
				launch := known(t, "launch", tr.Keys.Launch.TimeS)
				slot, lag := known(t, "slot", tr.Keys.Slot.TimeS), known(t, "lag", tr.Keys.Lag.TimeS)
				finish := known(t, "finish", tr.Keys.Finish.TimeS)
				if launch < -0.25 || launch > -0.12 || slot < launch || slot > 0 || lag < launch || lag > 0 || finish < 0.05 {
					t.Errorf("launch %.3f, slot %.3f, lag %.3f, finish %.3f", launch, slot, lag, finish)
				}
				c := known(t, "frame of contact", tr.Keys.Contact.Frame)
				i := int(c)
				near(t, "time of the frame of contact", s.timesS[i]+(c-float64(i))*(s.timesS[i+1]-s.timesS[i]), 0, 1e-9)
				if d := number(t, tr.Metrics, "pitch.descent_deg"); d < 1 || d > 13.5 {
					t.Errorf("descent %.1f", d)
				}
				for _, path := range []string{"zone.near.enter_s", "timing.any.window_s", "body.hands_path_m"} {
					number(t, tr.Metrics, path)
				}
			})
		}
	}
}

func TestTruthOfFrames(t *testing.T) {
	t.Parallel()
	p := Random(8, Clean)
	p.Bands = []string{"all"}
	s := setup(t, p)
	tr := s.Truth()
	if len(tr.Frames) != s.Frames() {
		t.Fatalf("%d frames, want %d", len(tr.Frames), s.Frames())
	}
	seen := 0
	for i, f := range tr.Frames {
		near(t, "pts", f.PTSS, f.TimeS-tr.Frames[0].TimeS, 1e-12)
		if f.Barrel.Visible > 0.99 {
			seen++
		}
		if i > 0 && i+1 < len(tr.Frames) && math.Abs(f.TimeS) > 0.01 {
			// The stated velocity is that of the stated places.
			a, b := tr.Frames[i-1].Barrel, tr.Frames[i+1].Barrel
			near(t, "vx", f.Barrel.VX, (b.X-a.X)/(b.TimeS-a.TimeS), 1.5)
		}
		if j := f.Joints["lead_elbow"]; !j.Worn || j.Visible < 0 || j.Visible > 1 {
			t.Fatalf("frame %d: lead elbow %+v", i, j)
		}
	}
	if seen < s.Frames()/2 {
		t.Errorf("barrel wholly seen in %d of %d frames", seen, s.Frames())
	}
}

// Nothing in any kind of scene's truth may be without a number.
func TestTruthIsJSON(t *testing.T) {
	t.Parallel()
	for _, kind := range kinds {
		for seed := uint64(4); seed < 7; seed++ {
			p := Random(seed, Clean)
			p.Kind = kind
			if kind == "toss" {
				p.PitchSpeedMPS, p.ReleaseDistanceM, p.ReleaseHeightM = 0, 0, 0
			}
			if _, err := json.Marshal(setup(t, p).Truth()); err != nil {
				t.Errorf("%s %d: %v", kind, seed, err)
			}
		}
	}
}
