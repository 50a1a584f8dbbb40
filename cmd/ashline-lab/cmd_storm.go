package main

import (
	"fmt"
	"time"

	"ashline/worker"
	"ashline/worker/storm"

	"github.com/spf13/cobra"
)

func newStormCmd() *cobra.Command {
	var cfg storm.Config
	cmd := &cobra.Command{
		Use:   "storm",
		Short: "Kill workers and servers at random while clips are measured",
		Long: `Render small clips, submit them, and measure them with two workers while workers,
queue and store, each a process of its own on the loopback, are killed at random
moments and started again. Print a table: how many jobs were committed or failed with
a reason, and what must not be: jobs lost or with two ends, bundles that are not whole.

nats-server and versitygw are looked for on PATH; "bash deploy/storm.sh" sees to them.

Ends with code 1 when anything happened that must not.`,
		Example: `  ashline-lab storm --clips 100
  ashline-lab storm --clips 20 --seed 7 --gap 3s`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cfg.Clips < 1 || cfg.Clips > 9999 || cfg.Gap <= 0 {
				return usageError{fmt.Errorf("storm: --clips is from 1 to 9999, --gap positive")}
			}
			var err error
			if cfg.Program, err = worker.Sibling("ashline"); err != nil {
				return usageError{err}
			}
			cfg.Tell = func(what string) { fmt.Fprintln(cmd.ErrOrStderr(), what) }
			rep, err := storm.Run(cmd.Context(), cfg)
			if err != nil {
				return err
			}
			if err := rep.Write(cmd.OutOrStdout()); err != nil {
				return err
			}
			if len(rep.Faults) > 0 {
				return fmt.Errorf("storm: %s", rep.Faults[0])
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.IntVar(&cfg.Clips, "clips", 6, "clips")
	f.Uint64Var(&cfg.Seed, "seed", 1, "seed of clips and kills")
	f.DurationVar(&cfg.Gap, "gap", 6*time.Second, "mean time between two kills")
	return cmd
}
