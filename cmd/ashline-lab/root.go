package main

import (
	"fmt"

	"ashline/pipeline"

	"github.com/spf13/cobra"
)

func newRootCmd() *cobra.Command {
	root := &cobra.Command{
		Use:   "ashline-lab",
		Short: "Render swings whose truth is known, and judge ashline by them",
		Long: `ashline-lab renders invented swings in a synthetic cage, with cards and exact
truths, and judges the measuring by them: how large its errors are, what bad clips
can do to it, and what becomes of jobs when workers and servers are killed.

Exit codes: 0 done, 1 failed, 2 usage, 130 interrupted.`,
		Version:       pipeline.Version(),
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(newSceneCmd(), newAcademyCmd(), newBenchCmd(), newHostileCmd(), newStormCmd())
	for _, c := range root.Commands() {
		wrapArgs(c)
	}
	return root
}

// wrapArgs makes a wrong number of arguments a usage error.
func wrapArgs(c *cobra.Command) {
	check := c.Args
	if check == nil {
		check = cobra.NoArgs
	}
	c.Args = func(cmd *cobra.Command, args []string) error {
		if err := check(cmd, args); err != nil {
			return usageError{fmt.Errorf("%s: %w (see %s --help)", cmd.Name(), err, cmd.CommandPath())}
		}
		return nil
	}
}
