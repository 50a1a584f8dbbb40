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

// maxStages is more than an analysis goes through.
const maxStages = 64

// cardBytes is what is fetched of a card at most: so much more than one may have that
// its reader says what is wrong with it, as it does everywhere.
const cardBytes = 4 << 20

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
	var in input
	var end bundle.End
	err = a.stage(ctx, "fetch", func(ctx context.Context) error {
		in, end, err = a.fetch(ctx, &t, look)
		return err
	})
	if err != nil || end.Settled(a.sub) {
		return end, err
	}

	err = a.stage(ctx, "analyse", func(ctx context.Context) error { return a.analyst.Analyse(ctx, t, step) })
	if err != nil {
		return bundle.End{}, withoutFolder(t.blame(err, t.Clip), dir)
	}

	step(Step{Stage: "upload"})
	err = a.stage(ctx, "upload", func(ctx context.Context) error {
		m, err := bundle.Describe(t.Out, in.id, in.owner)
		if err == nil {
			end, err = bundle.Commit(ctx, a.objects, a.job.Bucket, t.Out, m, a.sub)
		}
		return t.blame(err, t.Clip)
	})
	return end, err
}

// blame takes the blame from clip, cards and program where files of the attempt's own,
// which were there, have gone meanwhile.
func (t Task) blame(err error, files ...string) error {
	if err == nil || job.Classify(err) != job.BadInput && job.Classify(err) != job.Bug {
		return err
	}
	for _, p := range slices.Concat(files, []string{t.Out, t.Scratch}, t.Cards) {
		if _, gone := os.Stat(p); gone != nil {
			return fmt.Errorf("%w: the attempt's own files went while it ran: %w", job.ErrTransient, err)
		}
	}
	return err
}

// stageTimes are the deadlines of a job's stages; together they are less than the job's
// own. The largest clip comes at 6 MB/s in the first; an analysis has its own limit,
// which is told better.
var stageTimes = map[string]time.Duration{
	"fetch": 12 * time.Minute, "analyse": defaultLimit + 2*time.Minute, "upload": 12 * time.Minute,
}

// stage does one stage of a job, within its time, and counts it.
func (w *Worker) stage(ctx context.Context, name string, do func(context.Context) error) error {
	ctx, span := w.cfg.Tracer.Start(ctx, name)
	class := job.Bug // what stays if it panics
	defer func() { endSpan(span, class) }()
	late := fmt.Errorf("%w: %s took longer than %s", job.ErrTransient, name, stageTimes[name])
	ctx, cancel := context.WithTimeoutCause(ctx, stageTimes[name], late)
	defer cancel()
	err := w.tele.stage(name, w.cfg.Now, func() error {
		if err := do(ctx); err == nil || context.Cause(ctx) != late { //nolint:errorlint // this very one
			return err
		}
		return late
	})
	class = stageClass(err)
	return err
}

// input is what a result depends on and whose it is.
type input struct {
	id    bundle.Identity
	owner bundle.Owner
}

// fetch brings cards and clip into the attempt's folder, unless the submission has
// ended before or is only looked at. A job that says which clip it means is looked
// up before the clip is fetched: it may be gone by now, and its bundle not.
func (a *attempt) fetch(ctx context.Context, t *Task, look bool) (in input, end bundle.End, err error) {
	if a.job.Bucket != a.cfg.Bucket {
		return in, end, fmt.Errorf("%w: it is not in the bucket of these workers", job.ErrBadInput)
	}
	if in, err = a.fetchCards(ctx, t); err != nil {
		return in, end, err
	}
	if in.id.ClipSHA256 = a.job.ClipSHA256; in.id.ClipSHA256 != "" {
		if end, err = a.look(ctx, in); err != nil || end.Settled(a.sub) {
			return in, end, err
		}
		if look {
			return in, end, errUnsettled
		}
	}
	if err := a.fetchOne(ctx, a.job.Key, t.Clip, a.cfg.MaxClip, "clip"); err != nil {
		return in, end, err
	}
	sum, _, err := bundle.HashFile(t.Clip)
	switch {
	case err != nil:
		return in, end, fmt.Errorf("%w: %w", job.ErrTransient, err)
	case in.id.ClipSHA256 == "":
		in.id.ClipSHA256 = sum
		if end, err = a.look(ctx, in); err == nil && look && !end.Settled(a.sub) {
			err = errUnsettled
		}
		return in, end, err
	case sum != in.id.ClipSHA256:
		return in, end, fmt.Errorf("%w: the clip in the store is not the one submitted", job.ErrBadInput)
	}
	return in, end, nil
}

