package worker_test

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"
)

// What was there when an attempt began and is gone is not the clip's fault, whatever
// the analysis makes of it: the job is tried again and measured.
func TestVanishedFoldersAreTriedAgain(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		remove func(t worker.Task) string
		err    error
	}{
		"results folder, said":     {func(t worker.Task) string { return t.Out }, fmt.Errorf("writing results: %w", fs.ErrNotExist)},
		"results folder, as a bug": {func(t worker.Task) string { return t.Out }, fmt.Errorf("worker: the analysis failed with code 1")},
		"input folder":             {func(t worker.Task) string { return filepath.Dir(t.Clip) }, fmt.Errorf("%w: no such clip", job.ErrBadInput)},
		"clip":                     {func(t worker.Task) string { return t.Clip }, fmt.Errorf("%w: no such clip", job.ErrBadInput)},
		"card":                     {func(t worker.Task) string { return t.Cards[0] }, fmt.Errorf("%w: card", job.ErrBadInput)},
		"all":                      {func(t worker.Task) string { return filepath.Dir(t.Out) }, fmt.Errorf("%w: no such clip", job.ErrBadInput)},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				b.analyst.Do = func(_ context.Context, call int, task worker.Task) error {
					if call > 1 {
						return nil
					}
					if err := os.RemoveAll(c.remove(task)); err != nil {
						t.Error(err)
					}
					return c.err
				}
				stop := b.start(worker.Config{})
				b.submit("")
				b.hear(event.SubjectMeasured, 1)
				stop()
				b.settled("done", 1)
				if b.analyst.Calls() != 2 {
					t.Errorf("got %d analyses, want 2", b.analyst.Calls())
				}
			})
		})
	}
}
