package metrics

import (
	"math"
	"testing"
)

// One source of scale that contradicts the others is not used; two that differ within
// their errors are weighed, and the error grows with what they differ by.
func TestRulersTogether(t *testing.T) {
	t.Parallel()
	points, ball, marks := ruler{"points", 1, 0.017}, ruler{"ball", 1.02, 0.02}, ruler{"bat_marks", 0.99, 0.03}
	for _, c := range []struct {
		name   string
		rulers []ruler
		odd    int
	}{
		{"alone", []ruler{points}, -1},
		{"agree", []ruler{points, ball, marks}, -1},
		{"small ball", []ruler{points, {"ball", 1.21, 0.02}, marks}, 1},
		{"wrong click", []ruler{{"points", 0.8, 0.017}, ball, marks}, 0},
		{"of two the later", []ruler{points, {"ball", 1.21, 0.02}}, 1},
	} {
		if got := odd(c.rulers); got != c.odd {
			t.Errorf("%s: odd is %d, want %d", c.name, got, c.odd)
		}
	}
	// By hand: equal errors of 2 %, 4 % apart in the logarithm: chi² = 2 for one degree
	// of freedom, so the error of the mean, 2 %/√2, grows by √2.
	grow, relSD := together([]ruler{{"a", math.Exp(-0.02), 0.02}, {"b", math.Exp(0.02), 0.02}})
	if math.Abs(grow) > 1e-12 || math.Abs(relSD-0.02) > 1e-12 {
		t.Errorf("together %g ± %g, want 0 ± 0.02", grow, relSD)
	}
}
