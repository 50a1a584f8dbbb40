package demo

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"ashline/metrics"
	"ashline/pipeline/outfile"
	"ashline/worker"
	"ashline/worker/bundle"
	"ashline/worker/embed"
	"ashline/worker/event"
	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/store"
	"ashline/worker/submit"

	"golang.org/x/sync/errgroup"
)

// ErrFolder means: the folder for the results holds something else.
var ErrFolder = errors.New("demo: folder is in use")

// Config says what to demonstrate and where.
type Config struct {
	Out     string // folder for clips and results; made, or emptied if an earlier run made it
	Workers int    // Defaults to 2.
	Studio  Studio
	Program string // version of the measuring program
	Analyst worker.Analyst
	Watch   func(Update)     // told of every step; nil: nobody. Never called twice at a time.
	Now     func() time.Time // Defaults to time.Now.
}

// Update is one step of one clip.
type Update struct {
	Clip   string
	Clips  int    // in all
	Stage  string // film, submit, a stage of the worker, done or failed
	Done   int
	Total  int    // 0: not known
	Reason string // of a failure
}

const (
	bucket = "ashline"
	// room is what must be free for clips in hand: these are small.
	room   = 64 << 20
	marker = ".ashline-try"
)

// run is one demonstration under way.
type run struct {
	cfg   Config
	out   string
	takes []Take
	queue *queue.Queue
	store *store.Store

	mu   sync.Mutex // of Watch and rows
	rows []Row
}

