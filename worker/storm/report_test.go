package storm

import (
	"strings"
	"testing"
)

func TestTally(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name            string
		end             end
		bundles         int
		want            string // of the job: committed, failed, lost, doubled or neither
		faults, reasons int
	}{
		{"measured", end{measured: 1}, 1, "committed", 0, 0},
		{"refused", end{failed: 1, reason: "bad clip: cut off"}, 0, "failed", 0, 1},
		{"never heard of", end{}, 0, "lost", 1, 0},
		{"never heard of, with a bundle", end{}, 1, "lost", 1, 0},
		{"measured twice", end{measured: 2}, 1, "doubled", 1, 0},
		{"two bundles", end{measured: 1}, 2, "doubled", 1, 0},
		{"measured and failed", end{measured: 1, failed: 1, reason: "bug"}, 1, "doubled", 1, 0},
		{"failed with a bundle", end{failed: 1, reason: "bug"}, 1, "doubled", 1, 0},
		{"measured without a bundle", end{measured: 1}, 0, "neither", 1, 0},
		{"failed without a reason", end{failed: 1}, 0, "neither", 1, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			// Beside a job that came to a good end.
			r := tally(map[string]string{"a": "1", "b": "2"}, map[string]end{"a": {measured: 1}, "b": c.end}, map[string]int{"1": 1, "2": c.bundles})
			got := map[string]int{"committed": r.Committed - 1, "failed": r.Failed, "lost": r.Lost, "doubled": r.Doubled}
			for kind, n := range got {
				if want := kind == c.want; (n == 1) != want || n < 0 || n > 1 {
					t.Errorf("got %d %s, want %v", n, kind, want)
				}
			}
			if r.Submitted != 2 || len(r.Faults) != c.faults || len(r.Reasons) != c.reasons {
				t.Errorf("got %+v, want %d faults and %d reasons", r, c.faults, c.reasons)
			}
			var b strings.Builder
			if err := r.Write(&b); err != nil || strings.Count(b.String(), "! ") != c.faults {
				t.Errorf("got %v, %q", err, b.String())
			}
		})
	}
	if r := tally(map[string]string{"a": "1"}, map[string]end{"a": {failed: 1, reason: "x"}}, nil); len(r.Faults) != 1 {
		t.Errorf("nothing measured: got faults %q", r.Faults)
	}
}
