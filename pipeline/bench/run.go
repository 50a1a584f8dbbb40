package bench

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"golang.org/x/sync/errgroup"

	"ashline/metrics/catalogue"
)

// Options say what to run.
type Options struct {
	Cases []Case
	// Dir keeps the rendered scenes; what is there is not rendered again.
	Dir string
	// Workers measure at the same time. Defaults to 1.
	Workers int
	// Each is told of every outcome as it comes, in no order. May be nil.
	Each func(Outcome)
}

// Run measures all cases; outcomes come in the order of the cases.
func Run(ctx context.Context, o Options) ([]Outcome, error) {
	return runAll(ctx, o, func(c Case) Outcome { return c.Measure(ctx, o.Dir) })
}

// RunTruth takes the truth of all cases for what was measured, and renders nothing.
func RunTruth(ctx context.Context, o Options) ([]Outcome, error) {
	return runAll(ctx, o, func(c Case) Outcome { return c.truth() })
}

func runAll(ctx context.Context, o Options, one func(Case) Outcome) ([]Outcome, error) {
	out := make([]Outcome, len(o.Cases))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(max(1, o.Workers))
	done := make(chan Outcome)
	finished := make(chan struct{})
	go func() {
		defer close(finished)
		for x := range done {
			if o.Each != nil {
				o.Each(x)
			}
		}
	}()
	for i, c := range o.Cases {
		g.Go(func() error {
			out[i] = one(c)
			done <- out[i]
			return ctx.Err()
		})
	}
	err := g.Wait()
	close(done)
	<-finished
	return out, err
}

// Contact returns the error of the time of contact in s, by frames.
func (o Outcome) Contact() (float64, bool) {
	if len(o.Result.Swings) != 1 || o.Result.Swings[0].Keys.Contact.Frame == nil || o.Truth.Swings[0].Keys.Contact.Frame == nil {
		return 0, false
	}
	return (*o.Result.Swings[0].Keys.Contact.Frame - *o.Truth.Swings[0].Keys.Contact.Frame) / o.Truth.FPS, true
}

// Table writes the scores of all metrics that the truth of some outcome has.
func Table(w io.Writer, title string, outs []Outcome) {
	failed, wrong, odd := 0, 0, 0
	var seen, bridged, contact, seconds []float64
	var scores [catalogue.NumMetrics]Score
	for _, o := range outs {
		if o.Err != nil {
			failed++
			continue
		}
		if o.Wrong > 0 {
			wrong++
		}
		seconds = append(seconds, o.Seconds)
		seen, bridged = append(seen, o.SeenPx...), append(bridged, o.BridgedPx...)
		if len(o.Result.Swings) != 1 {
			odd++
			continue
		}
		if e, ok := o.Contact(); ok {
			contact = append(contact, math.Abs(1000*e))
		}
		for m := range catalogue.NumMetrics {
			scores[m].Add(m, o.Result.Swings[0].Metrics[m], o.Truth.Swings[0].Metrics)
		}
	}
	fmt.Fprintf(w, "%s: %d scenes, %d failed, %d with the wrong object, %d without exactly one swing\n", title, len(outs), failed, wrong, odd)
	fmt.Fprintf(w, "barrel's centre, RMSE: seen %.2f px in %d frames, bridged %.2f px in %d; median %.1f s a clip\n", rms(seen), len(seen), rms(bridged), len(bridged), quantile(seconds, 0.5))
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "metric\tunit\tn\tmissing\tbias\tmedian\tp95\tcovered\twidth\t")
	fmt.Fprintf(tw, "contact\tms\t%d\t\t\t%.2f\t%.2f\t\t\t\n", len(contact), quantile(contact, 0.5), quantile(contact, 0.95))
	var lacking []string
	for m := range catalogue.NumMetrics {
		s := &scores[m]
		if len(s.Errors) == 0 {
			if s.Missing > 0 {
				lacking = append(lacking, m.Path())
			}
			continue
		}
		fmt.Fprintf(tw, "%s\t%s\t%d\t%d\t%.2f\t%.2f\t%.2f\t%.0f %%\t%.2f\t\n", m.Path(), tableUnits[m.Row().Unit].name, len(s.Errors), s.Missing, s.Bias(), s.Size(0.5), s.Size(0.95), 100*s.Coverage(), quantile(s.Widths, 0.5))
	}
	tw.Flush()
	if len(lacking) > 0 {
		fmt.Fprintf(w, "missing in all: %s\n", strings.Join(lacking, ", "))
	}
}

// Line sums up one outcome.
func (o Outcome) Line() string {
	if o.Err != nil {
		return fmt.Sprintf("%s %d: %v", o.Family, o.Seed, o.Err)
	}
	if len(o.Result.Swings) != 1 {
		return fmt.Sprintf("%s %d: %d swings", o.Family, o.Seed, len(o.Result.Swings))
	}
	off := func(m catalogue.Metric) float64 {
		if want, ok := o.Truth.Swings[0].Metrics[m.Path()]; ok {
			return o.Result.Swings[0].Metrics[m].Float() - want
		}
		return math.NaN()
	}
	e, ok := o.Contact()
	if !ok {
		e = math.NaN()
	}
	return fmt.Sprintf("%s %d: contact %+.2f ms, attack %+.2f°, descent %+.2f°, enter %+.1f ms, leave %+.1f ms, seen %.2f px, wrong %d, %.1f s",
		o.Family, o.Seed, 1000*e, off(catalogue.PlaneAttackDeg), off(catalogue.PitchDescentDeg),
		1000*off(catalogue.ZoneEnterS), 1000*off(catalogue.ZoneLeaveS), rms(o.SeenPx), o.Wrong, o.Seconds)
}
