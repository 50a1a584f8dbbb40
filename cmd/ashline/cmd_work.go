package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
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

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/spf13/cobra"
)

func newWorkCmd() *cobra.Command {
	var slots int
	var listen, embedded, scratch, traces string
	var grace, stall time.Duration
	var memoryMiB int64
	cmd := &cobra.Command{
		Use:   "work",
		Short: "Take jobs from the queue and measure their clips",
		Long: `Take jobs from the queue, measure each clip in a child process, put the results
into the store and publish swings.measured or swings.failed.

On SIGTERM running jobs may finish within --grace; the rest goes back to the
queue at once. With --embedded the queue and the store run in this process, on the
loopback, and keep their things in the folder given; ashline.yaml in it holds the
settings for submit and jobs.`,
		Example: `  ashline work --slots 2 --queue nats://127.0.0.1:4222 --store http://127.0.0.1:7070
  ashline work --embedded /var/lib/ashline --listen 127.0.0.1:9090`,
	}
	f := settings.Bind(cmd.Flags())
	fl := cmd.Flags()
	fl.IntVar(&slots, "slots", 1, "jobs in hand at a time")
	fl.StringVar(&listen, "listen", "", "address for /livez, /readyz and /metrics (default none)")
	fl.StringVar(&traces, "traces", "", "collector of traces, OTLP over HTTP, like http://127.0.0.1:4318 (default none)")
	fl.StringVar(&embedded, "embedded", "", "folder for a queue and a store in this process")
	fl.StringVar(&scratch, "scratch", os.TempDir(), "folder for clips in hand")
	fl.DurationVar(&grace, "grace", 20*time.Second, "how long running jobs may go on after SIGTERM")
	fl.DurationVar(&stall, "stall", 2*time.Minute, "a clip without progress for so long is given up")
	fl.Int64Var(&memoryMiB, "memory", 2048, "memory that measuring one clip may take, MiB; a clip that takes more is refused")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		ctx := cmd.Context()
		if slots < 1 || grace < 0 || stall <= 0 || memoryMiB < 1 {
			return usageError{fmt.Errorf("work: --slots and --memory must be 1 or more, --grace not negative, --stall positive")}
		}
		log := slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), nil))
		scratch, err := filepath.Abs(scratch)
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
		s, err := resolve(f)
		if err != nil {
			return err
		}
		if embedded != "" {
			services, err := embed.Start(ctx, embed.Config{Dir: embedded, Listen: true})
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
		st, err := s.OpenStore(ctx)
		if err != nil {
			return usageOf(err)
		}
		defer st.Close()
		if err := worker.CheckConditions(ctx, st, s.Bucket); errors.Is(err, worker.ErrUnconditional) {
			return err
		} else if err != nil {
			log.Warn("not known whether the store honours conditions", "error", err.Error())
		}
		q, err := s.OpenQueue(ctx, "ashline work", log)
		if err != nil {
			return usageOf(err)
		}
		defer q.Close()

		reg := prometheus.NewRegistry()
		reg.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
		reg.MustRegister(worker.Lag(q.Lag))
		tele := worker.NewTelemetry(reg)
		cfg := worker.Config{Bucket: s.Bucket, Slots: slots, Grace: graceOf(grace), Program: program, Scratch: scratch, Log: log}
		if traces != "" {
			tracer, stop, err := worker.Traces(ctx, traces, program, log)
			if err != nil {
				return usageError{fmt.Errorf("work: --traces: %w", err)}
			}
			defer func() { _ = stop() }()
			cfg.Tracer = tracer
		}
		w := worker.New(q, st, q, &worker.Child{Program: worker.Self, Stall: stall, Memory: memoryMiB << 20}, tele, cfg)
		side, stop := context.WithCancel(context.WithoutCancel(ctx))
		var wait sync.WaitGroup
		defer wait.Wait()
		defer stop()
		if listen != "" {
			l, err := net.Listen("tcp", listen)
			if err != nil {
				return usageError{fmt.Errorf("work: --listen: %w", err)}
			}
			health := worker.Health(reg, map[string]worker.Check{
				"queue": q.Ready,
				"store": func(ctx context.Context) error { return st.Ready(ctx, s.Bucket) },
				"disk":  w.Room,
			}, tele.Alive(3*stall))
			log.Info("listening", "address", l.Addr().String())
			wait.Go(func() {
				if err := worker.Serve(side, l, health); err != nil {
					log.Error("health server", "error", err.Error())
				}
			})
		}
		wait.Go(func() {
			err := q.WatchStuck(side, func(ctx context.Context, x queue.Stuck) error {
				return w.GiveUp(ctx, x.Origin, x.Data, x.Deliveries, x.Age)
			})
			if side.Err() == nil {
				log.Warn("stuck jobs are not watched", "error", err.Error())
			}
		})
		if s := fence.Probe(); s.Whole() {
			log.Info("children are fenced in", "landlock", s.Landlock)
		} else {
			log.Warn("this kernel fences children in only in part", "landlock", s.Landlock, "fence", s.String())
		}
		log.Info("working", "slots", slots, "program", program)
		w.Run(ctx)
		log.Info("stopped")
		return nil
	}
	return cmd
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
