package spell

import "testing"

func TestNearest(t *testing.T) {
	t.Parallel()
	known := []string{"distance_m", "roll_deg", "side", "slot", "solid"}
	for word, want := range map[string]string{
		"distanc_m": "distance_m", // a letter dropped
		"distance":  "distance_m", // only a part
		"ROL":       "roll_deg",   // another case
		"sode":      "side",       // a letter changed
		"slid":      "side",       // one slip from side and from solid; the shorter name
		"soolid":    "solid",      // a letter too many
	} {
		if got := Nearest(word, known); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
	if got := Nearest("x", nil); got != "" {
		t.Errorf("of nothing: %q", got)
	}
}
