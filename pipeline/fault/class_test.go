package fault_test

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"ashline/pipeline/fault"
)

func TestOf(t *testing.T) {
	t.Parallel()
	_, gone := os.Open(filepath.Join(t.TempDir(), "none"))
	for name, c := range map[string]struct {
		err  error
		want fault.Class
	}{
		"a sentinel":               {fmt.Errorf("x: %w", fault.ErrNoSwing), fault.BadInput},
		"the outermost counts":     {fmt.Errorf("%w: %w", fault.ErrBug, fault.ErrNoClip), fault.Bug},
		"a file that went":         {fmt.Errorf("writing results: %w", gone), fault.Transient},
		"a clip that is not there": {fmt.Errorf("%w: %w", fault.ErrNoClip, fs.ErrNotExist), fault.BadInput},
		"a full disk":              {&fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, fault.Transient},
		"a clip, on a full disk":   {fmt.Errorf("%w: %w", fault.ErrNoClip, syscall.EMFILE), fault.Transient},
		"too late":                 {context.DeadlineExceeded, fault.Transient},
		"its words alone":          {errors.New("no space left on device: no such clip"), fault.Bug},
	} {
		if got := fault.Of(c.err); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}
