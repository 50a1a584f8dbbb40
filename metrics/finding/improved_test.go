package finding

import (
	"testing"

	"ashline/metrics"
	"ashline/metrics/change"
)

// changed is the change of one metric between two sides.
func changed(name string, before, after, detectable float64, verdict change.Verdict) change.Change {
	d := after - before
	return change.Change{
		Metric: name, Unit: "u", Before: change.Mean{Value: before}, After: change.Mean{Value: after},
		Change: metrics.Got(d, d-detectable, d+detectable, "u"), Detectable: detectable, Verdict: verdict,
	}
}

func TestImproved(t *testing.T) {
	t.Parallel()
	assumed := changed("zone.enter_s", -0.007, -0.012, 0.001, change.Real)
	assumed.Change = assumed.Change.As(metrics.Assumed, "a guess")
	for _, tc := range []struct {
		name   string
		change change.Change
		want   string // "" for silence
		better bool
	}{
		{"better", changed("zone.enter_s", -0.007, -0.012, 0.001, change.Real), "Sooner by 5 ms: 12 ms before, was 7 ms before.", true},
		{"worse", changed("zone.enter_s", -0.012, -0.007, 0.001, change.Real), "Later by 5 ms.", false},
		{"single swings", changed("zone.enter_s", -0.007, 0.002, 0.001, change.SwingsOnly), "These two only: Later by 9 ms.", false},
		{"wanted higher", changed("zone.duration_s", 0.020, 0.026, 0.001, change.Real), "Longer: 26 ms.", true},
		{"noise", changed("zone.enter_s", -0.007, -0.008, 0.01, change.NotTold), "", false},
		{"assumed", assumed, "", false},
		{"not wanted anywhere", changed("plane.attack_deg", 4, 10, 1, change.Real), "", false},
		{"nearer to 0", changed("plane.gap_deg", -8, -3, 1, change.Real), "Nearer: −3° from −8°.", true},
		{"further from 0", changed("plane.gap_deg", 2, 6, 1, change.Real), "Further: 6° from 2°.", false},
		{"past 0 and nearer", changed("plane.gap_deg", -8, 3, 2, change.Real), "Nearer: 3° from −8°.", true},
		{"past 0 and as far", changed("plane.gap_deg", -8, 7, 2, change.Real), "", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			got := Improved(change.Outcome{Changes: []change.Change{tc.change}}, two())
			if tc.want == "" {
				if len(got) != 0 {
					t.Errorf("got %+v, want silence", got)
				}
				return
			}
			if len(got) != 1 || got[0].Text != tc.want || got[0].Better != tc.better || got[0].Evidence == "" {
				t.Errorf("got %+v, want %q", got, tc.want)
			}
		})
	}
}

func TestImprovedOrderAndKinds(t *testing.T) {
	t.Parallel()
	o := change.Outcome{Changes: []change.Change{
		changed("zone.duration_s", 0.020, 0.026, 0.001, change.Real),
		changed("zone.enter_s", -0.012, -0.007, 0.001, change.Real),
		changed("plane.gap_deg", 8, 1, 1, change.Real),
	}}
	var got string
	for _, s := range Improved(o, two()) {
		got += s.Metric + " "
	}
	if want := "plane.gap_deg zone.duration_s zone.enter_s "; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	o.MixedKinds = true
	if got := Improved(o, two()); got == nil || len(got) != 0 {
		t.Errorf("unlike kinds: got %+v", got)
	}
}

// One swing a side, through a real comparison.
func TestImprovedOfGroups(t *testing.T) {
	t.Parallel()
	group := func(enter float64) []metrics.Result {
		sw := swing(t, 0, map[string]metrics.Value{"zone.enter_s": bounded(enter, 0.001)})
		return []metrics.Result{{Swings: []metrics.Swing{sw}}}
	}
	o, err := change.Groups(group(-0.004), group(-0.012), change.GroupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	got := Improved(o, two())
	if len(got) != 1 || !got[0].SwingsOnly || got[0].Text != "These two only: Sooner by 8 ms: 12 ms before, was 4 ms before." {
		t.Errorf("got %+v", got)
	}
}
