package main

import (
	"fmt"
	"strings"

	"ashline/pipeline"

	"github.com/spf13/cobra"
)

func newRootCmd() *cobra.Command {
	root := &cobra.Command{
		Use:   "ashline",
		Short: "Measure from clips how early the barrel gets on the line of the pitch and how long it stays",
		Long: `ashline measures swings filmed from the side: the barrel's path by its coloured
band, the line of the incoming pitch, and how early the barrel gets onto that
line and how long it stays.

A coaching aid, not medical advice: stop on pain and see a licensed clinician.
Keep swing space clear, wear helmets, stand behind screens and nets. Bands on the
barrel are for practice; many rule sets forbid them in games. Follow the rules of
your facility and league.

Exit codes: 0 done, 1 failed, 2 usage, 3 partly done, 4 bad clip, card or results,
5 service unreachable, 130 interrupted.`,
		Version:       pipeline.Version(),
		SilenceUsage:  true,
		SilenceErrors: true,

		SuggestionsMinimumDistance: 2, // letters
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			near := ""
			if names := cmd.SuggestionsFor(args[0]); len(names) > 0 {
				near = "; did you mean " + strings.Join(names, ", ") + "?"
			}
			return usageError{fmt.Errorf("unknown command %q%s (see ashline --help)", args[0], near)}
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.PersistentFlags().Int(verdictFlag, 0, "write how the command ended as a JSON line to this file descriptor")
	_ = root.PersistentFlags().MarkHidden(verdictFlag)
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(newMeasureCmd(), newCardCmd(), newChangeCmd(), newCompareCmd(), newSchemaCmd(), newSubmitCmd(), newWorkCmd(), newTryCmd(), newJobsCmd(), newRetryCmd(), newDropCmd(), newForgetCmd())
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
			return usageError{fmt.Errorf("%s: %w (see ashline %s --help)", cmd.Name(), err, cmd.Name())}
		}
		return nil
	}
}
