package main

import (
	"encoding/json"

	"ashline/pipeline/card"

	"github.com/spf13/cobra"
)

func newCardCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "card CARD...",
		Short: "Check cards and print what they say together",
		Long: `Check cards and print what they say together, as JSON: later ones override earlier
ones field by field, as a clip's card does with its session's.`,
		Example: `  ashline card clips/session.card.yaml clips/fh-017-before.card.yaml`,
		Args:    cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			merged, err := card.Load(args...)
			if err != nil {
				return err
			}
			out := json.NewEncoder(cmd.OutOrStdout())
			out.SetIndent("", "  ")
			return out.Encode(merged)
		},
	}
}
