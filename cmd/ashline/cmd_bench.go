package main

import (
	"fmt"
	"os"
	"slices"
	"strings"

	"ashline/pipeline/bench"
	"ashline/pipeline/scene"

	"github.com/spf13/cobra"
)

func newBenchCmd() *cobra.Command {
	var families []string
	var count int
	var seed uint64
	var keep string
	var workers int
	cmd := &cobra.Command{
		Use:   "bench",
		Short: "Measure rendered scenes with known truth and print the errors",
		Long: `Render seeded scenes, measure them as any clip, and print a table of errors for
each family of scenes and for all. Seeds below 1000 are for tuning the program;
figures to quote come from seeds from 1000.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			dir := keep
			if dir == "" {
				var err error
				if dir, err = os.MkdirTemp("", "ashline-bench-"); err != nil {
					return err
				}
				defer os.RemoveAll(dir)
			}
			all := scene.Families()
			var cases []bench.Case
			for _, name := range families {
				if name != "all" && !slices.Contains(all, scene.Family(name)) {
					return usageError{fmt.Errorf("bench: --family %q is none of %v", name, all)}
				}
			}
			for _, f := range all {
				if !slices.Contains(families, "all") && !slices.Contains(families, string(f)) {
					continue
				}
				for i := range count {
					cases = append(cases, bench.Case{Family: f, Seed: seed + uint64(i)})
				}
			}
			errOut := cmd.ErrOrStderr()
			outs, err := bench.Run(cmd.Context(), bench.Options{Cases: cases, Dir: dir, Workers: workers, Each: func(o bench.Outcome) {
				fmt.Fprintln(errOut, o.Line())
			}})
			if err != nil {
				return err
			}
			for _, f := range all {
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
			bench.Table(cmd.OutOrStdout(), "all: "+strings.Join(families, ", "), outs)
			return nil
		},
	}
	f := cmd.Flags()
	f.StringSliceVar(&families, "family", []string{"clean"}, "families of scenes, or all")
	f.IntVar(&count, "count", 5, "scenes a family")
	f.Uint64Var(&seed, "seed", 1000, "first seed")
	f.StringVar(&keep, "keep", "", "keep the rendered scenes in this folder and use those that are there")
	f.IntVar(&workers, "workers", 2, "scenes at the same time")
	return cmd
}
