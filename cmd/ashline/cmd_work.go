package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"ashline/pipeline"
	"ashline/pipeline/fence"
	"ashline/pipeline/rules"
	"ashline/worker"
	"ashline/worker/embed"
	"ashline/worker/queue"
	"ashline/worker/settings"
	"ashline/worker/store"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"
)

// workFlags are the flags of the work command.
type workFlags struct {
	settings                          *settings.Flags
	slots                             int
	listen, traces, embedded, scratch string
	grace, stall                      time.Duration
	memoryMiB                         int64
	partial                           bool
}

func newWorkCmd() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "work",
		Short: "Take jobs from the queue and measure their clips",
		Long: `Take jobs from the queue, measure each clip in a child process, put the results
into the store and publish swings.measured or swings.failed.

While queue or store are not there the worker waits for them, says so, and is not
ready. On SIGTERM running jobs may finish within --grace; the rest goes back to the
queue at once. With --embedded the queue and the store run in this process, on the
loopback, and keep their things in the folder given; ashline.yaml in it holds the
settings for submit and jobs.`,
		Example: `  ashline work --slots 2 --queue nats://127.0.0.1:4222 --store http://127.0.0.1:7070
  ashline work --embedded /var/lib/ashline --listen 127.0.0.1:9090`,
	}
	fl := cmd.Flags()
	f := workFlags{settings: settings.Bind(fl)}
	fl.IntVar(&f.slots, "slots", 1, "jobs in hand at a time")
	fl.StringVar(&f.listen, "listen", "", "address for /livez, /readyz and /metrics (default none)")
	fl.StringVar(&f.traces, "traces", "", "collector of traces, OTLP over HTTP, like http://127.0.0.1:4318 (default none)")
	fl.StringVar(&f.embedded, "embedded", "", "folder for a queue and a store in this process")
	fl.StringVar(&f.scratch, "scratch", os.TempDir(), "folder for clips in hand")
	fl.DurationVar(&f.grace, "grace", 20*time.Second, "how long running jobs may go on after SIGTERM")
	fl.DurationVar(&f.stall, "stall", 2*time.Minute, "a clip without progress for so long is given up")
	fl.Int64Var(&f.memoryMiB, "memory", 2048, "memory that measuring one clip may take, MiB; a clip that takes more is refused")
	fenced(cmd, &f.partial)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return f.run(cmd) }
	return cmd
}

func (f workFlags) run(cmd *cobra.Command) error {
	ctx := cmd.Context()
	if f.slots < 1 || f.grace < 0 || f.stall <= 0 || f.memoryMiB < 1 {
		return usageError{fmt.Errorf("work: --slots and --memory must be 1 or more, --grace not negative, --stall positive")}
	}
	log := slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), nil))
	scratch, err := filepath.Abs(f.scratch)
	if err != nil {
		return err
	}
	unpin, err := worker.Pin(scratch)
	if err != nil {
		return usageError{err}
	}
	defer func() { _ = unpin() }()
	program, err := programOf()
	if err != nil {
		return err
	}
	s, err := resolve(f.settings)
	if err != nil {
		return err
	}
	if f.embedded != "" {
		services, err := embed.Start(ctx, embed.Config{Dir: f.embedded, Listen: true})
		if err != nil {
			return err
		}
		defer services.Close()
		s.QueueURL, s.QueueSeedFile = services.QueueURL, services.QueueSeed
		s.StoreURL, s.StoreAccess, s.StoreSecretFile = services.StoreURL, services.Access, services.SecretFile
		file, err := s.Save(services.Dir)
		if err != nil {
			return err
		}
		log.Info("queue and store run in this process", "config", file)
	}

	reg := prometheus.NewRegistry()
	reg.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}), worker.BuildInfo(program))
	tele := worker.NewTelemetry(reg)
	cfg := worker.Config{Bucket: s.Bucket, Slots: f.slots, Grace: graceOf(f.grace), Program: program, Scratch: scratch, Log: log}
	if f.traces != "" {
		tracer, stop, err := worker.Traces(ctx, f.traces, program, log)
		if err != nil {
			return usageError{fmt.Errorf("work: --traces: %w", err)}
		}
		defer func() { _ = stop() }()
		cfg.Tracer = tracer
	}
	health := worker.NewHealth(reg)
	health.Lives(tele.Alive(3 * f.stall))
	health.Needs("queue", worker.Awaited)
	health.Needs("store", worker.Awaited)
	defer context.AfterFunc(ctx, health.Drain)()
	served, err := serveHealth(ctx, f.listen, health, log)
	if err != nil {
		return err
	}
	defer served()

	around := fence.Probe()
	reg.MustRegister(worker.Fenced(around))
	health.Note("fence: " + around.String())
	log.Info("children are fenced in", "landlock", around.Landlock, "own account", around.Account, "fence", around.String())
	st, q, err := awaitServices(ctx, s, health, log)
	if err != nil && ctx.Err() == nil {
		return usageOf(err)
	}
	if err != nil {
		log.Info("stopped")
		return nil
	}
	defer st.Close()
	defer q.Close()
	if err := worker.CheckConditions(ctx, st, s.Bucket); errors.Is(err, worker.ErrUnconditional) {
		return err
	} else if err != nil {
		log.Warn("not known whether the store honours conditions", "error", err.Error())
	}
	reg.MustRegister(worker.Lag(q.Lag))
	w := worker.New(q, st, q, &worker.Child{Program: worker.Self, Stall: f.stall, Memory: f.memoryMiB << 20, PartialFence: f.partial}, tele, cfg)
	health.Needs("disk", w.Room)
	defer watchStuck(ctx, q, w, log)()
	log.Info("working", "slots", f.slots, "program", program)
	w.Run(ctx)
	log.Info("stopped")
	return nil
}

