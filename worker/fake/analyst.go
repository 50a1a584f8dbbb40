package fake

import (
	"context"
	"os"
	"path/filepath"
	"sync/atomic"

	"ashline/metrics"
	"ashline/pipeline/card"
	"ashline/worker"
)

// Analyst writes a small result. It is safe for concurrent use.
type Analyst struct {
	// Do, when set, runs in place of the default; call counts from 1.
	Do    func(ctx context.Context, call int, t worker.Task) error
	calls atomic.Int64
}

var _ worker.Analyst = (*Analyst)(nil)

// Cards reads the cards here: a test's are harmless.
func (*Analyst) Cards(_ context.Context, t worker.Task) (metrics.Card, error) {
	return card.Load(t.Cards...)
}

// Analyse writes metrics.json, a table and a still.
func (a *Analyst) Analyse(ctx context.Context, t worker.Task, step func(worker.Step)) error {
	n := int(a.calls.Add(1))
	step(worker.Step{Stage: "track", Done: 1, Total: 2})
	if a.Do != nil {
		if err := a.Do(ctx, n, t); err != nil {
			return err
		}
	}
	step(worker.Step{Stage: "track", Done: 2, Total: 2})
	return WriteResult(t.Out)
}

// Calls counts the analyses begun.
func (a *Analyst) Calls() int { return int(a.calls.Load()) }

// WriteResult writes the files of the invented result.
func WriteResult(dir string) error {
	for name, text := range map[string]string{
		"metrics.json":     `{"schema":"ashline.metrics/1.0","swings":[{"index":0}]}` + "\n",
		"track.csv":        "frame,t_s\n0,-0.2\n",
		"stills/slot.png":  "not really a picture\n",
		"report.html":      "<!doctype html><title>swing</title>\n",
		"plots/barrel.svg": "<svg xmlns='http://www.w3.org/2000/svg'/>\n",
	} {
		p := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(p), 0o700); err != nil {
			return err
		}
		if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
			return err
		}
	}
	return nil
}
