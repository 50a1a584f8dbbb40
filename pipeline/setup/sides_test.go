package setup

import (
	"errors"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/card"
)

func TestSides(t *testing.T) {
	t.Parallel()
	type want struct{ bats, side, pitcher, wrong string }
	for name, tc := range map[string]struct {
		bats, side, pitcher string
		towards             float64
		want                want
	}{
		// A right-handed hitter faces the first-base side; from there the mound is on the right.
		"all stated, all true":          {"right", "open", "right", 0.9, want{bats: "right", side: "open", pitcher: "right"}},
		"from behind the back":          {"right", "closed", "left", -0.9, want{bats: "right", side: "closed", pitcher: "left"}},
		"wrong pitcher":                 {"right", "open", "left", 0.9, want{wrong: "camera.pitcher says left"}},
		"wrong hand":                    {"left", "open", "", 0.9, want{wrong: "bats left seen from the open side"}},
		"wrong side":                    {"right", "closed", "", 0.9, want{wrong: "bats right seen from the closed side"}},
		"hand follows":                  {"", "open", "", -0.9, want{bats: "left", side: "open", pitcher: "left"}},
		"side follows":                  {"left", "", "", 0.9, want{bats: "left", side: "closed", pitcher: "right"}},
		"nothing stated":                {"", "", "", -0.9, want{bats: "left", side: "", pitcher: "left"}},
		"the picture is silent":         {"right", "open", "left", 0.1, want{bats: "right", side: "open", pitcher: "left"}},
		"pitcher alone, and it is true": {"", "", "left", -0.9, want{bats: "left", side: "", pitcher: "left"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := metrics.Card{Bats: tc.bats, Camera: metrics.Camera{Side: tc.side, Pitcher: tc.pitcher}}
			got, _, err := Sides(c, tc.towards)
			if tc.want.wrong != "" {
				if !errors.Is(err, card.ErrBad) || !strings.Contains(err.Error(), tc.want.wrong) {
					t.Fatalf("error %v, want one of the card with %q", err, tc.want.wrong)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if got.Bats != tc.want.bats || got.Camera.Side != tc.want.side || got.Camera.Pitcher != tc.want.pitcher {
				t.Errorf("got bats %q side %q pitcher %q, want %+v", got.Bats, got.Camera.Side, got.Camera.Pitcher, tc.want)
			}
		})
	}
}
