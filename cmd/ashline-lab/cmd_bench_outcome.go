package main

import (
	"fmt"

	"ashline/pipeline/bench"
	"ashline/pipeline/scene"

	"github.com/spf13/cobra"
)

func newBenchOutcomeCmd() *cobra.Command {
	var scenes benchScenes
	var clean bool
	cmd := &cobra.Command{
		Use:   "outcome",
		Short: "Print how often it is told rightly what became of a swing",
		Long: `Render seeded scenes of swings that come late, come early, pass over the ball or under
it, graze it, are held up or never start, measure them as any clip, and print how often
hit, tip, miss, check and none are told rightly, a row for each truth, and the errors of
contact and of what is told of a miss. A clip without a swing is refused as one, which
counts as none.`,
		Example: `  ashline-lab bench outcome --count 3
  ashline-lab bench outcome --count 25 --keep scenes`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if scenes.count < 1 {
				return usageError{fmt.Errorf("bench: --count %d is less than 1", scenes.count)}
			}
			families := scene.UnmetFamilies()
			if clean {
				families = append(families, scene.Clean)
			}
			var cases []bench.Case
			for _, f := range families {
				for i := range scenes.count {
					cases = append(cases, bench.Case{Family: f, Seed: scenes.seed + uint64(i)})
				}
			}
			dir, done, err := scenes.folder()
			if err != nil {
				return err
			}
			defer done()
			errOut := cmd.ErrOrStderr()
			outs, err := bench.Run(cmd.Context(), bench.Options{Cases: cases, Dir: dir, Workers: scenes.workers, Each: func(o bench.Outcome) {
				fmt.Fprintln(errOut, o.Line())
			}})
			if err != nil {
				return err
			}
			bench.WriteOutcomes(cmd.OutOrStdout(), bench.ReportOutcomes(outs))
			return nil
		},
	}
	f := cmd.Flags()
	f.IntVar(&scenes.count, "count", 3, "scenes a family")
	f.Uint64Var(&scenes.seed, "seed", 1000, "first seed")
	f.StringVar(&scenes.keep, "keep", "", "keep the rendered scenes in this folder and use those that are there")
	f.IntVar(&scenes.workers, "workers", 2, "scenes at the same time")
	f.BoolVar(&clean, "clean", true, "also scenes of usual hits")
	return cmd
}