// Run demonstrates. The summary holds for an error that wraps job.ErrPartly,
// too.
func Run(ctx context.Context, cfg Config) (sum Summary, err error) {
	if cfg.Workers == 0 {
		cfg.Workers = 2
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	began := cfg.Now()
	out, err := prepare(cfg.Out)
	if err != nil {
		return Summary{}, err
	}
	services, err := os.MkdirTemp("", "ashline-try-")
	if err != nil {
		return Summary{}, fmt.Errorf("demo: %w", err)
	}
	defer os.RemoveAll(services)
	s, err := embed.Start(ctx, embed.Config{Dir: services})
	if err != nil {
		return Summary{}, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	takes, err := cfg.Studio.Takes(ctx)
	if err != nil {
		return Summary{}, err
	}
	r := &run{cfg: cfg, out: out, takes: takes}
	if r.queue, err = queue.Open(ctx, queue.Config{InProcess: s.Server(), SeedFile: s.QueueSeed}); err != nil {
		return Summary{}, err
	}
	defer r.queue.Close()
	if err := r.queue.Setup(ctx); err != nil {
		return Summary{}, err
	}
	if r.store, err = store.New(store.Config{URL: s.StoreURL, Access: s.Access, Secret: s.Secret}); err != nil {
		return Summary{}, err
	}
	defer r.store.Close()
	if err := r.store.EnsureBucket(ctx, bucket); err != nil {
		return Summary{}, err
	}
	if err := r.all(ctx, began); err != nil {
		return Summary{}, err
	}
	sum = r.summary(cfg.Now().Sub(began).Seconds())
	raw, err := json.MarshalIndent(sum, "", "  ")
	if err != nil {
		return sum, fmt.Errorf("demo: %w", err)
	}
	if err := outfile.Write(filepath.Join(out, "summary.json"), append(raw, '\n')); err != nil {
		return sum, fmt.Errorf("demo: %w", err)
	}
	switch {
	case sum.Measured == 0:
		return sum, fmt.Errorf("demo: none of %d clips could be measured", sum.Clips)
	case sum.Failed > 0:
		return sum, fmt.Errorf("demo: %w: %d of %d clips failed", job.ErrPartly, sum.Failed, sum.Clips)
	}
	return sum, nil
}

// prepare makes the folder, or clears what an earlier run left in it.
func prepare(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("demo: %w", err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return "", fmt.Errorf("demo: %w", err)
	}
	if len(entries) > 0 && !slices.ContainsFunc(entries, func(e os.DirEntry) bool { return e.Name() == marker }) {
		return "", fmt.Errorf("%w: %q is not empty and was not made by ashline try", ErrFolder, dir)
	}
	for _, name := range []string{"clips", "results", "summary.json", "worker.log"} {
		if err := os.RemoveAll(filepath.Join(dir, name)); err != nil {
			return "", fmt.Errorf("demo: %w", err)
		}
	}
	for _, name := range []string{"clips", "results"} {
		if err := outfile.Folder(filepath.Join(dir, name)); err != nil {
			return "", fmt.Errorf("demo: %w", err)
		}
	}
	return dir, outfile.Write(filepath.Join(dir, marker), []byte("made by ashline try; it may empty this folder\n"))
}

// all has clips filmed and submits them on one side, works in the middle, and collects on the
// other, all at once.
func (r *run) all(ctx context.Context, began time.Time) error {
	logFile, err := outfile.Create(filepath.Join(r.out, "worker.log"))
	if err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	defer logFile.Close()
	w := worker.New(r.queue, r.store, r.queue, r.cfg.Analyst, nil, worker.Config{
		Bucket: bucket, Room: room, Slots: r.cfg.Workers, Program: r.cfg.Program, Grace: -1, Log: slog.New(slog.NewJSONHandler(logFile, nil)),
	})
	if err := w.Room(ctx); err != nil { // it would wait for room, and nobody would know
		return err
	}
	working, stop := context.WithCancel(ctx)
	var wait sync.WaitGroup
	wait.Go(func() { w.Run(working) })
	defer wait.Wait()
	defer stop()

	g, ctx := errgroup.WithContext(ctx)
	g.Go(func() error { return r.collect(ctx, began) })
	g.Go(func() error {
		return r.cfg.Studio.Film(ctx, filepath.Join(r.out, "clips"), func(s Shot) error { return r.take(ctx, s) })
	})
	return g.Wait()
}

// take tells of a clip that is being filmed, and submits one that is whole.
func (r *run) take(ctx context.Context, s Shot) error {
	if s.File == "" {
		r.tell(Update{Clip: s.Clip, Stage: "film", Done: s.Done, Total: s.Total})
		return nil
	}
	r.tell(Update{Clip: s.Clip, Stage: "submit"})
	found, err := submit.Find(s.File)
	if err != nil {
		return err
	}
	_, _, err = submit.Submitter{Objects: r.store, Queue: r.queue, Bucket: bucket}.Submit(ctx, found[0])
	return err
}

// errAll ends the collecting when every clip has been heard of.
var errAll = errors.New("all heard")

// collect listens for results as any app would.
func (r *run) collect(ctx context.Context, began time.Time) error {
	left := map[string]Take{}
	for _, t := range r.takes {
		left[t.Clip] = t
	}
	err := r.queue.Follow(ctx, began, func(n queue.Note) error {
		switch n.Subject {
		case event.SubjectProgress:
			var p event.Progress
			if _, err := event.Decode(n.Data, n.Subject, &p); err != nil {
				return err
			}
			if _, ok := left[p.Name]; ok {
				r.tell(Update{Clip: p.Name, Stage: p.Stage, Done: p.Done, Total: p.Total})
			}
		case event.SubjectMeasured:
			var m event.Measured
			if _, err := event.Decode(n.Data, n.Subject, &m); err != nil {
				return err
			}
			t, ok := left[m.Job.Name]
			if !ok {
				return nil
			}
			rows, err := r.fetch(ctx, t, m)
			if err != nil {
				return err
			}
			delete(left, t.Clip)
			r.add(rows...)
			r.tell(Update{Clip: t.Clip, Stage: "done"})
		case event.SubjectFailed:
			var f event.Failed
			if _, err := event.Decode(n.Data, n.Subject, &f); err != nil {
				return err
			}
			t, ok := left[f.Job.Name]
			if !ok {
				return nil
			}
			delete(left, t.Clip)
			row := newRow(t)
			row.Failed = f.Reason
			r.add(row)
			r.tell(Update{Clip: t.Clip, Stage: "failed", Reason: f.Reason})
		}
		if len(left) == 0 {
			return errAll
		}
		return nil
	}, event.SubjectMeasured, event.SubjectFailed, event.SubjectProgress)
	if errors.Is(err, errAll) {
		return nil
	}
	return err
}

// fetch downloads a clip's results and reads its swings.
func (r *run) fetch(ctx context.Context, t Take, m event.Measured) ([]Row, error) {
	manifest, err := bundle.Load(ctx, r.store, m.Bucket, m.Manifest)
	if err != nil {
		return nil, err
	}
	rel := filepath.Join("results", t.Hitter, t.Label)
	dir := filepath.Join(r.out, rel)
	if err := bundle.Download(ctx, r.store, m.Bucket, manifest, dir); err != nil {
		return nil, err
	}
	raw, err := os.ReadFile(filepath.Join(dir, bundle.MetricsName))
	if err != nil {
		return nil, fmt.Errorf("demo: %w", err)
	}
	var res metrics.Result
	if err := json.Unmarshal(raw, &res); err != nil {
		return nil, fmt.Errorf("demo: %q: %w", t.Clip, err)
	}
	var rows []Row
	for i := range res.Swings {
		row := newRow(t)
		row.Folder, row.Swing = rel, &res.Swings[i]
		rows = append(rows, row)
	}
	return rows, nil
}

func newRow(t Take) Row {
	return Row{Clip: t.Clip, Hitter: t.Hitter, Label: t.Label, Bats: t.Bats}
}

func (r *run) add(rows ...Row) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.rows = append(r.rows, rows...)
}

func (r *run) tell(u Update) {
	if r.cfg.Watch == nil {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	u.Clips = len(r.takes)
	r.cfg.Watch(u)
}

// summary puts the rows in the order of the academy.
func (r *run) summary(seconds float64) Summary {
	order := map[string]int{}
	for i, t := range r.takes {
		order[t.Clip] = i
	}
	slices.SortStableFunc(r.rows, func(a, b Row) int {
		if d := order[a.Clip] - order[b.Clip]; d != 0 {
			return d
		}
		return strings.Compare(a.Folder, b.Folder)
	})
	s := Summary{Schema: SummarySchema, Folder: r.out, Seconds: seconds, Clips: len(r.takes), Rows: r.rows}
	for _, row := range r.rows {
		if row.Failed != "" {
			s.Failed++
		}
	}
	s.Measured = s.Clips - s.Failed
	return s
}
