package main

import (
	"context"
	"fmt"

	"ashline/worker/queue"
	"ashline/worker/upkeep"

	"github.com/spf13/cobra"
)

func newRetryCmd() *cobra.Command {
	return newUpkeepCmd(&cobra.Command{
		Use:   "retry JOB...",
		Short: "Submit failed jobs again",
		Long: `Submit failed jobs again, each under a new id, and take their failures off the list.
Retrying a job twice is one retry. Jobs and their ids are listed by ashline jobs.
Needs an operator's rights.`,
		Example: `  ashline retry 3f9c01d2a4b5c6d7e8f90a1b --config ashline.yaml`,
	}, func(ctx context.Context, q *queue.Queue, id string) (any, string, error) {
		v, err := upkeep.Retry(ctx, q, id)
		return v, fmt.Sprintf("%s: submitted again as %s", v.Job, v.NewID), err
	})
}
