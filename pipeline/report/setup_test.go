package report_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
	"ashline/metrics/zone"
	"ashline/pipeline/report"
)

// rude texts end elements, attributes, comments and cues, open scripts, and turn the
// direction of writing.
var rude = `"'><script>document.title=1</script><img src=x onerror=document.title=1>--> {{.}} ` + "\u202e\u2066\x00\r\n\n00:00:00.000 --> 00:00:09.000\nNOTE & " + strings.Repeat("long", 40)

func value(v, half float64, unit string) metrics.Value { return metrics.Got(v, v-half, v+half, unit) }

// invented is a swing with most of its metrics, one of them assumed, in the units that
// metrics.json has.
func invented() metrics.Swing {
	at := func(t float64) metrics.Key {
		frame := 100 + 240*t
		return metrics.Key{TimeS: &t, Frame: &frame, Confidence: 0.8, Status: metrics.Measured}
	}
	const noJoint = "the lead elbow was hidden at slot"
	sw := metrics.Swing{Keys: metrics.Keys{Launch: at(-0.15), Slot: metrics.Key{Status: metrics.Missing, Why: noJoint}, Lag: at(-0.05), Contact: at(0), Finish: at(0.19)}}
	sw.Line = "tracked"
	for m := range catalogue.NumMetrics {
		sw.Metrics[m] = metrics.Lacking(m.Row().Unit, "")
	}
	for m, v := range map[catalogue.Metric][2]float64{
		catalogue.PitchDescentDeg: {6.1, 0.3}, catalogue.PitchSpeedMPS: {33, 0.4},
		catalogue.PlaneAttackDeg: {9.7, 1.1}, catalogue.PlaneGapDeg: {3.6, 1.2}, catalogue.PlaneOffsetM: {-0.004, 0.003},
		catalogue.ZoneEnterS: {-0.012, 0.0006}, catalogue.ZoneLeaveS: {0.008, 0.001}, catalogue.ZoneDurationS: {0.02, 0.001},
		catalogue.ZoneLengthM: {0.55, 0.02}, catalogue.ZoneBehindM: {0.33, 0.02}, catalogue.ZoneAheadM: {0.22, 0.02},
		catalogue.ZoneNearEnterS: {-0.012, 0.0006}, catalogue.ZoneNearLeaveS: {0.008, 0.001}, catalogue.ZoneNearDurationS: {0.02, 0.001},
		catalogue.ZoneAlongEnterS: {-0.012, 0.0006}, catalogue.ZoneAlongLeaveS: {0.008, 0.001}, catalogue.ZoneAlongDurationS: {0.02, 0.001},
		catalogue.TimingSolidEarlyS: {0.004, 0.001}, catalogue.TimingSolidLateS: {0.006, 0.002}, catalogue.TimingSolidWindowS: {0.01, 0.002},
		catalogue.TimingAnyEarlyS: {0.012, 0.001}, catalogue.TimingAnyLateS: {0.021, 0.003}, catalogue.TimingAnyWindowS: {0.033, 0.003},
		catalogue.SpeedBarrelContactMPS: {31, 1.2}, catalogue.SpeedBarrelPeakMPS: {31.4, 1.2},
		catalogue.TempoLaunchContactS: {0.15, 0.003}, catalogue.TempoLaunchLagS: {0.1, 0.003}, catalogue.TempoLagContactS: {0.05, 0.002},
		catalogue.BodyHandsStraightness: {0.93, 0.02},
		catalogue.FinishHeightM:         {1.32, 0.05}, catalogue.FinishExtensionM: {0.6, 0.03}, catalogue.FinishExtensionS: {0.05, 0.003},
	} {
		sw.Metrics[m] = value(v[0], v[1], m.Row().Unit)
	}
	sw.Metrics[catalogue.ZoneLengthM] = sw.Metrics[catalogue.ZoneLengthM].As(metrics.Assumed, "the pitch line is computed from the card's speed, release and spin")
	sw.Metrics[catalogue.SpeedHandsPeakMPS] = metrics.Lacking("m/s", "no hands' mark on the card")
	return sw
}

