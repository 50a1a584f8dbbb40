package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"ashline/metrics/change"
	"ashline/pipeline"
	"ashline/pipeline/compare"
	"ashline/pipeline/results"

	"github.com/spf13/cobra"
)

func newCompareCmd() *cobra.Command {
	var job pipeline.CompareJob
	var poseDir string
	var cards [2][]string
	var asJSON, partial bool
	cmd := &cobra.Command{
		Use:   "compare BEFORE AFTER",
		Short: "Show two clips side by side, in step, with what differs",
		Long: `Measure two clips and write compare.mp4, which shows them side by side with their
lines, compare.html, the page with the video, the plots on one axis and a table of
what differs, and compare.json with the difference of every metric, its 95 %
interval and whether it can be told from noise.

The clips may be one hitter's before and after, or a hitter's swing and a model:
a clip that the academy keeps for it. Of a clip with several swings the first is
shown. A clip whose pitcher stands on the other side of the picture, a
left-handed hitter's say, is shown mirrored.

  --align keys     the second clip's time is stretched so that launch, lag,
                   contact and finish fall on the same frame in both
  --align contact  time as it was; contact falls on the same frame

Without --card-before and --card-after the cards beside each clip are used.`,
		Example: `  ashline compare clips/fh-017-before.mp4 clips/fh-017-after.mp4 --out compared
  ashline compare clips/fh-020.mp4 library/model-3.mp4 --align contact --out compared`,
		Args: cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			if job.OutDir == "" {
				return usageError{errors.New("compare: --out is required")}
			}
			if !slices.Contains(compare.Aligns, job.Align) {
				return usageError{fmt.Errorf("compare: --align %q is none of keys, contact", job.Align)}
			}
			for i := range job.Clips {
				job.Clips[i] = pipeline.Job{Clip: args[i], Cards: cards[i], PoseDir: poseDir, Rules: os.Getenv(rulesEnv), Words: os.Getenv(wordsEnv)}
			}
			report, done := meter(0, cmd.ErrOrStderr())
			job.Report = report
			out, err := pipeline.Compare(cmd.Context(), job)
			done()
			if err := unlikeKinds("compare", err); err != nil {
				return err
			}
			if asJSON {
				enc := json.NewEncoder(cmd.OutOrStdout())
				enc.SetIndent("", "  ")
				return enc.Encode(out)
			}
			if err := results.WriteChange(cmd.OutOrStdout(), out.Change); err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), "side by side in "+filepath.Join(job.OutDir, "compare.html"))
			return nil
		},
	}
	fenced(cmd, &partial)
	f := cmd.Flags()
	f.StringVar(&job.OutDir, "out", "", "folder for what comes out (made if missing)")
	f.StringVar((*string)(&job.Align), "align", string(compare.AlignKeys), "keys or contact")
	f.StringArrayVar(&cards[0], "card-before", nil, "card of the first clip; given several times, later ones override earlier ones field by field")
	f.StringArrayVar(&cards[1], "card-after", nil, "card of the second clip, as above")
	f.BoolVar(&job.Mix, "mix", false, "compare swings of unlike kinds all the same, and say so")
	f.StringVar(&poseDir, "pose", os.Getenv(poseEnv), "folder of the pose network ($"+poseEnv+")")
	f.BoolVar(&asJSON, "json", false, "print the content of compare.json")
	return cmd
}

// unlikeKinds makes a refusal to compare swings of unlike kinds a usage error.
func unlikeKinds(verb string, err error) error {
	var unlike *change.UnlikeError
	if errors.As(err, &unlike) {
		return usageError{fmt.Errorf("%s: swings of unlike kinds: before %s; after %s; --mix compares them all the same", verb, unlike.A, unlike.B)}
	}
	return err
}
