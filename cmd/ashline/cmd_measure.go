package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
	"ashline/pipeline"
	"ashline/pipeline/overlay"
	"ashline/pipeline/progress"
	"ashline/pipeline/rules"

	"github.com/spf13/cobra"
)

// poseEnv names the folder of the pose network where no flag does.
const poseEnv = "ASHLINE_POSE"

// rulesEnv and wordsEnv name an academy's own rules of the findings, and their wording.
const (
	rulesEnv = "ASHLINE_RULES"
	wordsEnv = "ASHLINE_WORDS"
)

func newMeasureCmd() *cobra.Command {
	var job pipeline.Job
	var products []string
	var asJSON, noOverlay, clean, partial bool
	var progressFD int
	cmd := &cobra.Command{
		Use:   "measure CLIP",
		Short: "Measure one clip, without queue or store",
		Long: `Measure one clip and write metrics.json, track.csv, overlay.mp4 and report.html,
the page to open first.

Without --card the cards beside the clip are used: session.card.yaml of its
folder, overridden field by field by NAME.card.yaml.`,
		Example: `  ashline measure clips/fh-017-before.mp4 --out results/fh-017-before
  ashline measure swing.mp4 --card swing.card.yaml --out out --json`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			job.Clip = args[0]
			if job.OutDir == "" {
				return usageError{fmt.Errorf("measure: --out is required")}
			}
			if !slices.Contains(overlay.Paces, job.Pace) {
				return usageError{fmt.Errorf("measure: --pace %q is none of slow, real", job.Pace)}
			}
			for _, p := range products {
				if !slices.Contains(pipeline.Products, pipeline.Product(p)) {
					return usageError{fmt.Errorf("measure: --product %q is none of %s", p, joined(pipeline.Products))}
				}
				job.Products = append(job.Products, pipeline.Product(p))
			}
			if clean {
				job.Products = pipeline.With(job.Products, pipeline.CleanProduct)
			}
			if noOverlay {
				job.Products = pipeline.Without(job.Products, pipeline.OverlayProduct, pipeline.StillsProduct)
			}
			report, done := meter(progressFD, cmd.ErrOrStderr())
			job.Report = report
			res, err := pipeline.Run(cmd.Context(), job)
			done()
			if errors.Is(err, rules.ErrBad) {
				return usageError{err}
			}
			if err != nil {
				return err
			}
			if asJSON {
				enc := json.NewEncoder(cmd.OutOrStdout())
				enc.SetIndent("", "  ")
				return enc.Encode(res)
			}
			printResult(cmd, res, job.OutDir)
			return nil
		},
	}
	fenced(cmd, &partial)
	f := cmd.Flags()
	f.StringArrayVar(&job.Cards, "card", nil, "card file; given several times, later ones override earlier ones field by field")
	f.StringVar(&job.OutDir, "out", "", "folder for the results (made if missing)")
	f.BoolVar(&asJSON, "json", false, "print the content of metrics.json")
	f.StringSliceVar(&products, "product", nil, "part of the results that is wanted; given several times (default all but clean): "+joined(pipeline.Products))
	f.BoolVar(&noOverlay, "no-overlay", false, "no overlay.mp4 and no stills")
	f.BoolVar(&clean, "clean", false, "also write clean.mp4: the overlay without lines")
	f.StringVar((*string)(&job.Pace), "pace", string(overlay.SlowPace), "slow: the whole swing in slow motion; real: normal speed but for 60 ms to each side of contact")
	f.StringVar(&job.PoseDir, "pose", os.Getenv(poseEnv), "folder of the pose network (see deploy/pose.sh), which then finds joints without a band ($"+poseEnv+")")
	f.StringVar(&job.Rules, "rules", os.Getenv(rulesEnv), "file with the academy's own rules of the findings ($"+rulesEnv+")")
	f.StringVar(&job.Words, "words", os.Getenv(wordsEnv), "file with the academy's own wording of the findings ($"+wordsEnv+")")
	f.BoolVar(&job.Debug, "debug", false, "also write debug.mp4 and debug.txt: candidates, chosen path, flow, uncertainty, and why")
	f.IntVar(&progressFD, "progress-fd", 0, "write progress as JSON lines to this file descriptor")
	_ = f.MarkHidden("progress-fd")
	return cmd
}

