package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := newRootCmd().ExecuteContext(ctx)
	interrupted := ctx.Err() != nil
	stop()
	if err != nil {
		if line := errorLine(err); line != "" {
			fmt.Fprintln(os.Stderr, "ashline: "+line)
		}
		os.Exit(exitCode(err, interrupted))
	}
}
