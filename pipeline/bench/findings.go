package bench

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/finding"
	"ashline/pipeline/scene"
)

// Planted chooses the fault of a seed: none and each of scene.Faults in turn.
func Planted(seed uint64) string {
	turn := append([]string{""}, scene.Faults()...)
	return turn[seed%uint64(len(turn))]
}

// FaultScore is what came of the scenes with one planted fault.
type FaultScore struct {
	Fault    string // none for scenes without
	Scenes   int
	Failed   int // not measured, or without exactly one swing
	Named    int // the rule of the fault's name fired
	Findings int
	False    int // findings that the truth does not bear out
}

// FindingReport sums up how planted faults were named.
type FindingReport struct {
	Faults []FaultScore
	// Unnamed and False list the planted faults that were not named, and the findings that
	// the truth does not bear out, each with its numbers.
	Unnamed, False []string
}

// ReportFindings judges the findings of measured scenes against their truth. A planted
// fault is named when the rule of its name fired; a finding is false when its rule's
// conditions do not hold for the true metrics.
func ReportFindings(outs []Outcome, set finding.Set) FindingReport {
	var r FindingReport
	scores := map[string]*FaultScore{}
	var order []string
	for _, f := range append([]string{""}, scene.Faults()...) {
		name := f
		if f == "" {
			name = "none"
		}
		scores[f] = &FaultScore{Fault: name}
		order = append(order, f)
	}
	for _, o := range outs {
		s := scores[o.Fault]
		s.Scenes++
		if o.Err != nil || len(o.Result.Swings) != 1 || len(o.Truth.Swings) != 1 {
			s.Failed++
			continue
		}
		named := r.judge(o, set, s)
		if named {
			s.Named++
		} else if o.Fault != "" {
			r.Unnamed = append(r.Unnamed, fmt.Sprintf("%s %d: %s not named: %s", o.Family, o.Seed, o.Fault, numbersOf(o, rule(set, o.Fault))))
		}
	}
	for _, f := range order {
		if scores[f].Scenes > 0 {
			r.Faults = append(r.Faults, *scores[f])
		}
	}
	return r
}

// judge goes through the findings of one scene.
func (r *FindingReport) judge(o Outcome, set finding.Set, s *FaultScore) (named bool) {
	truth := known(o.Truth.Swings[0])
	for _, f := range set.Judge(o.Result) {
		if f.Next { // said already
			continue
		}
		s.Findings++
		named = named || f.ID == o.Fault
		if of := rule(set, f.ID); !of.Holds(truth) {
			s.False++
			r.False = append(r.False, fmt.Sprintf("%s %d: %s: %s", o.Family, o.Seed, f.ID, numbersOf(o, of)))
		}
	}
	return named
}

// rule finds a rule by its id; the zero Rule, which never holds, when there is none.
func rule(set finding.Set, id string) finding.Rule {
	i := slices.IndexFunc(set.Rules, func(r finding.Rule) bool { return r.ID == id })
	if i < 0 {
		return finding.Rule{}
	}
	return set.Rules[i]
}

// numbersOf writes what was measured of a rule's conditions, and what is true.
func numbersOf(o Outcome, r finding.Rule) string {
	if r.ID == "" {
		return "the set has no such rule"
	}
	truth := known(o.Truth.Swings[0])
	var parts []string
	for _, c := range r.When {
		if m, ok := catalogue.Find(c.Metric); ok {
			parts = append(parts, fmt.Sprintf("%s %s, in truth %.4g", c.Metric, o.Result.Swings[0].Metrics[m], truth(c.Metric)))
		}
	}
	return strings.Join(parts, "; ")
}

// known finds a swing's true metrics by their paths in metrics.json; NaN for one that
// the swing has not.
func known(t scene.SwingTruth) func(path string) float64 {
	return func(path string) float64 {
		if v, ok := t.Metrics[path]; ok {
			return v
		}
		return math.NaN()
	}
}

// TruthResult is a result that knows the truth exactly, with intervals of no width: what
// the rules would say of a scene if measuring it were perfect. It serves to choose bounds
// without rendering.
func TruthResult(t scene.SwingTruth) metrics.Result {
	var sw metrics.Swing
	for m := range catalogue.NumMetrics {
		sw.Metrics[m] = metrics.Lacking(m.Row().Unit, "the swing has none")
		if v, ok := t.Metrics[m.Path()]; ok {
			sw.Metrics[m] = metrics.Got(v, v, v, m.Row().Unit)
		}
	}
	return metrics.Result{Swings: []metrics.Swing{sw}}
}

// truth is the outcome of a case that is measured perfectly.
func (c Case) truth() Outcome {
	out := Outcome{Case: c}
	s, err := scene.New(c.params())
	if err != nil {
		out.Err = err
		return out
	}
	swing := s.Swing()
	out.Truth = scene.Truth{Params: s.P, FPS: s.P.FPS, Swings: []scene.SwingTruth{swing}}
	out.Result = TruthResult(swing)
	return out
}

// Write prints the table, then what was not named and what was wrong.
func (r FindingReport) Write(w io.Writer) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "fault\tscenes\tfailed\tnamed\tfindings\tfalse\t")
	var planted, all FaultScore
	for _, s := range r.Faults {
		named := "–"
		if s.Fault != "none" {
			named = fmt.Sprint(s.Named)
			planted.Scenes, planted.Named = planted.Scenes+s.Scenes, planted.Named+s.Named
		}
		all.Scenes, all.Failed = all.Scenes+s.Scenes, all.Failed+s.Failed
		all.Findings, all.False = all.Findings+s.Findings, all.False+s.False
		fmt.Fprintf(tw, "%s\t%d\t%d\t%s\t%d\t%d\t\n", s.Fault, s.Scenes, s.Failed, named, s.Findings, s.False)
	}
	fmt.Fprintf(tw, "all\t%d\t%d\t%d of %d\t%d\t%d\t\n", all.Scenes, all.Failed, planted.Named, planted.Scenes, all.Findings, all.False)
	if err := tw.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(w, "planted faults named: %s; false findings: %s\n", share(planted.Named, planted.Scenes), share(all.False, all.Findings))
	for _, list := range []struct {
		title string
		lines []string
	}{{"not named", r.Unnamed}, {"false", r.False}} {
		if len(list.lines) > 0 {
			fmt.Fprintf(w, "\n%s:\n  %s\n", list.title, strings.Join(list.lines, "\n  "))
		}
	}
	return nil
}

func share(n, of int) string {
	if of == 0 {
		return "none to judge"
	}
	return fmt.Sprintf("%.1f %% (%d of %d)", 100*float64(n)/float64(of), n, of)
}
