package pipeline

import (
	"slices"
	"testing"

	"ashline/metrics"
)

// told is one call of a Report.
type told struct {
	stage       string
	done, total int
}

// What does not go further than all before is not reported, so that work that turns in
// a circle is silent.
func TestStepsOnlyGoOn(t *testing.T) {
	t.Parallel()
	var got []told
	s := &steps{report: func(stage string, done, total int) { got = append(got, told{stage, done, total}) }, stage: "follow", total: 25, every: 10}
	part := s.from(10)
	for _, done := range []int{0, 3, 10, 10, 4, 19, 20, 20, 24, 25, 25} {
		s.reach(done)
		part(0)
	}
	if want := []told{{"follow", 10, 25}, {"follow", 20, 25}, {"follow", 25, 25}}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	var none *steps
	none.reach(1)
	none.from(1)(1)
}

// checkTold holds the steps of following the marks against the clip: while each mark is
// looked for, while it is linked, and while balls are, it is told how far that is.
func checkTold(t *testing.T, d debugged) {
	t.Helper()
	n, last := len(d.s.timesS), 0
	parts := make([]int, 3*len(d.s.names)+4)
	for _, x := range d.told {
		if x.stage != "follow" {
			continue
		}
		if x.done <= last || x.total != n*len(parts) {
			t.Errorf("got step %d of %d after %d, want more, of %d", x.done, x.total, last, n*len(parts))
		}
		parts[(x.done-1)/n]++
		last = x.done
	}
	if last != n*len(parts) {
		t.Errorf("the last step is %d of %d", last, n*len(parts))
	}
	// The barrel's candidates are looked for once; its second search for them is no work.
	again := 3 * len(d.s.names)
	for k, count := range parts {
		if count == 0 && k != again {
			t.Errorf("part %d of %d told nothing: %v", k, len(parts), d.told)
		}
	}
	bridged := 0
	for _, x := range d.told {
		if x.stage == "bridge" {
			bridged++
		}
	}
	if carried := slices.ContainsFunc(d.g.track.Barrel, func(s metrics.Sample) bool { return s.How == metrics.Flow }); carried && bridged == 0 {
		t.Error("frames were bridged and nothing told")
	}
}
