package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"syscall"
	"testing"

	"ashline/pipeline/card"
	"ashline/pipeline/media"
	"ashline/worker/job"
)

// The codes that the help of the root command publishes.
const (
	exitFailed      = 1
	exitUsage       = 2
	exitPartly      = 3
	exitBadInput    = 4
	exitUnreachable = 5
	exitInterrupted = 130
)

func TestExitCodes(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		err         error
		interrupted bool
		want        int
	}{
		"no class":             {errors.New("x"), false, exitFailed},
		"usage":                {usageError{errors.New("x")}, false, exitUsage},
		"usage, wrapped":       {fmt.Errorf("x: %w", usageError{card.ErrBad}), false, exitUsage},
		"partly":               {fmt.Errorf("%w: 1 of 2", job.ErrPartly), false, exitPartly},
		"a bad card":           {fmt.Errorf("x: %w", card.ErrBad), false, exitBadInput},
		"a card that is gone":  {fmt.Errorf("%w: %w", card.ErrBad, fs.ErrNotExist), false, exitBadInput},
		"a broken clip":        {media.ErrBroken, false, exitBadInput},
		"a folder that went":   {fmt.Errorf("writing results: %w", fs.ErrNotExist), false, exitFailed},
		"a full disk":          {fmt.Errorf("%w: %w", media.ErrBroken, syscall.ENOSPC), false, exitFailed},
		"away":                 {fmt.Errorf("x: %w", job.ErrUnreachable), false, exitUnreachable},
		"refused":              {job.ErrDenied, false, exitUnreachable},
		"interrupted":          {errors.New("signal: killed"), true, exitInterrupted},
		"a clip, while killed": {media.ErrBroken, true, exitInterrupted},
	} {
		if got := exitCode(c.err, c.interrupted); got != c.want {
			t.Errorf("%s: got %d, want %d", name, got, c.want)
		}
	}
}

func TestUnknownCommand(t *testing.T) {
	t.Parallel()
	root := newRootCmd()
	root.SetArgs([]string{"mesure"})
	root.SetOut(io.Discard)
	root.SetErr(io.Discard)
	err := root.Execute()
	if err == nil || exitCode(err, false) != exitUsage || !strings.Contains(err.Error(), "did you mean measure?") {
		t.Errorf("got %v", err)
	}
}
