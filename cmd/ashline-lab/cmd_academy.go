package main

import (
	"encoding/json"
	"errors"
	"fmt"

	"ashline/pipeline/scene"
	"ashline/worker/demo"

	"github.com/spf13/cobra"
)

func newAcademyCmd() *cobra.Command {
	var seed uint64
	var out string
	var workers int
	var list bool
	cmd := &cobra.Command{
		Use:   "academy",
		Short: `Render the twelve clips of "ashline try"`,
		Long: `Render twelve clips of six invented hitters, each before and after a block of work,
with their cards and truths, and print JSON lines: how far each clip is, and the file
of each that is whole. With --list print what would be rendered, as a JSON list.`,
		Example: `  ashline-lab academy --seed 7 --out clips`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			takes := scene.Academy(seed)
			enc := json.NewEncoder(cmd.OutOrStdout())
			if list {
				names := make([]demo.Take, len(takes))
				for i, t := range takes {
					names[i] = demo.Take{Clip: t.Name, Hitter: t.Labels.Hitter, Label: t.Labels.Label, Bats: t.Params.Bats}
				}
				return enc.Encode(names)
			}
			if out == "" {
				return usageError{errors.New("academy: --out is required")}
			}
			if workers < 1 {
				return usageError{fmt.Errorf("academy: --workers %d is less than 1", workers)}
			}
			return scene.Film(cmd.Context(), out, takes, workers, func(t scene.Take, done, total int, f *scene.Files) error {
				shot := demo.Shot{Clip: t.Name, Done: done, Total: total}
				if f != nil {
					shot.File = f.Clip
				}
				return enc.Encode(shot)
			})
		},
	}
	f := cmd.Flags()
	f.Uint64Var(&seed, "seed", 1, "another academy")
	f.StringVar(&out, "out", "", "folder for the files (made if missing)")
	f.IntVar(&workers, "workers", 2, "clips at the same time")
	f.BoolVar(&list, "list", false, "print what would be rendered, and render nothing")
	return cmd
}
