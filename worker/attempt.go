package worker

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"ashline/pipeline/card"
	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/job"
)

// stepEvery spaces progress events of one stage.
const stepEvery = 500 * time.Millisecond

// attempt is a try at a job, or a look at how it ended.
type attempt struct {
	*Worker
	job job.Job
	sub bundle.Submission
	log *slog.Logger

	key string // of the bundle's manifest; empty until clip and cards are known
}

// errUnsettled is what an attempt that only looks ends with where it finds nothing.
var errUnsettled = fmt.Errorf("%w: the submission has not ended", job.ErrTransient)

// run does the job from fetch to commit in a folder of its own, and returns how
// the submission ended. With look it only finds out whether it has ended.
func (a *attempt) run(ctx context.Context, look bool) (bundle.End, error) {
	dir, remove, err := newFolder(a.cfg.Scratch)
	if err != nil {
		return bundle.End{}, fmt.Errorf("%w: %w", job.ErrTransient, err)
	}
	defer func() {
		if err := remove(); err != nil {
			a.log.Error("attempt's folder stays", "error", err.Error())
		}
	}()
	t := Task{
		Clip: filepath.Join(dir, "in", "clip"+strings.ToLower(path.Ext(a.job.Key))), Out: filepath.Join(dir, "out"),
		Scratch: filepath.Join(dir, "tmp"), Products: a.job.Products,
	}
	for _, d := range []string{filepath.Dir(t.Clip), t.Out, t.Scratch} {
		if err := os.Mkdir(d, 0o700); err != nil {
			return bundle.End{}, fmt.Errorf("%w: %w", job.ErrTransient, err)
		}
	}
	step := a.stepper(ctx, a.job)

	step(Step{Stage: "fetch"})
	var id bundle.Identity
	var owner bundle.Owner
	err = a.stage(ctx, "fetch", func(ctx context.Context) error {
		id, owner, err = a.fetch(ctx, a.job, &t)
		return err
	})
	if err != nil {
		return bundle.End{}, err
	}
	a.key = bundle.Prefix(owner, id.ID()) + bundle.ManifestName
	end, err := bundle.Look(ctx, a.objects, a.job.Bucket, a.key)
	switch {
	case err != nil:
		return bundle.End{}, err
	case end.Settled(a.sub):
		a.log.Info("has ended before", "bundle", id.ID())
		return end, nil
	case look:
		return bundle.End{}, errUnsettled
	}

	err = a.stage(ctx, "analyse", func(ctx context.Context) error { return a.analyst.Analyse(ctx, t, step) })
	if err != nil {
		return bundle.End{}, withoutFolder(err, dir)
	}

	step(Step{Stage: "upload"})
	err = a.stage(ctx, "upload", func(ctx context.Context) error {
		m, err := bundle.Describe(t.Out, id, owner)
		if err == nil {
			end, err = bundle.Commit(ctx, a.objects, a.job.Bucket, t.Out, m, a.sub)
		}
		return err
	})
	return end, err
}

// stage does one stage of a job and counts it.
func (w *Worker) stage(ctx context.Context, name string, do func(context.Context) error) error {
	ctx, span := w.cfg.Tracer.Start(ctx, name)
	class := job.Bug // what stays if it panics
	defer func() { endSpan(span, class) }()
	err := w.tele.stage(name, w.cfg.Now, func() error { return do(ctx) })
	class = stageClass(err)
	return err
}

