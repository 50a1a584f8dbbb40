package main

import (
	"fmt"

	"ashline/pipeline/fence"

	"github.com/spf13/cobra"
)

// fenced has a command that opens strangers' clips refuse to begin where the fence
// around its decoders is not whole, unless --allow-partial-fence is given.
func fenced(cmd *cobra.Command, partial *bool) {
	cmd.Flags().BoolVar(partial, "allow-partial-fence", false, "go on where this system can fence in what opens clips only in part")
	cmd.PreRunE = func(cmd *cobra.Command, _ []string) error {
		if s := fence.Probe(); !s.Whole() && !*partial {
			return usageError{fmt.Errorf("%s: clips are strangers' files, and of what opens them %s; --allow-partial-fence goes on all the same", cmd.Name(), s)}
		}
		return nil
	}
}
