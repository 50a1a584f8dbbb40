package card

import (
	"errors"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/card/hurt"
)

const whole = `
academy: fernhill
hitter: fh-017
session: 2026-04-11
label: before
kind: machine
bats: right
camera:
  side: open
  pitcher: right
  capture_fps: 240
  distance_m: 5.2
  roll_deg: 0
  yaw_deg: 0
  readout_ms: 0
scale:
  - points: [[412, 508], [520, 508]]
    length_m: 0.432
  - bat_marks: true
  - ball: true
marks:
  barrel: {colour: "#ff2d95", from_end_m: 0.10}
  hands: {colour: "#39d353"}
  lead_elbow: {colour: "#18b8e0"}
bat: {length_m: 0.838, barrel_diameter_m: 0.066, marks_apart_m: 0.70}
pitch: {line: tracked, ball: baseball}
`

func parse(text ...string) error {
	var s []Source
	for i, t := range text {
		s = append(s, Source{Name: []string{"session.card.yaml", "swing.card.yaml"}[i], Text: []byte(t)})
	}
	_, err := Parse(s...)
	return err
}

func TestParseWhole(t *testing.T) {
	t.Parallel()
	c, err := Parse(Source{"a", []byte(whole)})
	if err != nil {
		t.Fatal(err)
	}
	if c.Session != "2026-04-11" || c.Camera.DistanceM != 5.2 || len(c.Scale) != 3 || c.Scale[0].Points[1][0] != 520 ||
		c.Marks.Barrel.Colour != "#ff2d95" || c.Marks.Hands == nil || c.Bat.MarksApartM != 0.70 || !c.Scale[2].Ball {
		t.Errorf("got %+v", c)
	}
}

func TestClipOverridesSessionFieldByField(t *testing.T) {
	t.Parallel()
	c, err := Parse(
		Source{"session", []byte("hitter: fh-001\ncamera: {distance_m: 6, side: closed}\nmarks: {barrel: {colour: pink}}")},
		Source{"clip", []byte("camera: {distance_m: 5}\nlabel: after")})
	if err != nil {
		t.Fatal(err)
	}
	if c.Hitter != "fh-001" || c.Camera.DistanceM != 5 || c.Camera.Side != "closed" || c.Label != "after" {
		t.Errorf("got %+v", c)
	}
}

func TestErrorsNameFileAndField(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ name, text, want string }{
		{"unknown key", "camera: {distanc_m: 5}", `"camera.distanc_m": unknown key; nearest is "distance_m"`},
		{"unknown top key", "hiter: a", `"hiter": unknown key; nearest is "hitter"`},
		{"personal key", `"a \"b\" c": x`, `"a \"b\" c": unknown key;`},
		{"wrong type", "camera: {distance_m: far}", "camera.distance_m: string is not a number"},
		{"out of range", "camera: {distance_m: 500}", "camera.distance_m: 500 is not between 1 and 60"},
		{"bad choice", "bats: both", `bats: "both" is none of right, left`},
		{"bad colour", "marks: {barrel: {colour: blurple}}", "marks.barrel.colour"},
		{"mark without colour", "marks: {barrel: {from_end_m: 0.1}}", "marks.barrel: wants a colour"},
		{"bad id", `hitter: "../etc"`, "hitter:"},
		{"bad date", "session: 11-04-2026", "session:"},
		{"one point", "scale: [{points: [[1, 2]], length_m: 1}]", "scale[0].points: wants two points, has 1"},
		{"three numbers", "scale: [{points: [[1, 2, 3], [4, 5, 6]], length_m: 1}]", "scale[0].points[0]: wants 2 numbers, has 3"},
		{"no length", "scale: [{points: [[1, 2], [3, 4]]}]", "scale[0].length_m"},
		{"flight without speed", "pitch: {line: flight}", "pitch.speed_mps"},
		{"list for map", "camera: [1, 2]", "camera"},
		{"not yaml", "a: [", "swing"},
		{"a list", "- 1\n- 2", "session"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			err := parse(tc.text)
			if tc.name == "not yaml" {
				tc.want = "session.card.yaml"
			}
			if !errors.Is(err, ErrBad) || !strings.Contains(err.Error(), tc.want) || !strings.Contains(err.Error(), "session.card.yaml") {
				t.Errorf("got %v, want %q", err, tc.want)
			}
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("more than one line: %q", err)
			}
		})
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(whole))
	f.Add([]byte(`{"marks":{"barrel":{"colour":"pink"}}}`))
	f.Add([]byte("a: &x [*x, *x]"))
	f.Add([]byte("scale:\n  - points: [[1,2],[3,4]]\n    length_m: .nan"))
	for _, c := range hurt.Cards() {
		f.Add([]byte(c.Text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var c metrics.Card
		var err error
		mostOfACard.Call(t, func() { c, err = Parse(Source{"fuzz", text}) })
		if err != nil {
			if !errors.Is(err, ErrBad) {
				t.Fatalf("unclassed error %v", err)
			}
			return
		}
		if err := Check(c); err != nil {
			t.Fatalf("accepted a card that fails its check: %v", err)
		}
	})
}
