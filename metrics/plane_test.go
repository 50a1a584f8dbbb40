package metrics

import (
	"math"
	"testing"

	"ashline/metrics/catalogue"
)

// wide are limits within which the invented swing, which falls by 13°, has a zone:
// the direction opens it, the distance closes it.
var wide = Tolerances{DirectionDeg: 19.5}

// What is plotted of a swing is what its metrics say of it.
func TestPlaneAgreesWithMetrics(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]filmedSwing{
		"240": {fps: 240, zoom: 1, limits: wide}, "mirrored": {fps: 240, zoom: 1, limits: wide, mirror: true}, "120, later": {fps: 120, zoom: 1, limits: wide, startS: 3},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if testing.Short() && name != "240" {
				t.Skip("a whole swing more")
			}
			st := f.study(t)
			sw := st.Result.Swings[0]
			p, ok := st.Plane(0)
			if !ok || !p.Lined || !p.Zone.OK {
				t.Fatalf("no path, line or zone: %v, %v, %v", ok, p.Lined, p.Zone.OK)
			}
			at := map[float64]PlanePoint{}
			for _, q := range p.Points {
				at[q.TimeS] = q
			}
			enter, contact, leave := at[p.Zone.EnterS], at[0], at[p.Zone.LeaveS]
			along := func(q PlanePoint) float64 {
				a, _ := p.Line.Place([2]float64{q.XM, q.ZM})
				return a
			}
			for _, c := range []struct {
				what string
				got  float64
				want Value
			}{
				{"enter", enter.TimeS, sw.Metrics[catalogue.ZoneEnterS]},
				{"leave", leave.TimeS, sw.Metrics[catalogue.ZoneLeaveS]},
				{"length", along(leave) - along(enter), sw.Metrics[catalogue.ZoneLengthM]},
				{"behind", along(contact) - along(enter), sw.Metrics[catalogue.ZoneBehindM]},
				{"offset", contact.OffM, sw.Metrics[catalogue.PlaneOffsetM]},
				{"gap", contact.OffDeg, sw.Metrics[catalogue.PlaneGapDeg]},
				{"attack", math.Atan2(contact.VZMPS, contact.VXMPS) * 180 / math.Pi, sw.Metrics[catalogue.PlaneAttackDeg]},
				{"descent", p.Line.DescentDeg, sw.Metrics[catalogue.PitchDescentDeg]},
			} {
				if !near(c.got, c.want.Float(), 1e-9) {
					t.Errorf("%s: plotted %.9g, metric %.9g", c.what, c.got, c.want.Float())
				}
			}
			if contact.XM != 0 || contact.ZM != 0 {
				t.Errorf("contact is at %g, %g", contact.XM, contact.ZM)
			}
		})
	}
}

// The run in the zone ends where the plotted distance or direction crosses its limit.
func TestPlaneZoneIsWhereTheLimitsAreCrossed(t *testing.T) {
	t.Parallel()
	p, _ := filmedSwing{fps: 240, zoom: 1, limits: wide}.study(t).Plane(0)
	const edge = 1e-9 // of a time or a limit, that rounding may move
	within := func(q PlanePoint) bool {
		return math.Abs(q.OffM) <= p.NearM+edge && math.Abs(q.OffDeg) <= p.AlongDeg+1e-6
	}
	in, beside := 0, 0
	for i, q := range p.Points {
		if q.InZone {
			in++
			if !within(q) {
				t.Errorf("%.2f ms: in the zone at %.4f m, %.2f° off the line", 1000*q.TimeS, q.OffM, q.OffDeg)
			}
			continue
		}
		before := i+1 < len(p.Points) && p.Points[i+1].InZone
		after := i > 0 && p.Points[i-1].InZone
		if before || after {
			beside++
			if within(q) {
				t.Errorf("%.2f ms: out of the zone at %.4f m, %.2f° off the line", 1000*q.TimeS, q.OffM, q.OffDeg)
			}
		}
	}
	if in < 8 || beside != 2 {
		t.Errorf("%d points in the zone, %d beside it; want 8 or more and 2", in, beside)
	}
}

// The whole swing is one unbroken path: where the motion around contact goes over
// into the rest there is no step, and velocity is the change of place.
func TestPlanePathIsUnbroken(t *testing.T) {
	t.Parallel()
	st := filmedSwing{fps: 240, zoom: 1, limits: wide}.study(t)
	p, _ := st.Plane(0)
	for i := 1; i < len(p.Points); i++ {
		a, b := p.Points[i-1], p.Points[i]
		dt := b.TimeS - a.TimeS
		if dt < 0 || dt > planeStepS+1e-9 {
			t.Fatalf("from %g to %g s", a.TimeS, b.TimeS)
		}
		// Half of an ordinary acceleration, 2000 m/s², over a step, and what easing adds.
		slack := 2000*dt*dt/2 + 2*dt + 1e-9
		if dx, dz := b.XM-a.XM-a.VXMPS*dt, b.ZM-a.ZM-a.VZMPS*dt; math.Hypot(dx, dz) > slack {
			t.Errorf("at %.1f ms the path jumps by %.1f mm", 1000*a.TimeS, 1000*math.Hypot(dx, dz))
		}
	}
	last := math.Inf(-1)
	for _, k := range p.Keys {
		if k.TimeS < last {
			t.Errorf("%s at %g s stands after %g s", k.Name, k.TimeS, last)
		}
		last = k.TimeS
	}
	if len(p.Keys) < 3 {
		t.Errorf("%d key positions", len(p.Keys))
	}
	sw := st.Result.Swings[0]
	for _, k := range p.Keys {
		// The finish is measured from the swing as a whole, which is up to a hand's
		// breadth off the motion around contact.
		if k.Name == "finish" && !near(k.ZM, sw.Metrics[catalogue.FinishHeightM].Float(), 0.03) {
			t.Errorf("finish at %.3f m, measured %.3f m", k.ZM, sw.Metrics[catalogue.FinishHeightM].Float())
		}
	}
}

func TestPlaneOfWhatIsNotKnown(t *testing.T) {
	t.Parallel()
	unscaledSwing := filmedSwing{fps: 240, zoom: 1, scale: []Scale{}, blind: true, apart: true}.study(t)
	for name, c := range map[string]struct {
		st Study
		i  int
	}{
		"no scale":   {unscaledSwing, 0},
		"no swing":   {unscaledSwing, 1},
		"before all": {unscaledSwing, -1},
		"no bands":   {Measure(Track{Swings: []Span{{0, 9}}}, Card{}, nil), 0},
	} {
		if p, ok := c.st.Plane(c.i); ok {
			t.Errorf("%s: a path of %d points", name, len(p.Points))
		}
	}
	p, ok := filmedSwing{fps: 240, zoom: 1, blind: true}.study(t).Plane(0)
	if !ok || p.Lined || p.LineSource != "none" {
		t.Fatalf("without a ball: %v, lined %v, %q", ok, p.Lined, p.LineSource)
	}
	for _, q := range p.Points {
		if q.InZone || !math.IsNaN(q.OffM) || !math.IsNaN(q.OffDeg) {
			t.Fatalf("without a line: %+v", q)
		}
	}
}
