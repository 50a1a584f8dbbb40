package storm

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"ashline/worker/queue"
)

// Config says what is measured, and how often something is killed.
type Config struct {
	Program string        // path of the measuring program
	Clips   int           // clips
	Seed    uint64        // of clips and kills
	Gap     time.Duration // mean time between two kills. Defaults to 6 s.
	Tell    func(string)  // told what is being done. Defaults to nobody.
}

const defaultGap = 6 * time.Second

// Each job may take so long beside the start, kills included.
const (
	mostAtAll  = 3 * time.Minute
	mostByClip = 30 * time.Second
)

// storm is one run under way.
type storm struct {
	cfg                      Config
	dir, secretFile, scratch string
	queue, store             *service
	workers                  [2]*process
	logs                     [2]*os.File
	killed                   Kills
}

// Run measures clips in the storm and reports what became of their jobs. An error is
// trouble of its own, such as a server that does not start.
func Run(ctx context.Context, cfg Config) (rep Report, err error) {
	if cfg.Gap == 0 {
		cfg.Gap = defaultGap
	}
	if cfg.Tell == nil {
		cfg.Tell = func(string) {}
	}
	dir, err := os.MkdirTemp("", "ashline-storm-")
	if err != nil {
		return rep, fmt.Errorf("storm: %w", err)
	}
	defer os.RemoveAll(dir)
	s := &storm{cfg: cfg, dir: dir, secretFile: filepath.Join(dir, "secret"), scratch: filepath.Join(dir, "scratch")}
	defer s.end()
	cfg.Tell(fmt.Sprintf("rendering %d clips", cfg.Clips))
	clips, err := render(ctx, filepath.Join(dir, "clips"), cfg.Clips, cfg.Seed)
	if err != nil {
		return rep, err
	}
	if err := s.begin(ctx); err != nil {
		return rep, err
	}
	submitted, err := submitAll(ctx, s.queue.url, s.store.url, clips)
	if err != nil {
		return rep, err
	}
	began := time.Now()
	for i := range s.workers {
		if err := s.startWorker(i); err != nil {
			return rep, err
		}
	}
	rested, err := s.rage(ctx)
	if err != nil {
		return rep, err
	}
	ends, err := readEnds(ctx, s.queue.url)
	if err != nil {
		return rep, err
	}
	bundles, broken, err := readBundles(ctx, s.store.url, filepath.Join(s.store.dir, bucket))
	if err != nil {
		return rep, err
	}
	rep = tally(submitted, ends, bundles)
	rep.Seed, rep.Kills, rep.Took = cfg.Seed, s.killed, time.Since(began)
	rep.Faults = append(rep.Faults, broken...)
	if !rested {
		rep.Faults = append(rep.Faults, fmt.Sprintf("jobs are not at rest after %s", s.most()))
	}
	return rep, nil
}

// begin starts the servers.
func (s *storm) begin(ctx context.Context) (err error) {
	for _, d := range []string{s.scratch, filepath.Join(s.dir, "queue"), filepath.Join(s.dir, "store")} {
		if err := os.Mkdir(d, 0o700); err != nil {
			return fmt.Errorf("storm: %w", err)
		}
	}
	if err := os.WriteFile(s.secretFile, []byte(secret+"\n"), 0o600); err != nil {
		return fmt.Errorf("storm: %w", err)
	}
	for i := range s.logs {
		if s.logs[i], err = os.Create(filepath.Join(s.dir, fmt.Sprintf("worker-%d.log", i))); err != nil {
			return fmt.Errorf("storm: %w", err)
		}
	}
	if s.queue, err = newQueue(filepath.Join(s.dir, "queue")); err != nil {
		return err
	}
	if s.store, err = newStore(filepath.Join(s.dir, "store")); err != nil {
		return err
	}
	return errors.Join(s.queue.start(ctx), s.store.start(ctx))
}

// end kills what was started.
func (s *storm) end() {
	for i, w := range s.workers {
		if w != nil {
			w.kill()
		}
		_ = s.logs[i].Close()
	}
	for _, v := range []*service{s.queue, s.store} {
		if v != nil {
			v.stop()
		}
	}
}

func (s *storm) startWorker(i int) (err error) {
	s.workers[i], err = worker(s.cfg.Program, s.queue.url, s.store.url, s.secretFile, s.scratch, s.logs[i])
	return err
}

func (s *storm) most() time.Duration {
	return mostAtAll + time.Duration(s.cfg.Clips)*mostByClip
}

// rage kills one thing after the other until every job has ended and each kind of
// thing has been killed. It tells whether the jobs came to rest.
func (s *storm) rage(ctx context.Context) (rested bool, err error) {
	limited, cancel := context.WithTimeout(ctx, s.most())
	defer cancel()
	rng := rand.New(rand.NewPCG(s.cfg.Seed, 0))
	for n := 0; ; n++ {
		gap := time.NewTimer(time.Duration((0.3 + 1.4*rng.Float64()) * float64(s.cfg.Gap)))
		select {
		case <-gap.C:
		case <-limited.Done():
			gap.Stop()
			return false, ctx.Err()
		}
		if s.quiet(limited) && n >= 3 {
			return true, nil
		}
		victim := n // each once, then at random, workers more often
		if n > 2 {
			victim = []int{0, 0, 0, 1, 2}[rng.IntN(5)]
		}
		switch victim {
		case 0:
			i := rng.IntN(len(s.workers))
			s.cfg.Tell(fmt.Sprintf("killing worker %d", i))
			s.workers[i].kill()
			err = s.startWorker(i)
			s.killed.Workers++
		case 1:
			s.cfg.Tell("killing the queue")
			err = s.queue.restart(ctx)
			s.killed.Queue++
		case 2:
			s.cfg.Tell("killing the store")
			err = s.store.restart(ctx)
			s.killed.Store++
		}
		for i, w := range s.workers { // one that found no service when it started has ended
			if err == nil && w.ended() {
				err = s.startWorker(i)
			}
		}
		if err != nil {
			return false, err
		}
	}
}

// quiet tells whether the queue holds no job.
func (s *storm) quiet(ctx context.Context) bool {
	q, err := queue.Open(ctx, queue.Config{URL: s.queue.url})
	if err != nil {
		return false
	}
	defer q.Close()
	v, err := q.Survey(ctx, 0)
	return err == nil && v.Waiting+v.Running+v.Stuck == 0
}
