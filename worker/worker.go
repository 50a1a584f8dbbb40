package worker

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"sync"
	"time"

	"ashline/worker/job"

	"go.opentelemetry.io/otel/trace"
	"golang.org/x/sys/unix"
)

// Config sets a worker up. The zero value works.
type Config struct {
	Bucket   string        // the one whose clips are measured; jobs for another are refused. Defaults to "ashline".
	Slots    int           // jobs in hand at a time. Defaults to 1.
	Lease    time.Duration // as the queue has it. Defaults to 30 s.
	Attempts int           // deliveries after which a job is given up. Defaults to 5.
	Deadline time.Duration // of one delivery of a job, all its stages together; the lease is extended no longer. Defaults to 1 h.
	Grace    time.Duration // how long running jobs may go on after a shutdown began; negative: not at all. Defaults to 20 s.
	Program  string        // version; a new one measures every clip anew. Defaults to "dev".
	Scratch  string        // folder for the attempts' own folders. Defaults to the system's.
	MaxClip  int64         // bytes of a clip. Defaults to 4 GiB.
	Room     int64         // bytes that must be free in Scratch for a job to be taken. Defaults to 1 GiB.

	Now    func() time.Time // Defaults to time.Now.
	Random func() float64   // 0 to 1, for delays. Defaults to the process's source.
	Log    *slog.Logger     // Defaults to none.
	Tracer trace.Tracer     // Defaults to none.
}

const (
	defaultBucket   = "ashline"
	defaultLease    = 30 * time.Second
	defaultAttempts = 5
	// defaultDeadline is the half hour that an analysis may take, and as much for
	// fetching and uploading.
	defaultDeadline = time.Hour
	defaultGrace    = 20 * time.Second
	defaultMaxClip  = 4 << 30
	defaultRoom     = 1 << 30

	// lastWords bounds what is said to queue and store after a job's own time.
	lastWords = 20 * time.Second
	// pause after the queue failed to hand out a job.
	pause = 2 * time.Second
	// noRoomPause is that of a worker whose disk is full.
	noRoomPause = 30 * time.Second
	// longestAway is the longest pause of a worker that does not find the store.
	longestAway = time.Minute
)

// Worker takes jobs, has them analysed and publishes what became of them.
type Worker struct {
	source  Source
	objects Objects
	news    Publisher
	analyst Analyst
	cfg     Config
	tele    *Telemetry
}

// New makes a worker. Telemetry may be nil.
func New(source Source, objects Objects, news Publisher, analyst Analyst, tele *Telemetry, cfg Config) *Worker {
	def := func(d *time.Duration, v time.Duration) {
		if *d == 0 {
			*d = v
		}
	}
	def(&cfg.Lease, defaultLease)
	def(&cfg.Grace, defaultGrace)
	def(&cfg.Deadline, defaultDeadline)
	if cfg.Bucket == "" {
		cfg.Bucket = defaultBucket
	}
	if cfg.Slots == 0 {
		cfg.Slots = 1
	}
	if cfg.Attempts == 0 {
		cfg.Attempts = defaultAttempts
	}
	if cfg.Program == "" {
		cfg.Program = "dev"
	}
	if cfg.Scratch == "" {
		cfg.Scratch = os.TempDir()
	}
	if cfg.MaxClip == 0 {
		cfg.MaxClip = defaultMaxClip
	}
	if cfg.Room == 0 {
		cfg.Room = defaultRoom
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Random == nil {
		cfg.Random = rand.Float64 //nolint:forbidigo // the default of a setting: tests pass their own
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	if cfg.Tracer == nil {
		cfg.Tracer = noTracer()
	}
	if tele == nil {
		tele = NewTelemetry(nil)
	}
	tele.hands.set(cfg.Now, cfg.Lease)
	return &Worker{
		source: watchedSource{source, tele}, objects: objects, news: news,
		analyst: watchedAnalyst{analyst, tele}, cfg: cfg, tele: tele,
	}
}

// Run works until ctx ends, then lets running jobs finish within the grace and
// gives the rest back. It returns when no job is in hand.
func (w *Worker) Run(ctx context.Context) {
	sweep(w.cfg.Scratch, w.cfg.Now())
	jobs, stopJobs := context.WithCancelCause(context.WithoutCancel(ctx))
	defer stopJobs(nil)
	idle := make(chan struct{})
	var drain sync.WaitGroup
	drain.Go(func() {
		select {
		case <-idle:
			return
		case <-ctx.Done():
		}
		t := time.NewTimer(max(0, w.cfg.Grace))
		defer t.Stop()
		select {
		case <-idle:
		case <-t.C:
			stopJobs(job.ErrInterrupted)
		}
	})
	var slots sync.WaitGroup
	for range w.cfg.Slots {
		slots.Go(func() { w.slot(ctx, jobs) })
	}
	slots.Wait()
	close(idle)
	drain.Wait()
}

// slot takes one job after the other, as long as it can do them.
func (w *Worker) slot(ctx, jobs context.Context) {
	turn := w.tele.hands.newTurn()
	defer turn.end()
	rest := func(d time.Duration) {
		turn.allow(d)
		rest(ctx, d)
	}
	for away := 0; ctx.Err() == nil; {
		turn.allow(0)
		if err := w.room(); err != nil {
			w.cfg.Log.Warn("no job is taken", "error", err.Error())
			w.tele.pause("disk")
			rest(noRoomPause)
			continue
		}
		turn.allow(nextWindow)
		lease, err := w.next(ctx)
		if lease == nil && (err == nil || ctx.Err() != nil) {
			continue
		}
		if err != nil {
			w.cfg.Log.Warn("no job to be had", "error", err.Error())
			w.tele.pause("queue")
			rest(pause)
			continue
		}
		turn.take(w.cfg.Deadline)
		if w.handle(jobs, lease) {
			away = 0
			continue
		}
		away++
		d := min(delay(job.ErrUnreachable, away, w.cfg.Random()), longestAway)
		w.cfg.Log.Warn("the store is away, no job is taken", "seconds", d.Seconds())
		w.tele.pause("store")
		rest(d)
	}
}

// next waits for a job; after a while without one it returns none.
func (w *Worker) next(ctx context.Context) (Lease, error) {
	window, cancel := context.WithTimeout(ctx, nextWindow)
	defer cancel()
	l, err := w.source.Next(window)
	if l == nil && window.Err() != nil {
		return nil, nil //nolint:nilnil // no job and no fault
	}
	return l, err
}

// room reports whether the disk that clips in hand lie on is full.
func (w *Worker) room() error {
	var s unix.Statfs_t
	if err := unix.Statfs(w.cfg.Scratch, &s); err != nil {
		return fmt.Errorf("worker: folder for clips in hand: %w", err)
	}
	if free := s.Bavail * uint64(s.Bsize); free < uint64(w.cfg.Room) {
		return fmt.Errorf("worker: %d MiB free for clips in hand, %d are needed", free>>20, w.cfg.Room>>20)
	}
	return nil
}

// Room is room as a check.
func (w *Worker) Room(context.Context) error { return w.room() }

func rest(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-t.C:
	}
}