// joined lists names.
func joined[T ~string](names []T) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = string(n)
	}
	return strings.Join(out, ", ")
}

// meter reports as JSON lines on a descriptor, or as one live line on a
// terminal, or not at all.
func meter(fd int, stderr any) (progress.Report, func()) {
	if fd > 2 {
		out := os.NewFile(uintptr(fd), "progress")
		enc := json.NewEncoder(out)
		return func(stage string, done, total int) {
			// A reader that has gone away must not stop the measuring.
			_ = enc.Encode(struct {
				Stage string `json:"stage"`
				Done  int    `json:"done"`
				Total int    `json:"total"`
			}{stage, done, total})
		}, func() { _ = out.Close() }
	}
	file, ok := stderr.(*os.File)
	if !ok || !isTerminal(file) {
		return nil, func() {}
	}
	return func(stage string, done, total int) {
		if total > 0 {
			fmt.Fprintf(file, "\r\033[K%s %d %%", stage, min(100, 100*done/total))
		} else {
			fmt.Fprintf(file, "\r\033[K%s %d", stage, done)
		}
	}, func() { fmt.Fprint(file, "\r\033[K") }
}

// printFindings writes what was found, good news with a plus, and what to work on next.
func printFindings(out io.Writer, r metrics.Result) {
	if len(r.Findings) == 0 {
		return
	}
	fmt.Fprintln(out, "findings")
	for _, f := range r.Findings {
		mark, of := "-", ""
		if len(r.Swings) > 1 && !f.Next {
			of = fmt.Sprintf("swing %d: ", f.Swing)
		}
		switch {
		case f.Next:
			mark = "next:"
		case f.Praise:
			mark = "+"
		}
		fmt.Fprintf(out, "  %s %s%s\n", mark, of, f.Text)
	}
}

// printed are the metrics that measure prints; the files have all.
var printed = []catalogue.Metric{
	catalogue.PlaneAttackDeg, catalogue.PitchDescentDeg, catalogue.PlaneGapDeg, catalogue.PlaneOffsetM,
	catalogue.ZoneEnterS, catalogue.ZoneLeaveS, catalogue.ZoneLengthM,
	catalogue.TimingSolidWindowS, catalogue.SpeedBarrelContactMPS, catalogue.PitchSpeedMPS,
}

// outcomes are what became of a swing, in words.
var outcomes = map[contact.Outcome]string{
	contact.Hit: "hit", contact.Tip: "foul tip", contact.Miss: "miss", contact.Check: "checked swing",
}

func printResult(cmd *cobra.Command, r metrics.Result, dir string) {
	out := cmd.OutOrStdout()
	for _, s := range r.Swings {
		fmt.Fprintf(out, "swing %d\n", s.Index)
		contact := "–"
		if s.Keys.Contact.Frame != nil {
			contact = fmt.Sprintf("frame %.2f", *s.Keys.Contact.Frame)
		}
		outcome := "not known"
		if name, ok := outcomes[s.Outcome]; ok {
			outcome = fmt.Sprintf("%s (%.0f %%)", name, math.Min(99, 100*s.OutcomeProbability))
		}
		fmt.Fprintf(out, "  %-24s %s\n", "Outcome", outcome)
		fmt.Fprintf(out, "  %-24s %s\n", catalogue.Contact.Row().Name, contact)
		for _, m := range printed {
			fmt.Fprintf(out, "  %-24s %s\n", m.Row().Name, s.Metrics[m])
		}
	}
	printFindings(out, r)
	for _, n := range r.Quality.Notes {
		fmt.Fprintln(out, "note: "+n)
	}
	fmt.Fprintln(out, "results in "+dir)
}
