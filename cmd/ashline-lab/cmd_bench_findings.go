package main

import (
	"fmt"

	"ashline/pipeline/bench"
	"ashline/pipeline/rules"

	"github.com/spf13/cobra"
)

func newBenchFindingsCmd() *cobra.Command {
	var scenes benchScenes
	var truthOnly bool
	cmd := &cobra.Command{
		Use:   "findings",
		Short: "Print how many planted faults are named, and how many findings are false",
		Long: `Render seeded scenes whose hitter wears bands on all joints, with a planted fault
chosen by the seed (every seventh has none), measure them as any clip, judge them by
the built-in rules, and print for each fault how often it was named: the rule of the
fault's name fired. A finding is false when its rule's conditions do not hold for the
scene's true metrics.

With --truth nothing is rendered or measured: the rules judge the true metrics, which
serves to choose their bounds.`,
		Example: `  ashline-lab bench findings --keep scenes
  ashline-lab bench findings --truth --seed 1 --count 70`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			set, err := rules.Load("", "")
			if err != nil {
				return err
			}
			cases, dir, done, err := scenes.open()
			if err != nil {
				return err
			}
			defer done()
			for i := range cases {
				cases[i].Bands, cases[i].Fault = "all", bench.Planted(cases[i].Seed)
			}
			errOut := cmd.ErrOrStderr()
			run := bench.Run
			if truthOnly {
				run = bench.RunTruth
			}
			outs, err := run(cmd.Context(), bench.Options{Cases: cases, Dir: dir, Workers: scenes.workers, Each: func(o bench.Outcome) {
				fmt.Fprintln(errOut, o.Line())
			}})
			if err != nil {
				return err
			}
			return bench.ReportFindings(outs, set).Write(cmd.OutOrStdout())
		},
	}
	scenes.bind(cmd, 50, "clean")
	cmd.Flags().BoolVar(&truthOnly, "truth", false, "judge the true metrics; render and measure nothing")
	return cmd
}
