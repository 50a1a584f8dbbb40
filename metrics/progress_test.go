package metrics

import (
	"slices"
	"testing"

	"ashline/metrics/catalogue"
)

// Every step of a swing is told as it is done, one that could not be measured at once,
// and none twice: what turns in a circle is silent.
func TestProgress(t *testing.T) {
	t.Parallel()
	tr, card := filmedSwing{fps: 240, zoom: 1}.film()
	n := len(tr.TimesS)
	tr.Swings = append(tr.Swings, Span{n, n + 1}) // nothing was seen in it
	const total = 2 * swingSteps
	var got []int
	st := Measure(tr, card, func(done, of int) {
		if of != total {
			t.Errorf("got %d of %d, want of %d", done, of, total)
		}
		got = append(got, done)
	})
	var want []int
	for i := range swingSteps {
		want = append(want, i+1)
	}
	want = append(want, swingSteps+stepLimbs, total)
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if a, b := st.Result.Swings[0].Metrics[catalogue.PlaneAttackDeg], st.Result.Swings[1].Metrics[catalogue.PlaneAttackDeg]; !a.Known() || b.Known() {
		t.Errorf("attack angles %s and %s, want the first known alone", a, b)
	}
}
