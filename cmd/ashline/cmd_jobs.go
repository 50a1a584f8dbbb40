package main

import (
	"encoding/json"
	"fmt"

	"ashline/worker/settings"

	"github.com/spf13/cobra"
)

func newJobsCmd() *cobra.Command {
	var asJSON bool
	var limit int
	cmd := &cobra.Command{
		Use:   "jobs",
		Short: "Say which jobs wait and run, and which have failed",
		Long: `Count the jobs that wait and that are with a worker, list the oldest of them and
the latest failures. Running counts those that were given back for later, too.

Stuck jobs were delivered too often and not ended; a running worker clears them.`,
		Example: `  ashline jobs --queue nats://127.0.0.1:4222
  ashline jobs --config ashline.yaml --json`,
	}
	f := settings.Bind(cmd.Flags())
	cmd.Flags().BoolVar(&asJSON, "json", false, "print a JSON object")
	cmd.Flags().IntVar(&limit, "limit", 20, "jobs and failures to list")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if limit < 0 {
			return usageError{fmt.Errorf("jobs: --limit %d is negative", limit)}
		}
		s, err := resolve(f)
		if err != nil {
			return err
		}
		q, err := s.OpenQueue(cmd.Context(), "ashline jobs", nil)
		if err != nil {
			return usageOf(err)
		}
		defer q.Close()
		v, err := q.Survey(cmd.Context(), limit)
		if err != nil {
			return err
		}
		out := cmd.OutOrStdout()
		if asJSON {
			enc := json.NewEncoder(out)
			enc.SetIndent("", "  ")
			return enc.Encode(v)
		}
		fmt.Fprintf(out, "waiting %d, running %d, stuck %d, failed %d\n", v.Waiting, v.Running, v.Stuck, v.FailedInAll)
		for _, x := range v.Jobs {
			state := "waiting"
			if x.Taken {
				state = "running"
			}
			fmt.Fprintf(out, "%s  %-9s  %s\n", x.ID, state, x.Name)
		}
		for _, x := range v.Failed {
			fmt.Fprintf(out, "%s  %-9s  %s: %s\n", x.Job.ID, x.Class, x.Job.Name, x.Reason)
		}
		return nil
	}
	return cmd
}