// planePath is a barrel that crosses the pitch line at contact, at so many degrees.
func planePath(crossDeg float64) metrics.PlanePath {
	p := metrics.PlanePath{Lined: true, NearM: 0.07, AlongDeg: 10, FromS: -0.1, ToS: 0.1, LineSource: "tracked", Line: zone.Line{DescentDeg: 6}}
	p.Zone = zone.Zone{Span: zone.Span{EnterS: -0.012, LeaveS: 0.008, OK: true}}
	for i := -150; i <= 190; i++ {
		t := float64(i) / 1000
		sin, cos := math.Sincos(25 * t)
		q := metrics.PlanePoint{TimeS: t, XM: 0.8 * sin, ZM: 0.5 * (1 - cos), VXMPS: 20 * cos, VZMPS: 12.5 * sin, OffM: t * 4, OffDeg: crossDeg + 300*t}
		q.InZone = t >= p.Zone.EnterS && t <= p.Zone.LeaveS
		p.Points = append(p.Points, q)
	}
	p.Keys = []metrics.PlaneKey{{Name: "launch", TimeS: -0.15, XM: -0.45, ZM: 0.9}, {Name: "contact"}, {Name: "finish", TimeS: 0.19, XM: -0.8, ZM: 0.5}}
	return p
}

// result is what one clip comes to.
func result(swings ...metrics.Swing) metrics.Result {
	return metrics.Result{
		Schema: metrics.SchemaVersion, Program: "0.1.0",
		Clip:    metrics.Clip{SHA256: strings.Repeat("0123456789abcdef", 4), Width: 1280, Height: 720, Frames: 300, CaptureFPS: 240, Codec: "h264"},
		Card:    metrics.Card{Academy: "fernhill", Hitter: "fh-017", Session: "2026-04-11", Label: "before", Kind: "machine", Bats: "right"},
		Quality: metrics.Quality{ScaleSource: "points", BarrelSeen: 80, BarrelFlow: 3, Notes: []string{"a note"}},
		Swings:  swings,
		Findings: []metrics.Finding{
			{ID: "a", Key: "contact", Topic: "line", Praise: true, Text: "The barrel is on the line for 20 ms.", Evidence: []string{"zone.duration_s 0.0201 s [0.0191, 0.0212], contact at frame 96.48", "plane.gap_deg", "of no metric", "zone.enter_s x s [1, 2]", "zone.none 1 s [1, 2]"}},
			{ID: "b", Key: "contact", Topic: "line", Text: "It comes on late."},
			{ID: "c", Key: "lag", Topic: "hands", Text: "The barrel trails late."},
			{ID: "b", Key: "contact", Topic: "line", Next: true, Text: "Come onto the line earlier."},
		},
	}
}

var video = report.Video{File: "overlay.mp4", FPS: 30, Frames: 100, Width: 640, Height: 360}

// marked is what the video shows of one swing.
func marked() report.Swing {
	return report.Swing{
		Path: planePath(2),
		Marks: []report.Mark{
			{Name: "launch", TimeS: -0.15, Frame: 8},
			{Name: "lag", TimeS: -0.05, Frame: 30},
			{Name: "zone", TimeS: -0.012, Frame: 38, Until: 55},
			{Name: "contact", Frame: 42},
			{Name: "finish", TimeS: 0.19, Frame: 80},
		},
		Stills: []report.Still{{Name: "launch", TimeS: -0.15, File: "stills/launch.png"}, {Name: "contact", File: "stills/contact.png"}},
	}
}

