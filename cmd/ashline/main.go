package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"ashline/pipeline/fence"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	root := newRootCmd()
	err := fence.Seal()
	if err == nil {
		err = root.ExecuteContext(ctx)
	}
	interrupted := ctx.Err() != nil
	stop()
	tellVerdict(root, err, interrupted)
	if err != nil {
		if line := errorLine(err); line != "" {
			fmt.Fprintln(os.Stderr, "ashline: "+line)
		}
		os.Exit(exitCode(err, interrupted))
	}
}