// serveHealth answers on an address, if there is one, until stop is called: jobs may
// still be in hand when ctx has ended.
func serveHealth(ctx context.Context, address string, h http.Handler, log *slog.Logger) (stop func(), err error) {
	if address == "" {
		return func() {}, nil
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, usageError{fmt.Errorf("work: --listen: %w", err)}
	}
	log.Info("listening", "address", l.Addr().String())
	return beside(ctx, func(ctx context.Context) {
		if err := worker.Serve(ctx, l, h); err != nil {
			log.Error("health server", "error", err.Error())
		}
	}), nil
}

// watchStuck gives up jobs that were delivered too often, until stop is called.
func watchStuck(ctx context.Context, q *queue.Queue, w *worker.Worker, log *slog.Logger) (stop func()) {
	return beside(ctx, func(ctx context.Context) {
		err := q.WatchStuck(ctx, func(ctx context.Context, x queue.Stuck) error {
			return w.GiveUp(ctx, x.Origin, x.Data, x.Deliveries, x.Age)
		})
		if ctx.Err() == nil {
			log.Warn("stuck jobs are not watched", "error", err.Error())
		}
	})
}

// beside does something until stop is called, which waits for its end, though ctx end
// before.
func beside(ctx context.Context, do func(context.Context)) (stop func()) {
	ctx, cancel := context.WithCancel(context.WithoutCancel(ctx))
	var wait sync.WaitGroup
	wait.Go(func() { do(ctx) })
	return func() {
		cancel()
		wait.Wait()
	}
}

// awaitServices waits until queue and store are there.
func awaitServices(ctx context.Context, s settings.Settings, health *worker.Health, log *slog.Logger) (st *store.Store, q *queue.Queue, err error) {
	both, bothCtx := errgroup.WithContext(ctx)
	both.Go(func() error {
		return worker.Await(bothCtx, log, "store", func(ctx context.Context) (err error) {
			if st, err = s.OpenStore(ctx); err == nil {
				health.Needs("store", func(ctx context.Context) error { return st.Ready(ctx, s.Bucket) })
			}
			return err
		})
	})
	both.Go(func() error {
		return worker.Await(bothCtx, log, "queue", func(ctx context.Context) (err error) {
			if q, err = s.OpenQueue(ctx, "ashline work", log); err == nil {
				health.Needs("queue", q.Ready)
			}
			return err
		})
	})
	if err = both.Wait(); err == nil {
		return st, q, nil
	}
	if st != nil {
		st.Close()
	}
	if q != nil {
		q.Close()
	}
	return nil, nil, err
}

// programOf names the program with the pose network and the rules that the environment
// names. Rules that cannot be used are a mistake of whoever starts it, not of any clip.
func programOf() (string, error) {
	job := pipeline.Job{PoseDir: os.Getenv(poseEnv), Rules: os.Getenv(rulesEnv), Words: os.Getenv(wordsEnv)}
	if _, err := rules.Load(job.Rules, job.Words); err != nil {
		return "", usageError{err}
	}
	return job.Program()
}

// graceOf makes a grace of nothing explicit; a worker's zero means its default.
func graceOf(d time.Duration) time.Duration {
	if d == 0 {
		return -1
	}
	return d
}