// rudeResult has the rude text wherever a text can come from outside.
func rudeResult() metrics.Result {
	sw := invented()
	sw.Keys.Slot.Why = rude
	sw.Metrics[catalogue.BodyHeadDriftM] = metrics.Lacking("m", rude)
	sw.Metrics[catalogue.PlaneGapDeg] = sw.Metrics[catalogue.PlaneGapDeg].As(metrics.Assumed, rude)
	sw.Metrics[catalogue.TimingSolidEarlyS] = metrics.Lacking("s", rude)
	sw.Metrics[catalogue.PlaneAttackDeg].Status, sw.Metrics[catalogue.PlaneAttackDeg].Unit = metrics.Status(rude), rude
	r := result(sw)
	r.Card.Hitter, r.Card.Session, r.Card.Label, r.Card.Kind, r.Card.Bats, r.Card.Academy = rude, rude, rude, rude, rude, rude
	r.Program, r.Clip.SHA256, r.Quality.Notes, r.Quality.ScaleSource = rude, rude, []string{rude}, rude
	r.Findings = []metrics.Finding{{ID: rude, Key: rude, Topic: rude, Swing: -7, Text: rude, Evidence: []string{rude, "zone.enter_s 1 " + rude + " [0, 2]", "zone.enter_s 1 s [Inf, 1e999]"}}}
	return r
}

func outcome() change.Outcome {
	mean := func(v float64) change.Mean { return change.Mean{Value: v, Swings: 1, Status: metrics.Measured} }
	return change.Outcome{
		Schema: change.SchemaVersion, Program: "0.1.0", Notes: []string{"of metrics that did not change, about one in twenty reads as real by chance"},
		Changes: []change.Change{
			{Metric: "plane.attack_deg", Unit: "deg", Before: mean(3.8), After: mean(9.8), Change: value(6, 1.3, "deg"), Detectable: 1.3, Verdict: change.SwingsOnly},
			{Metric: "plane.offset_m", Unit: "m", Before: mean(-0.0021), After: mean(-0.0022), Change: value(-0.0001, 0.0077, "m"), Detectable: 0.0077, Verdict: change.NotTold},
			{Metric: "zone.duration_s", Unit: "s", Before: change.Mean{Value: 0.0208, Swings: 3, Missing: 1, Status: metrics.Assumed}, After: mean(0.031), Change: value(0.0102, 0.002, "s").As(metrics.Assumed, "x"), Detectable: 0.002, Verdict: change.Real},
			{Metric: "speed.barrel_contact_mps", Unit: "m/s", Before: mean(30.9), After: mean(31), Change: value(0.1, 4.2, "m/s"), Detectable: 4.2, Verdict: change.NotTold},
		},
		LeftOut: []change.LeftOut{{Metric: "body.head_drift_m", Side: "both", Why: "no pose network"}, {Metric: "keys.none", Side: "after", Why: ""}},
	}
}

func comparison() report.Comparison {
	after := result(invented())
	after.Card.Label = "after"
	return report.Comparison{
		Before: report.Side{Result: result(invented()), Path: planePath(-6), Stills: []report.Still{{Name: "contact", File: "stills/before.png"}}},
		After:  report.Side{Result: after, Path: planePath(2)},
		Marks:  []report.Mark{{Name: "launch", TimeS: -0.15, Frame: 8}, {Name: "lag", TimeS: -0.05, Frame: 30}, {Name: "contact", Frame: 42}},
		Video:  report.Video{File: "compare.mp4", FPS: 30, Frames: 100, Width: 1280, Height: 360}, Outcome: outcome(),
		Sentences: []string{"The barrel now rises 6° more: between these two swings the difference is real."},
	}
}

func rudeComparison() report.Comparison {
	c := comparison()
	c.Before.Result, c.After.Result = rudeResult(), rudeResult()
	c.Before.Name, c.Sentences = rude, []string{rude}
	c.Outcome.Program, c.Outcome.Notes = rude, []string{rude}
	c.Outcome.Changes[0].Metric, c.Outcome.Changes[1].Unit, c.Outcome.Changes[2].Verdict = rude, rude, change.Verdict(rude)
	c.Outcome.LeftOut = append(c.Outcome.LeftOut, change.LeftOut{Metric: rude, Side: rude, Why: rude})
	return c
}

func written(t *testing.T, p report.Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.Write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func compared(t *testing.T, c report.Comparison) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteCompare(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
