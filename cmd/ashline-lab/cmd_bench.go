package main

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"

	"ashline/pipeline/bench"
	"ashline/pipeline/scene"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func newBenchCmd() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bench",
		Short: "Measure rendered scenes with known truth and print the errors",
		Long: `Render seeded scenes, measure them as any clip, and print tables of errors.

Seeds below 1000 are for tuning the program; figures to quote come from seeds from
1000.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newBenchSwingCmd(), newBenchTrackCmd(), newBenchBodyCmd(), newBenchFindingsCmd(), newBenchOutcomeCmd())
	for _, c := range cmd.Commands() {
		wrapArgs(c)
	}
	return cmd
}

// benchScenes are the flags that choose scenes.
type benchScenes struct {
	families []string
	count    int
	seed     uint64
	keep     string
	workers  int
	cards    string
}

func (b *benchScenes) bind(cmd *cobra.Command, count int, families ...string) {
	f := cmd.Flags()
	f.StringSliceVar(&b.families, "families", families, "families of scenes, all, or cage for the eleven of the cage")
	f.IntVar(&b.count, "count", count, "scenes a family")
	f.Uint64Var(&b.seed, "seed", 1000, "first seed")
	f.StringVar(&b.keep, "keep", "", "keep the rendered scenes in this folder and use those that are there")
	f.StringVar(&b.cards, "cards", string(bench.ExactCards), "what the cards know: exact; coach, as one measures it by tape and eye; plane, exact but without the camera's distance")
	f.IntVar(&b.workers, "workers", 2, "scenes at the same time")
	// One family reads better in the singular.
	f.SetNormalizeFunc(func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
		if name == "family" {
			name = "families"
		}
		return pflag.NormalizedName(name)
	})
}

// cases are the scenes chosen.
func (b *benchScenes) cases() ([]bench.Case, error) {
	all := scene.AllFamilies()
	for _, name := range b.families {
		if name != "all" && name != "cage" && !slices.Contains(all, scene.Family(name)) {
			return nil, usageError{fmt.Errorf("bench: --families %q is none of %v", name, all)}
		}
	}
	cards := bench.Cards(b.cards)
	if !slices.Contains([]bench.Cards{bench.ExactCards, bench.CoachCards, bench.PlaneCards}, cards) {
		return nil, usageError{fmt.Errorf("bench: --cards %q is none of exact, coach, plane", b.cards)}
	}
	if b.count < 1 {
		return nil, usageError{fmt.Errorf("bench: --count %d is less than 1", b.count)}
	}
	var cases []bench.Case
	for _, f := range all {
		inCage := slices.Contains(b.families, "cage") && slices.Contains(scene.Families(), f)
		if !inCage && !slices.Contains(b.families, "all") && !slices.Contains(b.families, string(f)) {
			continue
		}
		for i := range b.count {
			cases = append(cases, bench.Case{Family: f, Seed: b.seed + uint64(i), Cards: cards})
		}
	}
	return cases, nil
}

// folder is where the scenes go, and what to do with it afterwards.
func (b *benchScenes) folder() (dir string, done func(), err error) {
	if b.keep != "" {
		return b.keep, func() {}, nil
	}
	if dir, err = os.MkdirTemp("", "ashline-bench-"); err != nil {
		return "", nil, err
	}
	return dir, func() { _ = os.RemoveAll(dir) }, nil
}

func newBenchSwingCmd() *cobra.Command {
	var scenes benchScenes
	cmd := &cobra.Command{
		Use:   "swing",
		Short: "Print the errors of a swing's metrics",
		Long: `Render seeded scenes, measure them as any clip, and print a table of errors of the
metrics for each family of scenes and for all: bias, median and 95th percentile of
the error's size, and how many 95 % intervals hold the truth.`,
		Example: `  ashline-lab bench swing --count 20
  ashline-lab bench swing --families all --seed 1 --keep scenes`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return scenes.tables(cmd, bench.Case{})
		},
	}
	scenes.bind(cmd, 5, "clean")
	return cmd
}

// tables measures the scenes and prints a table of all metrics for each family and
// for all. The cases have what like says of bands and network.
func (b *benchScenes) tables(cmd *cobra.Command, like bench.Case) error {
	cases, dir, done, err := b.open()
	if err != nil {
		return err
	}
	defer done()
	for i := range cases {
		cases[i].Bands, cases[i].PoseDir = like.Bands, like.PoseDir
	}
	errOut := cmd.ErrOrStderr()
	outs, err := bench.Run(cmd.Context(), bench.Options{Cases: cases, Dir: dir, Workers: b.workers, Each: func(o bench.Outcome) {
		fmt.Fprintln(errOut, o.Line())
	}})
	if err != nil {
		return err
	}
	for _, f := range scene.AllFamilies() {
		var some []bench.Outcome
		for _, o := range outs {
			if o.Family == f {
				some = append(some, o)
			}
		}
		if len(some) > 0 && len(some) < len(outs) {
			bench.Table(cmd.OutOrStdout(), string(f), some)
			fmt.Fprintln(cmd.OutOrStdout())
		}
	}
	bench.Table(cmd.OutOrStdout(), "all: "+strings.Join(b.families, ", "), outs)
	return nil
}

