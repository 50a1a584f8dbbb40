package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/settings"
	"ashline/worker/upkeep"

	"github.com/spf13/cobra"
)

// newUpkeepCmd makes a command that does one thing to each of several jobs.
func newUpkeepCmd(cmd *cobra.Command, do func(ctx context.Context, q *queue.Queue, id string) (v any, line string, err error)) *cobra.Command {
	var asJSON bool
	cmd.Args = cobra.MinimumNArgs(1)
	f := settings.Bind(cmd.Flags())
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object a job")
	cmd.RunE = func(cmd *cobra.Command, ids []string) error {
		for _, id := range ids {
			if err := upkeep.CheckJobID(id); err != nil {
				return usageError{err}
			}
		}
		s, err := resolve(f)
		if err != nil {
			return err
		}
		q, err := s.OpenQueue(cmd.Context(), "ashline "+cmd.Name(), nil)
		if err != nil {
			return usageOf(err)
		}
		defer q.Close()
		failed := 0
		var last error
		for _, id := range ids {
			v, line, err := do(cmd.Context(), q, id)
			switch {
			case errors.Is(err, job.ErrNotFound):
				failed++
				last = err
				fmt.Fprintln(cmd.ErrOrStderr(), errorLine(err))
			case err != nil:
				return err
			case asJSON:
				if err := json.NewEncoder(cmd.OutOrStdout()).Encode(v); err != nil {
					return err
				}
			default:
				fmt.Fprintln(cmd.OutOrStdout(), line)
			}
		}
		switch failed {
		case 0:
			return nil
		case len(ids):
			return last
		default:
			return fmt.Errorf("%w: %d of %d jobs", job.ErrPartly, failed, len(ids))
		}
	}
	return cmd
}
