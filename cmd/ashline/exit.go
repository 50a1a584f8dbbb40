package main

import (
	"strings"

	"ashline/worker"
	"ashline/worker/job"

	"github.com/spf13/cobra"
)

// usageError is a mistake on the command line.
type usageError struct{ error }

func (u usageError) Unwrap() error { return u.error }

// Class makes it one.
func (u usageError) Class() job.Class { return job.Usage }

// end is what a command ended with, as far as classes go.
func end(err error, interrupted bool) error {
	if interrupted {
		return job.ErrInterrupted
	}
	return err
}

// exitCode is what the program ends with, as published in the help of the root command.
func exitCode(err error, interrupted bool) int { return job.ExitCode(end(err, interrupted)) }

const verdictFlag = "verdict-fd"

// tellVerdict tells a worker that this program is the child of how it ended.
func tellVerdict(root *cobra.Command, err error, interrupted bool) {
	fd, _ := root.PersistentFlags().GetInt(verdictFlag)
	if fd <= 2 {
		return
	}
	v := worker.Verdict{Class: job.Classify(end(err, interrupted))}
	if err != nil {
		v.Reason = errorLine(err)
	}
	v.Tell(fd)
}

// errorLine makes one line of an error.
func errorLine(err error) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(err.Error(), "\n", " · ")), " ")
}
