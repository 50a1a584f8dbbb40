package worker

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"ashline/worker/job"
)

// Self names this program to the kernel. A fence starts it by the file that it was started
// from, as the limiter in between is another program: a file that was replaced since is the
// new one.
const Self = "/proc/self/exe"

// The variables that name what an analysis reads beside clip and cards.
const (
	poseVar  = "ASHLINE_POSE"
	rulesVar = "ASHLINE_RULES"
	wordsVar = "ASHLINE_WORDS"
)

// maxTextBytes is more than rules or words need.
const maxTextBytes = 1 << 20

// Pin makes this process's analyses read the same rules and words from now on,
// whatever becomes of the files and of the folder that this process works in: it
// has copies of its own, below scratch, and the variables name them. What results
// depend on must not change under a worker. It is to be called before anything
// else looks at the variables; unpin removes the copies.
func Pin(scratch string) (unpin func() error, err error) {
	dir, remove, err := newFolder(scratch)
	if err != nil {
		return nil, fmt.Errorf("worker: %w", err)
	}
	for _, v := range []string{poseVar, rulesVar, wordsVar} {
		from := os.Getenv(v)
		if from == "" {
			continue
		}
		to, err := filepath.Abs(from)
		if err == nil && v != poseVar { // the network's files are known by their content
			to = filepath.Join(dir, v+".yaml")
			err = copySmall(from, to)
		}
		if err == nil {
			err = os.Setenv(v, to)
		}
		if err != nil {
			return nil, errors.Join(fmt.Errorf("%w: %s: %w", job.ErrBadInput, v, err), remove())
		}
	}
	return remove, nil
}

func copySmall(from, to string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxTextBytes+1))
	if err != nil {
		return err
	}
	if len(data) > maxTextBytes {
		return fmt.Errorf("%q is larger than %d bytes", from, maxTextBytes)
	}
	return os.WriteFile(to, data, 0o600)
}
