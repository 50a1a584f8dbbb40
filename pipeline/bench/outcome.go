package bench

import (
	"errors"
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
	"ashline/pipeline/fault"
	"ashline/pipeline/scene"
)

// OutcomeScore is what came of the scenes of one true outcome.
type OutcomeScore struct {
	Outcome string
	Scenes  int
	Told    map[string]int // by what was told; "refused" and "not one swing" among them
	// Late, Offset and Attack are the errors of what is told of a true miss that was told as
	// one, ms, mm and degrees; Contact is that of contact, ms.
	Late, Offset, Attack, Contact Score
}

// Outcomes are the true outcomes in the order of a report.
func Outcomes() []string {
	return []string{scene.Hit, scene.Tip, scene.Missed, scene.Check, scene.None}
}

// told is what a measurement says became of the swing. A clip without a swing is refused
// as one, which is right of a pitch that was let go by.
func (o Outcome) told() string {
	switch {
	case errors.Is(o.Err, fault.ErrNoSwing):
		return scene.None
	case o.Err != nil:
		return "refused"
	case len(o.Result.Swings) != 1:
		return "not one swing"
	}
	return string(o.Result.Swings[0].Outcome)
}

// ReportOutcomes sums up what measured scenes say became of the swing.
func ReportOutcomes(outs []Outcome) []OutcomeScore {
	var all []OutcomeScore
	for _, truth := range Outcomes() {
		s := OutcomeScore{Outcome: truth, Told: map[string]int{}}
		for _, o := range outs {
			if o.Truth.Outcome == truth {
				s.add(o)
			}
		}
		if s.Scenes > 0 {
			all = append(all, s)
		}
	}
	return all
}

func (s *OutcomeScore) add(o Outcome) {
	s.Scenes++
	told := o.told()
	s.Told[told]++
	if told != s.Outcome || o.Err != nil {
		return
	}
	truth, got := o.Truth.Swings[0].Metrics, o.Result.Swings[0].Metrics
	if e, ok := o.Contact(); ok {
		s.Contact.Errors = append(s.Contact.Errors, 1000*e)
	}
	if told == string(contact.Miss) {
		for m, to := range map[catalogue.Metric]*Score{catalogue.TimingLateS: &s.Late, catalogue.PlaneOffsetM: &s.Offset, catalogue.PlaneAttackDeg: &s.Attack} {
			to.Add(m, measuredOnly(got[m]), truth)
		}
	}
}

// measuredOnly is a value that is sure of itself; what is assumed counts as missing.
func measuredOnly(v metrics.Value) metrics.Value {
	if v.Status != metrics.Measured {
		return metrics.Value{Unit: v.Unit, Status: metrics.Missing}
	}
	return v
}

// WriteOutcomes writes a report as tables.
func WriteOutcomes(w io.Writer, all []OutcomeScore) {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "truth\tscenes\tright\thit\ttip\tmiss\tcheck\tnone\trefused\tnot one swing\t")
	scenes, right := 0, 0
	for _, s := range all {
		scenes, right = scenes+s.Scenes, right+s.Told[s.Outcome]
		fmt.Fprintf(tw, "%s\t%d\t%.0f %%\t", s.Outcome, s.Scenes, 100*float64(s.Told[s.Outcome])/float64(s.Scenes))
		for _, told := range append(Outcomes(), "refused", "not one swing") {
			fmt.Fprintf(tw, "%d\t", s.Told[told])
		}
		fmt.Fprintln(tw)
	}
	tw.Flush()
	fmt.Fprintf(w, "right: %d of %d (%.1f %%)\n\n", right, scenes, 100*float64(right)/math.Max(1, float64(scenes)))
	tw = tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "of those told rightly\tunit\tn\tmissing\tbias\tmedian\tp95\tmost\t")
	for i := range all {
		s := &all[i]
		for _, row := range []struct {
			name, unit string
			score      *Score
		}{
			{"contact", "ms", &s.Contact},
			{catalogue.TimingLateS.Path(), "ms", &s.Late},
			{catalogue.PlaneOffsetM.Path(), "mm", &s.Offset},
			{catalogue.PlaneAttackDeg.Path(), "deg", &s.Attack},
		} {
			if n := len(row.score.Errors); n+row.score.Missing > 0 {
				fmt.Fprintf(tw, "%s: %s\t%s\t%d\t%d\t%.2f\t%.2f\t%.2f\t%.2f\t\n", s.Outcome, row.name, row.unit, n, row.score.Missing, row.score.Bias(), row.score.Size(0.5), row.score.Size(0.95), row.score.Size(1))
			}
		}
	}
	tw.Flush()
}
