package main

import (
	"context"
	"errors"
	"strings"

	"ashline/pipeline"
)

// Exit codes, published in the help of the root command.
const (
	exitFailed      = 1
	exitUsage       = 2
	exitPartly      = 3
	exitBadInput    = 4
	exitUnreachable = 5
	exitInterrupted = 130
)

// usageError is a mistake on the command line.
type usageError struct{ error }

func (u usageError) Unwrap() error { return u.error }

// coded is what packages implement to ask for one of the other codes.
type coded interface{ ExitCode() int }

// exitCode is the one place that maps an error to an exit code.
func exitCode(err error, interrupted bool) int {
	var u usageError
	var c coded
	switch {
	case interrupted && errors.Is(err, context.Canceled), interrupted && strings.Contains(err.Error(), "signal"):
		return exitInterrupted
	case errors.As(err, &u), strings.HasPrefix(err.Error(), "unknown command"):
		return exitUsage
	case errors.As(err, &c):
		return c.ExitCode()
	case pipeline.BadInput(err):
		return exitBadInput
	}
	return exitFailed
}

// errorLine makes one line of an error.
func errorLine(err error) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(err.Error(), "\n", " · ")), " ")
}
