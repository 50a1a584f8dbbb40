package setup

import (
	"errors"
	"math"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/card"
)

const degree = math.Pi / 180

// cage is what a camera sees of posts and rails.
func cage(v geom.View) [][2]geom.Point {
	var out [][2]geom.Point
	for x := -3.0; x <= 3; x++ {
		out = append(out, [2]geom.Point{v.Project(geom.World{X: x, Y: -2, Z: -1}), v.Project(geom.World{X: x, Y: -2, Z: 1.5})})
	}
	for z := -1.0; z <= 1.5; z += 0.5 {
		out = append(out, [2]geom.Point{v.Project(geom.World{X: -2.5, Y: -2, Z: z}), v.Project(geom.World{X: 2.5, Y: -2, Z: z})})
	}
	return out
}

func TestAttitude(t *testing.T) {
	t.Parallel()
	type angle struct{ roll, tilt, yaw float64 }
	for name, tc := range map[string]struct {
		card, true angle
		blind      bool // nothing upright or level is in sight
		want       angle
		sd         metrics.AttitudeSD
		wrong      string
		notes      int
	}{
		"all left out":       {true: angle{1.2, -2.5, 6}, want: angle{1.2, -2.5, 6}, sd: metrics.AttitudeSD{RollDeg: 0.2, TiltDeg: 0.3, YawDeg: 1}, notes: 3},
		"nothing to be seen": {true: angle{1.2, -2.5, 6}, blind: true, sd: metrics.AttitudeSD{RollDeg: 1, TiltDeg: 3, YawDeg: 3}},
		"stated and true":    {card: angle{1.2, -2.5, 6}, true: angle{1.2, -2.5, 6}, want: angle{1.2, -2.5, 6}, sd: metrics.AttitudeSD{RollDeg: 0.2, TiltDeg: 0.3, YawDeg: 1}},
		"stated, unseen":     {card: angle{1.2, -2.5, 6}, true: angle{1.2, -2.5, 6}, blind: true, want: angle{1.2, -2.5, 6}, sd: metrics.AttitudeSD{RollDeg: 0.3, TiltDeg: 0.5, YawDeg: 1}},
		"a little off":       {card: angle{2, -1, 4}, true: angle{1.2, -2.5, 6}, want: angle{1.2, -2.5, 4}, sd: metrics.AttitudeSD{RollDeg: 0.2, TiltDeg: 0.3, YawDeg: 1}, notes: 2},
		"roll far off":       {card: angle{12, 0, 0}, true: angle{0.5, -2, 1}, wrong: "camera.roll_deg is 12.0°"},
		"tilt far off":       {card: angle{0, 9, 0}, true: angle{0.5, -2, 1}, wrong: "camera.tilt_deg is 9.0°"},
		"yaw far off":        {card: angle{0, 0, 25}, true: angle{0.5, -2, 1}, wrong: "camera.yaw_deg is 25.0°"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := geom.View{FocalPx: 900, CX: 639.5, CY: 359.5, DistanceM: 6, Sign: -1, Lens: true}
			seen := v
			seen.RollRad, seen.TiltRad, seen.YawRad = tc.true.roll*degree, tc.true.tilt*degree, -tc.true.yaw*degree
			v.RollRad, v.TiltRad, v.YawRad = tc.card.roll*degree, tc.card.tilt*degree, -tc.card.yaw*degree
			edges := cage(seen)
			if tc.blind {
				edges = nil
			}
			c := metrics.Card{Camera: metrics.Camera{RollDeg: tc.card.roll, TiltDeg: tc.card.tilt, YawDeg: tc.card.yaw}}
			got, notes, err := Attitude(c, v, true, edges, 720)
			if tc.wrong != "" {
				if !errors.Is(err, card.ErrBad) || !strings.Contains(err.Error(), tc.wrong) {
					t.Fatalf("error %v, want one of the card with %q", err, tc.wrong)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			cam := got.Camera
			if off := math.Max(math.Abs(cam.RollDeg-tc.want.roll), math.Max(math.Abs(cam.TiltDeg-tc.want.tilt), math.Abs(cam.YawDeg-tc.want.yaw))); off > 0.15 {
				t.Errorf("got roll %.2f tilt %.2f yaw %.2f, want %+v", cam.RollDeg, cam.TiltDeg, cam.YawDeg, tc.want)
			}
			if d := cam.SD; math.Abs(d.RollDeg-tc.sd.RollDeg) > 0.05 || math.Abs(d.TiltDeg-tc.sd.TiltDeg) > 0.05 || math.Abs(d.YawDeg-tc.sd.YawDeg) > 0.05 {
				t.Errorf("got s.d. %+v, want %+v", d, tc.sd)
			}
			if len(notes) != tc.notes {
				t.Errorf("got notes %q, want %d", notes, tc.notes)
			}
		})
	}
}
