package main

import (
	"fmt"
	"slices"
	"strings"

	"ashline/metrics/schema"

	"github.com/spf13/cobra"
)

func newSchemaCmd() *cobra.Command {
	all := schema.Contracts()
	names := make([]string, len(all))
	for i, c := range all {
		names[i] = c.Name
	}
	return &cobra.Command{
		Use:       "schema [" + strings.Join(names, "|") + "]",
		Short:     "Print the JSON Schema of metrics.json, or of another result",
		Long:      "Print the JSON Schema (draft 2020-12) of metrics.json, or of what ashline change --json prints.",
		Example:   "  ashline schema\n  ashline schema change",
		ValidArgs: names,
		Args:      cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			want := all[0]
			if len(args) == 1 {
				i := slices.Index(names, args[0])
				if i < 0 {
					return usageError{fmt.Errorf("schema: %q is none of %s", args[0], strings.Join(names, ", "))}
				}
				want = all[i]
			}
			text, err := want.Text()
			if err != nil {
				return err
			}
			_, err = cmd.OutOrStdout().Write(text)
			return err
		},
	}
}
