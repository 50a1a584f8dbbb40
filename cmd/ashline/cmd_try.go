package main

import (
	"encoding/json"
	"fmt"
	"os"
	"time"

	"ashline/worker"
	"ashline/worker/demo"

	"github.com/spf13/cobra"
)

func newTryCmd() *cobra.Command {
	var cfg demo.Config
	var lab demo.Lab
	var asJSON, partial bool
	cmd := &cobra.Command{
		Use:   "try",
		Short: "Run everything once on this machine with invented clips",
		Long: `Run the whole path on this machine: render twelve clips of six invented hitters
(before and after), submit them to a queue and a store inside this process,
measure them with workers, and fetch the results. The clips are rendered by
ashline-lab, which is looked for beside this program and then on PATH.

The folder given with --out is made; if an earlier try made it, it is emptied.`,
		Example: `  ashline try
  ashline try --out fernhill-demo --workers 4 --seed 7 --json`,
	}
	f := cmd.Flags()
	f.StringVar(&cfg.Out, "out", "ashline-try", "folder for clips and results")
	f.IntVar(&cfg.Workers, "workers", 2, "clips measured at the same time")
	f.Uint64Var(&lab.Seed, "seed", 1, "another academy")
	f.BoolVar(&asJSON, "json", false, "print a JSON summary instead of progress and table")
	fenced(cmd, &partial)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if cfg.Workers < 1 || cfg.Workers > 64 {
			return usageError{fmt.Errorf("try: --workers %d is not between 1 and 64", cfg.Workers)}
		}
		var err error
		if lab.Program, err = worker.Sibling("ashline-lab"); err != nil {
			return usageError{fmt.Errorf("try: ashline-lab renders the clips: %w", err)}
		}
		lab.Workers = cfg.Workers
		cfg.Studio = lab
		unpin, err := worker.Pin(os.TempDir())
		if err != nil {
			return usageError{err}
		}
		defer func() { _ = unpin() }()
		if cfg.Program, err = programOf(); err != nil {
			return err
		}
		cfg.Analyst = &worker.Child{Program: worker.Self, Stall: 2 * time.Minute, PartialFence: partial}
		closeBars := func() {}
		if !asJSON {
			if out, ok := cmd.OutOrStdout().(*os.File); ok && isTerminal(out) {
				bars := demo.NewBars(out)
				cfg.Watch, closeBars = bars.Update, bars.Close
			} else {
				cfg.Watch = demo.Lines(cmd.OutOrStdout())
			}
		}
		sum, err := demo.Run(cmd.Context(), cfg)
		closeBars()
		if sum.Clips == 0 {
			return err
		}
		if asJSON {
			enc := json.NewEncoder(cmd.OutOrStdout())
			enc.SetIndent("", "  ")
			if perr := enc.Encode(sum); perr != nil {
				return perr
			}
			return err
		}
		if perr := sum.Table(cmd.OutOrStdout()); perr != nil {
			return perr
		}
		return err
	}
	return cmd
}
