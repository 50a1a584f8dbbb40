package main

import (
	"context"
	"errors"
	"io"
	"testing"
)

func TestCommandLine(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		args []string
		code int
	}{
		{"help", []string{"--help"}, 0},
		{"no such verb", []string{"measure"}, exitUsage},
		{"no such flag", []string{"scene", "--sed", "1"}, exitUsage},
		{"a stray word", []string{"scene", "clips"}, exitUsage},
		{"scene without a folder", []string{"scene"}, exitUsage},
		{"a pitch that cannot be", []string{"scene", "--out", t.TempDir(), "--descent", "80"}, exitUsage},
		{"academy without a folder", []string{"academy"}, exitUsage},
		{"nobody renders", []string{"academy", "--out", "clips", "--workers", "0"}, exitUsage},
		{"no such family", []string{"bench", "swing", "--family", "plain"}, exitUsage},
		{"no scenes", []string{"bench", "track", "--count", "0"}, exitUsage},
		{"no such bands", []string{"bench", "body", "--bands", "some"}, exitUsage},
		{"no clips", []string{"hostile", "--count", "0"}, exitUsage},
		{"a storm without clips", []string{"storm", "--clips", "0"}, exitUsage},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			root := newRootCmd()
			root.SetArgs(tc.args)
			root.SetOut(io.Discard)
			root.SetErr(io.Discard)
			err := root.ExecuteContext(t.Context())
			if got := exitCode(err, false); got != tc.code {
				t.Errorf("got %v with code %d, want %d", err, got, tc.code)
			}
		})
	}
	if got := exitCode(context.Canceled, true); got != exitInterrupted {
		t.Errorf("interrupted: got %d, want %d", got, exitInterrupted)
	}
	if got := exitCode(errors.New("no encoder"), false); got != exitFailed {
		t.Errorf("failed: got %d, want %d", got, exitFailed)
	}
}