func newBenchBodyCmd() *cobra.Command {
	var scenes benchScenes
	var like bench.Case
	cmd := &cobra.Command{
		Use:   "body",
		Short: "Print the errors of what the body does",
		Long: `Render seeded scenes whose hitter wears bands on all joints, or on none, measure
them as any clip, and print a table of errors of all metrics. Those of arms, hips and
shoulders are angles and lengths in the picture.`,
		Example: `  ashline-lab bench body --count 20
  ashline-lab bench body --bands none --pose "$(bash deploy/pose.sh)"`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if like.Bands != "all" && like.Bands != "none" {
				return usageError{fmt.Errorf("bench: --bands %q is neither all nor none", like.Bands)}
			}
			return scenes.tables(cmd, like)
		},
	}
	scenes.bind(cmd, 5, "clean")
	cmd.Flags().StringVar(&like.Bands, "bands", "all", "bands on the joints: all or none")
	cmd.Flags().StringVar(&like.PoseDir, "pose", "", "folder of the pose network")
	return cmd
}

// open gives the cases and the folder for their scenes.
func (b *benchScenes) open() (cases []bench.Case, dir string, done func(), err error) {
	if cases, err = b.cases(); err != nil {
		return nil, "", nil, err
	}
	dir, done, err = b.folder()
	return cases, dir, done, err
}

func newBenchTrackCmd() *cobra.Command {
	var scenes benchScenes
	var rivals, asJSON bool
	cmd := &cobra.Command{
		Use:   "track",
		Short: "Print the errors of the barrel's path, frame by frame",
		Long: `Render seeded scenes, measure them as any clip, and compare the barrel's path with
the truth, a row for each family of scenes. Within 0.15 s of contact:

  refused      scenes that were not measured
  missed, extra  swings that were not found, and that were found where there is none
  surely wrong swings told with confidence that are not so: an attack or descent angle
               that is measured, more than 3° off and outside its interval, or an extra
               swing
  seen of shown  share, of the frames that show more than half of the band, in which it
               was found
  seen px      root mean square error of the barrel's centre where its band was
               seen, with the number of frames and the median error
  hidden px    the same where the path was carried on, by optical flow or by the
               smoothed path, while the band was truly hidden
  carried px   the same in all frames in which it was carried on
  empty        frames without a place
  wrong object scenes with a frame, within 0.25 s before and 0.20 s after contact,
               that is more than 20 px and more than the barrel's breadth off
  attack °, descent °, gap °, contact ms  median and 95th percentile of the errors' size

A second table tells how often a band that was said to be seen was within reach of the
bat, by the clip's path_confidence, and a list names the scenes that were refused or
wrong; "ashline-lab scene --family FAMILY --seed SEED --out FOLDER" renders one of them.

A last table gives the errors of the metrics over all scenes, as "bench swing" does.

With --rivals the trackers of OpenCV that follow any object (MIL, CSRT, KCF, with
their own settings) run on the same clips, on whole frames in full colour, started
on the true box of the band about 0.20 s before contact. Judged are the frames up to
0.10 s after contact that show more than half of the band:

  lost         scenes in which the tracker is off the barrel (as above), or gives
               no place, from some frame on to the end
  known        share of the frames with a place
  RMSE px      over the frames with a place, in all scenes; held px in those not lost
  TIoU         overlap of true and estimated disc averaged over the exposure and the
               frames, 1 is perfect; a frame without a place counts 0
  CPU ms       processor time a frame of the tracker's update alone, for ashline of
               following the barrel's band: its colour, its patches, one path
  whole ms     the same of ashline's whole analysis: decoding, steadying, all marks,
               the ball, and the bat's fit, which the places judged come from

--rivals measures one scene after the other.`,
		Example: `  ashline-lab bench track --count 4 --keep scenes
  ashline-lab bench track --families clean,hidden12 --rivals --json`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			cases, dir, done, err := scenes.open()
			if err != nil {
				return err
			}
			defer done()
			errOut, out := cmd.ErrOrStderr(), cmd.OutOrStdout()
			outs, err := bench.RunTrack(cmd.Context(), bench.TrackOptions{
				Cases: cases, Dir: dir, Workers: scenes.workers, Rivals: rivals,
				Each: func(o bench.TrackOutcome) { fmt.Fprintln(errOut, o.Line()) },
			})
			if err != nil {
				return err
			}
			report := bench.ReportTrack(outs)
			if asJSON {
				enc := json.NewEncoder(out)
				enc.SetIndent("", "  ")
				return enc.Encode(report)
			}
			if err := report.Write(out); err != nil {
				return err
			}
			measured := make([]bench.Outcome, len(outs))
			for i, o := range outs {
				measured[i] = o.Outcome
			}
			fmt.Fprintln(out)
			bench.Table(out, "all: "+strings.Join(scenes.families, ", "), measured)
			return nil
		},
	}
	scenes.bind(cmd, 3, "all")
	f := cmd.Flags()
	f.BoolVar(&rivals, "rivals", false, "also run OpenCV's trackers, side by side")
	f.BoolVar(&asJSON, "json", false, "print a JSON object")
	return cmd
}