// look finds out how the submission ended, if it has.
func (a *attempt) look(ctx context.Context, in input) (bundle.End, error) {
	a.key = bundle.Prefix(in.owner, in.id.ID()) + bundle.ManifestName
	end, err := bundle.Look(ctx, a.objects, a.job.Bucket, a.key)
	if err == nil && end.Settled(a.sub) {
		a.log.Info("has ended before", "bundle", in.id.ID())
	}
	return end, err
}

// fetchCards brings the cards and reads from them whose clip it is.
func (a *attempt) fetchCards(ctx context.Context, t *Task) (in input, err error) {
	cards := a.job.Cards
	if len(cards) == 0 {
		if cards, err = a.beside(ctx, a.job); err != nil {
			return in, err
		}
	}
	in.id = bundle.Identity{Program: a.cfg.Program, Products: a.job.Products}
	for i, key := range cards {
		p := filepath.Join(filepath.Dir(t.Clip), path.Base(key))
		if slices.Contains(t.Cards, p) || p == t.Clip {
			p = filepath.Join(filepath.Dir(t.Clip), strconv.Itoa(i)+"-"+path.Base(key))
		}
		if err := a.fetchOne(ctx, key, p, cardBytes, "card"); err != nil {
			return in, err
		}
		sum, _, err := bundle.HashFile(p)
		if err != nil {
			return in, fmt.Errorf("%w: %w", job.ErrTransient, err)
		}
		t.Cards = append(t.Cards, p)
		in.id.CardsSHA256 = append(in.id.CardsSHA256, sum)
	}
	if len(t.Cards) == 0 {
		return in, nil
	}
	c, err := a.analyst.Cards(ctx, *t)
	if err != nil {
		return in, withoutFolder(t.blame(err), filepath.Dir(filepath.Dir(t.Clip)))
	}
	for _, part := range []string{c.Academy, c.Hitter, c.Session} {
		if part != "" && !job.ValidID(part) {
			return in, fmt.Errorf("%w: card: %q is not an id", job.ErrBadInput, part)
		}
	}
	in.owner = bundle.Owner{Academy: c.Academy, Hitter: c.Hitter, Session: c.Session, Label: c.Label}
	return in, nil
}

// fetchOne fetches an object. That it is not there, or not for this worker, is the
// submitter's mistake only if the bucket itself is there.
func (a *attempt) fetchOne(ctx context.Context, key, p string, limit int64, what string) error {
	err := a.objects.Fetch(ctx, a.job.Bucket, key, p, limit)
	gone, denied := errors.Is(err, job.ErrNotFound), errors.Is(err, job.ErrDenied)
	switch {
	case (gone || denied) && a.storeAway(ctx):
		return fmt.Errorf("%w: fetch %s: the bucket is not there", job.ErrTransient, what)
	case gone:
		return fmt.Errorf("%w: no such %s in the store", job.ErrBadInput, what)
	case denied:
		return fmt.Errorf("%w: workers may not read the %s", job.ErrBadInput, what)
	case err != nil:
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

// stepper publishes progress, not more often than is of use: at the beginning of a
// stage, as long as there are not more of them than an analysis has, and now and
// then. Progress that is lost is lost.
func (w *Worker) stepper(ctx context.Context, j job.Job) func(Step) {
	var last time.Time
	var stage string
	stages := 0
	return func(s Step) {
		now := w.cfg.Now()
		if s.Stage != stage {
			stages++
		}
		if (s.Stage == stage || stages > maxStages) && now.Sub(last) < stepEvery {
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
// A reason that was cut short may end in the middle of them.
var quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*(?:"|$)`)

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
