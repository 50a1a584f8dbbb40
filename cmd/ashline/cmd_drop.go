package main

import (
	"context"
	"fmt"

	"ashline/worker/queue"
	"ashline/worker/upkeep"

	"github.com/spf13/cobra"
)

func newDropCmd() *cobra.Command {
	return newUpkeepCmd(&cobra.Command{
		Use:   "drop JOB...",
		Short: "Remove jobs that wait or failed",
		Long: `Remove jobs that are not ended, and what is kept of their failures. A job that a
worker has in hand may still leave its result. Needs an operator's rights.`,
		Example: `  ashline drop 3f9c01d2a4b5c6d7e8f90a1b --config ashline.yaml`,
	}, func(ctx context.Context, q *queue.Queue, id string) (any, string, error) {
		v, err := upkeep.Drop(ctx, q, id)
		return v, fmt.Sprintf("%s: removed %d waiting, %d taken, %d failures", v.Job, v.Waiting, v.Taken, v.Failures), err
	})
}