// fetch brings clip and cards into the attempt's folder and says what the
// result will depend on.
func (w *Worker) fetch(ctx context.Context, j job.Job, t *Task) (bundle.Identity, bundle.Owner, error) {
	fail := func(err error) (bundle.Identity, bundle.Owner, error) { return bundle.Identity{}, bundle.Owner{}, err }
	cards := j.Cards
	if len(cards) == 0 {
		var err error
		if cards, err = w.beside(ctx, j); err != nil {
			return fail(err)
		}
	}
	id := bundle.Identity{Program: w.cfg.Program, Products: j.Products}
	for i, key := range cards {
		p := filepath.Join(filepath.Dir(t.Clip), path.Base(key))
		if slices.Contains(t.Cards, p) || p == t.Clip {
			p = filepath.Join(filepath.Dir(t.Clip), strconv.Itoa(i)+"-"+path.Base(key))
		}
		if err := w.fetchOne(ctx, j.Bucket, key, p, card.MaxBytes, "card"); err != nil {
			return fail(err)
		}
		sum, _, err := bundle.HashFile(p)
		if err != nil {
			return fail(fmt.Errorf("%w: %w", job.ErrTransient, err))
		}
		t.Cards = append(t.Cards, p)
		id.CardsSHA256 = append(id.CardsSHA256, sum)
	}
	c, err := card.Load(t.Cards...)
	if err != nil {
		return fail(fmt.Errorf("%w: %w", job.ErrBadInput, withoutFolder(err, filepath.Dir(t.Clip))))
	}
	for _, part := range []string{c.Academy, c.Hitter, c.Session} {
		if part != "" && !job.ValidID(part) {
			return fail(fmt.Errorf("%w: card: %q is not an id", job.ErrBadInput, part))
		}
	}
	if err := w.fetchOne(ctx, j.Bucket, j.Key, t.Clip, w.cfg.MaxClip, "clip"); err != nil {
		return fail(err)
	}
	if id.ClipSHA256, _, err = bundle.HashFile(t.Clip); err != nil {
		return fail(fmt.Errorf("%w: %w", job.ErrTransient, err))
	}
	if j.ClipSHA256 != "" && j.ClipSHA256 != id.ClipSHA256 {
		return fail(fmt.Errorf("%w: the clip in the store is not the one submitted", job.ErrBadInput))
	}
	return id, bundle.Owner{Academy: c.Academy, Hitter: c.Hitter, Session: c.Session, Label: c.Label}, nil
}

func (w *Worker) fetchOne(ctx context.Context, bucket, key, p string, limit int64, what string) error {
	err := w.objects.Fetch(ctx, bucket, key, p, limit)
	if errors.Is(err, job.ErrNotFound) {
		return fmt.Errorf("%w: no such %s in the store", job.ErrBadInput, what)
	}
	if err != nil {
		return fmt.Errorf("fetch %s: %w", what, err)
	}
	return nil
}

// beside looks for the cards of a clip that came without any.
func (w *Worker) beside(ctx context.Context, j job.Job) ([]string, error) {
	base := strings.TrimSuffix(j.Key, path.Ext(j.Key))
	var out []string
	for _, key := range []string{path.Join(path.Dir(j.Key), card.SessionName), base + card.Suffix, base + ".card.json"} {
		ok, err := w.objects.Has(ctx, j.Bucket, key)
		if err != nil {
			return nil, fmt.Errorf("look for cards: %w", err)
		}
		if ok {
			out = append(out, key)
		}
	}
	return out, nil
}

// stepper publishes progress, not more often than is of use. Progress that is
// lost is lost.
func (w *Worker) stepper(ctx context.Context, j job.Job) func(Step) {
	var last time.Time
	var stage string
	return func(s Step) {
		now := w.cfg.Now()
		if s.Stage == stage && now.Sub(last) < stepEvery {
			return
		}
		last, stage = now, s.Stage
		e, err := event.New(event.SubjectProgress, j.ID, now, "", event.Progress{
			JobID: j.ID, Name: j.Name, Stage: s.Stage, Done: s.Done, Total: s.Total,
		}, s.Stage, strconv.Itoa(s.Done), now.String())
		if err == nil {
			_ = w.news.Publish(ctx, e)
		}
	}
}

// redact takes keys and names, which may tell who a hitter is, out of a text
// for the log.
func redact(s string, j job.Job) string {
	for _, secret := range append([]string{j.Key, path.Base(j.Key), j.Name}, j.Cards...) {
		if len(secret) > 3 {
			s = strings.ReplaceAll(s, secret, "…")
		}
	}
	return quoted.ReplaceAllString(s, `"…"`)
}

// quoted is what errors say in a submitter's own words, such as a card's entries.
var quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// withoutFolder takes an attempt's folder out of an error's text: to the
// submitter it means nothing.
func withoutFolder(err error, dir string) error {
	for _, d := range []string{filepath.Join(dir, "in"), dir} {
		if text := strings.ReplaceAll(err.Error(), d+string(filepath.Separator), ""); text != err.Error() {
			err = retold{err, text}
		}
	}
	return err
}

// retold is an error with another text.
type retold struct {
	error
	text string
}

func (r retold) Error() string { return r.text }
func (r retold) Unwrap() error { return r.error }
