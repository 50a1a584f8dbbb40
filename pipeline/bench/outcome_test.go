package bench

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
	"ashline/pipeline/fault"
	"ashline/pipeline/scene"
)

// By hand: three misses of which one is told as a hit and one is 2 ms off, and a take
// whose clip has no swing.
func TestReportOutcomes(t *testing.T) {
	t.Parallel()
	miss := func(told contact.Outcome, lateS float64) Outcome {
		var sw metrics.Swing
		sw.Outcome = told
		sw.Metrics[catalogue.TimingLateS] = metrics.Got(lateS, lateS-0.001, lateS+0.001, "s")
		return Outcome{
			Truth:  scene.Truth{Outcome: scene.Missed, Swings: []scene.SwingTruth{{Metrics: scene.Numbers{"timing.late_s": 0.02}}}},
			Result: metrics.Result{Swings: []metrics.Swing{sw}},
		}
	}
	take := Outcome{Truth: scene.Truth{Outcome: scene.None}, Err: fmt.Errorf("clip: %w", fault.ErrNoSwing)}
	all := ReportOutcomes([]Outcome{miss(contact.Miss, 0.02), miss(contact.Miss, 0.022), miss(contact.Hit, 0.05), take})
	if len(all) != 2 || all[0].Scenes != 3 || all[0].Told["miss"] != 2 || all[0].Told["hit"] != 1 || all[1].Told["none"] != 1 {
		t.Fatalf("got %+v", all)
	}
	if late := all[0].Late; len(late.Errors) != 2 || math.Abs(late.Size(1)-2) > 1e-9 {
		t.Errorf("errors of lateness: %v ms, want 0 and 2", late.Errors)
	}
	var text strings.Builder
	WriteOutcomes(&text, all)
	if !strings.Contains(text.String(), "right: 3 of 4 (75.0 %)") {
		t.Errorf("got %s", text.String())
	}
}
