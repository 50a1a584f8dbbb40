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

// checkTold holds the steps of following the marks against the clip: while each mark is
// looked for, while it is linked, and while balls are, it is told how far that is.
func checkTold(t *testing.T, d debugged) {
	t.Helper()
	n, last := len(d.s.TimesS), 0
	parts := make([]int, 3*len(d.s.Names)+4)
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
	again := 3 * len(d.s.Names)
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
	if carried := slices.ContainsFunc(d.found.Track.Barrel, func(s metrics.Sample) bool { return s.How == metrics.Flow }); carried && bridged == 0 {
		t.Error("frames were bridged and nothing told")
	}
}
