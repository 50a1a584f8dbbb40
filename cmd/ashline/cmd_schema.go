package main

import (
	"ashline/pipeline"

	"github.com/spf13/cobra"
)

func newSchemaCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of metrics.json",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			text, err := pipeline.Schema()
			if err != nil {
				return err
			}
			_, err = cmd.OutOrStdout().Write(append(text, '\n'))
			return err
		},
	}
}
