package metrics

import (
	"strings"
	"testing"

	"ashline/metrics/catalogue"
)

// What counts from an assumed contact is assumed: without a ball that is all that is
// known of the swing, its key positions too.
func TestAssumedContact(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("two whole swings")
	}
	for _, blind := range []bool{true, false} {
		sw := filmedSwing{fps: 240, zoom: 1, blind: blind}.measure(t)
		want := Measured
		if blind {
			want = Assumed
		}
		known := 0
		for m := range catalogue.NumMetrics {
			v := sw.Metrics[m]
			if !v.Known() {
				continue
			}
			known++
			if v.Status != want || blind && !strings.Contains(v.Why, "no ball was seen") {
				t.Errorf("blind %v: %s is %s, %q", blind, m.Path(), v.Status, v.Why)
			}
		}
		for _, k := range sw.Keys.Named() {
			if k.TimeS != nil && k.Status != want {
				t.Errorf("blind %v: %s is %s, want %s", blind, k.Name, k.Status, want)
			}
		}
		if known < 10 {
			t.Errorf("blind %v: only %d metrics are known", blind, known)
		}
	}
}

// What rests on a line computed from the card is assumed, the barrel's own is not.
func TestComputedLine(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("a whole swing")
	}
	tr, card := filmedSwing{fps: 240, zoom: 1, limits: wide}.film()
	card.Pitch = PitchCard{Line: "flight", SpeedMPS: 36}
	sw := Measure(tr, card, nil).Result.Swings[0]
	for m, want := range map[catalogue.Metric]Status{
		catalogue.PitchDescentDeg: Assumed, catalogue.PlaneGapDeg: Assumed, catalogue.PlaneOffsetM: Assumed,
		catalogue.ZoneDurationS: Assumed, catalogue.ZoneNearEnterS: Assumed,
		catalogue.PlaneAttackDeg: Measured, catalogue.PitchSpeedMPS: Measured, catalogue.TimingAnyWindowS: Measured, catalogue.SpeedBarrelContactMPS: Measured,
	} {
		if v := sw.Metrics[m]; v.Status != want {
			t.Errorf("%s is %s, want %s", m.Path(), v, want)
		}
	}
}

// The reason for what is missing is the first thing that it lacks.
func TestLack(t *testing.T) {
	t.Parallel()
	scaled := setting{scale: ScaleUse{Source: "points"}}
	lined := noFigures()
	lined.metric[catalogue.PitchDescentDeg] = 6
	launched := noFigures()
	launched.keyS[catalogue.Launch] = -0.15
	slotted := launched
	slotted.keyS[catalogue.Lag], slotted.keyS[catalogue.Slot] = -0.05, -0.09
	banded := scaled
	banded.card.Marks = Marks{Hands: &Mark{}, BackElbow: &Mark{}, BackHip: &Mark{}}
	for _, tc := range []struct {
		name   string
		s      setting
		f      figures
		metric catalogue.Metric
		want   string
	}{
		{"no scale", setting{scale: ScaleUse{Source: "guess"}}, noFigures(), catalogue.ZoneLengthM, unscaled},
		{"no scale, an angle", setting{scale: ScaleUse{Source: "guess"}}, noFigures(), catalogue.PlaneGapDeg, noLine},
		{"no line", scaled, noFigures(), catalogue.ZoneLengthM, noLine},
		{"a drawn line, no ball", scaled, lined, catalogue.TimingAnyWindowS, noBall},
		{"a drawn line, never near it", scaled, lined, catalogue.ZoneNearEnterS, catalogue.ZoneNearEnterS.Row().Never},
		{"no hands' mark", scaled, noFigures(), catalogue.TempoLagContactS, "no hands' mark on the card"},
		{"hands not seen", banded, noFigures(), catalogue.SpeedHandsPeakMPS, "the hands' mark was not seen"},
		{"no launch", banded, noFigures(), catalogue.TempoLaunchContactS, catalogue.Launch.Row().Never},
		{"no slot for want of hands", scaled, launched, catalogue.BodyElbowHipSlotM, "no hands' mark on the card"},
		{"no joints", scaled, slotted, catalogue.BodyElbowHipSlotM, "no mark on back elbow, back hip on the card, and no pose network found it"},
		{"joints not seen", banded, slotted, catalogue.BodyElbowHipSlotM, "the mark on back elbow, back hip was not seen"},
		{"no finish", scaled, launched, catalogue.FinishHeightM, catalogue.Finish.Row().Never},
	} {
		g := footingOf(paths{sighted: sighted{setting: tc.s}}, motion{}, tc.f)
		if v := g.value(tc.metric, spread{}); v.Known() || v.Status != Missing || v.Why != tc.want || v.Unit != tc.metric.Row().Unit {
			t.Errorf("%s: got %q, want %q", tc.name, v, tc.want)
		}
	}
}

// An elbow's angle whose interval is wider than 75° is said not to be known, with the
// interval; a narrower one is told.
func TestWidestAngle(t *testing.T) {
	t.Parallel()
	for wide, want := range map[float64]bool{70: true, 80: false} {
		f := noFigures()
		f.metric[catalogue.BodyLeadElbowContactDeg] = 90
		var s spread
		for i := range 2001 {
			d := noFigures()
			// An even spread, of which 95 % are this wide.
			d.metric[catalogue.BodyLeadElbowContactDeg] = 90 + wide/0.95*(float64(i)/2000-0.5)
			s.draws = append(s.draws, d)
		}
		v := footingOf(paths{sighted: sighted{setting: setting{scale: ScaleUse{Source: "points"}}}}, motion{}, f).value(catalogue.BodyLeadElbowContactDeg, s)
		if v.Known() != want || !want && !strings.Contains(v.Why, "anything from 50° to 130°") {
			t.Errorf("%g° wide: %v", wide, v)
		}
	}
}

// At 240 frames a second three frames without the barrel before contact are too many, at 60
// one is as it must be.
func TestUnseenBeforeContact(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		fps, lastS float64 // of the last sighting before contact, at 1 s
		unseen     bool
	}{
		"seen":              {240, 0.998, false},
		"two frames":        {240, 1 - 2.4/240, false},
		"five frames":       {240, 1 - 5.5/240, true},
		"one frame of many": {60, 1 - 1.2/60, false},
		"two of few":        {60, 1 - 2.2/60, true},
		"never":             {240, 1.5, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := sighted{setting: setting{fps: tc.fps}, barrel: []Sample{{TimeS: tc.lastS}, {TimeS: 1.01}}}
			if why := unseenAt(s, 1); strings.Contains(why, "out of sight") != tc.unseen {
				t.Errorf("%q", why)
			}
		})
	}
}
