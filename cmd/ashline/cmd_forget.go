package main

import (
	"encoding/json"
	"fmt"

	"ashline/worker/settings"
	"ashline/worker/upkeep"

	"github.com/spf13/cobra"
)

func newForgetCmd() *cobra.Command {
	var asJSON bool
	var academy string
	cmd := &cobra.Command{
		Use:   "forget HITTER",
		Short: "Remove every object and message of a hitter",
		Long: `Remove a hitter's clips, cards and results from the store, and the hitter's jobs
and events from the queue. It says what it removed; a second time finds nothing.

A job that a worker has in hand may still leave its result: forget again when it is
through. Copies elsewhere (older versions that a bucket keeps, backups, what
applications and people have fetched) are not within reach. Needs an operator's rights.`,
		Example: `  ashline forget fh-017 --config ashline.yaml
  ashline forget fh-017 --academy fernhill --json`,
		Args: cobra.ExactArgs(1),
	}
	f := settings.Bind(cmd.Flags())
	cmd.Flags().BoolVar(&asJSON, "json", false, "print a JSON object")
	cmd.Flags().StringVar(&academy, "academy", "", "the hitter's academy (needed when several know the id)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		s, err := resolve(f)
		if err != nil {
			return err
		}
		h := upkeep.Hitter{Bucket: s.Bucket, Academy: academy, ID: args[0]}
		if err := h.Check(); err != nil {
			return usageError{err}
		}
		st, err := s.OpenStore(cmd.Context())
		if err != nil {
			return usageOf(err)
		}
		defer st.Close()
		q, err := s.OpenQueue(cmd.Context(), "ashline forget", nil)
		if err != nil {
			return usageOf(err)
		}
		defer q.Close()
		got, err := upkeep.Forget(cmd.Context(), q, st, h)
		out := cmd.OutOrStdout()
		if asJSON { // also what a forget that broke off has removed
			if jerr := json.NewEncoder(out).Encode(got); jerr != nil {
				return jerr
			}
			return err
		}
		for _, key := range got.Objects {
			fmt.Fprintf(out, "removed %s\n", key)
		}
		fmt.Fprintf(out, "%s: %d objects, %d jobs and %d events removed\n", got.Hitter, len(got.Objects), got.Jobs, got.Events)
		if got.Taken > 0 {
			fmt.Fprintf(out, "%d of the jobs may be with a worker still: forget again when they are through\n", got.Taken)
		}
		return err
	}
	return cmd
}
