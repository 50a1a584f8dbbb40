package hostile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"

	"ashline/metrics"
	"ashline/worker/job"
)

// Outcome is what came of one clip.
type Outcome struct {
	Index   int     `json:"index"`
	Kind    string  `json:"kind"`
	Verdict Verdict `json:"verdict"`
	Reason  string  `json:"reason,omitempty"`
	Seconds float64 `json:"seconds"`
	// PeakBytes is the most resident memory that the child and its decoders kept.
	PeakBytes int64 `json:"peak_bytes"`

	// What must not happen.
	Wrongly bool     `json:"wrongly,omitempty"` // measured, though cut off or no video, or without a result
	Hung    bool     `json:"hung,omitempty"`    // ran past its limits
	Mute    bool     `json:"mute,omitempty"`    // failed without a reason
	Sockets int      `json:"sockets,omitempty"`
	Outside []string `json:"outside,omitempty"` // files made or changed
}

// Verdict is how a run ended.
type Verdict string

// The verdicts.
const (
	Measured Verdict = "measured"
	Refused  Verdict = "refused"  // with the reason that the submitter reads
	Limited  Verdict = "by limit" // of size, memory, time or progress
	Crashed  Verdict = "crashed"  // the child; its worker lives
)

// Bad tells whether something happened that must not.
func (o Outcome) Bad() bool {
	return o.Wrongly || o.Hung || o.Mute || o.Sockets > 0 || len(o.Outside) > 0
}

// judge reads how the run ended. result is where metrics.json is if there is one.
func (o *Outcome) judge(err error, r rule, result string) {
	o.Hung = o.Seconds > (limit + slack).Seconds()
	if err == nil {
		o.Verdict = Measured
		text, rerr := os.ReadFile(result)
		var res metrics.Result
		o.Wrongly = rerr != nil || json.Unmarshal(text, &res) != nil || r == never ||
			r == told && !anyOf(strings.Join(res.Quality.Notes, "\n"), "cut off")
		return
	}
	o.Reason = err.Error()
	o.Mute = strings.Contains(o.Reason, "no reason given")
	switch {
	case anyOf(o.Reason, "made no progress", "too long to measure", "too much memory", "are taken", "it needs more than", "its pictures hold more than"):
		o.Verdict = Limited
	case errors.Is(err, job.ErrBadInput):
		o.Verdict = Refused
	default:
		o.Verdict = Crashed
	}
}

func anyOf(s string, parts ...string) bool {
	for _, p := range parts {
		if strings.Contains(s, p) {
			return true
		}
	}
	return false
}

// Report is what came of all clips.
type Report struct {
	Seed     uint64    `json:"seed"`
	Outcomes []Outcome `json:"outcomes"`
}

// Bad lists the outcomes that must not be.
func (r Report) Bad() []Outcome {
	var out []Outcome
	for _, o := range r.Outcomes {
		if o.Bad() {
			out = append(out, o)
		}
	}
	return out
}

// Write prints a row for each kind, and one for all.
func (r Report) Write(out io.Writer) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "damage\tclips\tmeasured\trefused\tby limit\tcrashed\twrongly measured\thung\tno reason\tfiles outside\tsockets\tpeak MiB\tlongest s\t")
	row := func(name string) {
		n := map[Verdict]int{}
		var clips, wrongly, hung, mute, outside, sockets int
		var peak int64
		var longest float64
		for _, o := range r.Outcomes {
			if name != o.Kind && name != "all" {
				continue
			}
			clips++
			n[o.Verdict]++
			wrongly += one(o.Wrongly)
			hung += one(o.Hung)
			mute += one(o.Mute)
			outside += len(o.Outside)
			sockets += o.Sockets
			peak, longest = max(peak, o.PeakBytes), max(longest, o.Seconds)
		}
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%.1f\t\n", name, clips, n[Measured], n[Refused],
			n[Limited], n[Crashed], wrongly, hung, mute, outside, sockets, peak>>20, longest)
	}
	for _, k := range kinds {
		row(k.name)
	}
	row("all")
	return w.Flush()
}

func one(b bool) int {
	if b {
		return 1
	}
	return 0
}
