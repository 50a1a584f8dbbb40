package demo

import (
	"fmt"
	"io"
	"text/tabwriter"

	"ashline/metrics"
	"ashline/metrics/catalogue"
)

// SummarySchema names the version of the summary.
const SummarySchema = "ashline.try/1.0"

// Summary is what the demonstration ends with.
type Summary struct {
	Schema   string  `json:"schema"`
	Folder   string  `json:"folder"`
	Seconds  float64 `json:"seconds"`
	Clips    int     `json:"clips"`
	Measured int     `json:"measured"`
	Failed   int     `json:"failed"`
	Rows     []Row   `json:"rows"` // one a swing, or one a clip that failed
}

// Row is one swing.
type Row struct {
	Clip   string         `json:"clip"`
	Hitter string         `json:"hitter"`
	Label  string         `json:"label"`
	Bats   string         `json:"bats"`
	Folder string         `json:"folder,omitempty"` // of the clip's results
	Failed string         `json:"failed,omitempty"` // the reason
	Swing  *metrics.Swing `json:"swing,omitempty"`
}

// mphPerMPS is exact: an hour over a mile of 1609.344 m.
const mphPerMPS = 3600 / 1609.344

// missing stands for a value that is not known.
const missing = "–"

func show(v metrics.Value, scale float64, format string) string {
	if !v.Known() {
		return missing
	}
	return fmt.Sprintf(format, v.Float()*scale)
}

// Table prints a row a swing.
func (s Summary) Table(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "hitter\tbats\tlabel\tswing\tattack °\tdescent °\tgap °\tzone ms\tcontact frame\tbarrel m/s\tmph\t")
	for _, r := range s.Rows {
		if r.Swing == nil {
			continue
		}
		sw := r.Swing
		contact := missing
		if sw.Keys.Contact.Frame != nil {
			contact = fmt.Sprintf("%.2f", *sw.Keys.Contact.Frame)
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t\n", r.Hitter, r.Bats, r.Label, sw.Index,
			show(sw.Metrics[catalogue.PlaneAttackDeg], 1, "%.1f"), show(sw.Metrics[catalogue.PitchDescentDeg], 1, "%.1f"), show(sw.Metrics[catalogue.PlaneGapDeg], 1, "%.1f"),
			show(sw.Metrics[catalogue.ZoneDurationS], 1000, "%.0f"), contact,
			show(sw.Metrics[catalogue.SpeedBarrelContactMPS], 1, "%.1f"), show(sw.Metrics[catalogue.SpeedBarrelContactMPS], mphPerMPS, "%.0f"))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, r := range s.Rows {
		if r.Failed != "" {
			fmt.Fprintf(w, "failed: %s: %s\n", r.Clip, r.Failed)
		}
	}
	_, err := fmt.Fprintf(w, "%d of %d clips measured in %.0f s; clips and results are in %s\n", s.Measured, s.Clips, s.Seconds, s.Folder)
	return err
}
