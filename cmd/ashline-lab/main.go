package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"
)

// Exit codes, published in the help of the root command.
const (
	exitFailed      = 1
	exitUsage       = 2
	exitInterrupted = 130
)

// usageError is a mistake on the command line.
type usageError struct{ error }

func (u usageError) Unwrap() error { return u.error }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := newRootCmd().ExecuteContext(ctx)
	interrupted := ctx.Err() != nil
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "ashline-lab: "+strings.Join(strings.Fields(err.Error()), " "))
		os.Exit(exitCode(err, interrupted))
	}
}

func exitCode(err error, interrupted bool) int {
	var u usageError
	switch {
	case err == nil:
		return 0
	case interrupted:
		return exitInterrupted
	case errors.As(err, &u), strings.HasPrefix(err.Error(), "unknown command"):
		return exitUsage
	}
	return exitFailed
}
