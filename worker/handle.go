package worker

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"time"

	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/job"
)

// settle is how long a request of a worker that is gone may still take effect:
// the store cuts a connection that stands still for as long as this.
const settle = 30 * time.Second

// errUnseen means: it could not be found out whether a job that is to be given
// up has a bundle. Rare; the next delivery looks again.
var errUnseen = fmt.Errorf("%w: is it committed?", job.ErrTransient)

// handle sees one delivery through to its fate.
func (w *Worker) handle(parent context.Context, l Lease) {
	start := w.cfg.Now()
	w.tele.running.Inc()
	defer w.tele.running.Dec()

	ctx, release := hold(parent, l, w.cfg.Lease, w.cfg.Now)
	j, err := job.Parse(l.Data())
	if j.ID == "" {
		sum := sha256.Sum256(l.Data())
		j.ID = hex.EncodeToString(sum[:12])
	}
	log := w.cfg.Log.With("job", j.ID, "delivery", l.Delivery())
	var m bundle.Manifest
	if err == nil {
		log.Info("job taken")
		m, err = w.work(ctx, l, j, log)
	}
	// Whatever the attempt says, it was the lease's or the worker's end that stopped it.
	if cause := context.Cause(ctx); err != nil && cause != nil {
		err = cause
	}
	release() // no heartbeat may follow the last word

	class := w.conclude(context.WithoutCancel(parent), l, j, m, err, log)
	took := w.cfg.Now().Sub(start)
	w.tele.ended(class, took)
	log.Info("job ended", "class", string(class), "seconds", took.Seconds())
}

// work makes an attempt, and looks twice before a job is given up: a failure
// may not be told of a job whose bundle is committed.
func (w *Worker) work(ctx context.Context, l Lease, j job.Job, log *slog.Logger) (bundle.Manifest, error) {
	delivery := l.Delivery()
	began := w.cfg.Now()
	err := fmt.Errorf("%w: %d workers took it and ended without a word", job.ErrTransient, delivery-1)
	if delivery <= w.cfg.Attempts {
		var m bundle.Manifest
		if m, err = w.guarded(ctx, l, j, false, log); err == nil {
			return m, nil
		}
		if decide(job.Classify(err), delivery, w.cfg.Attempts) != Reject {
			return bundle.Manifest{}, err
		}
	}
	unsure := delivery > w.cfg.Attempts || errors.Is(err, bundle.ErrUnsure)
	if delivery == 1 && !unsure {
		return bundle.Manifest{}, err // nobody else can have committed anything
	}
	if unsure {
		began = w.cfg.Now()
	}
	// What this worker or the one before it sent last may be on its way.
	t := time.NewTimer(settle - w.cfg.Now().Sub(began))
	defer t.Stop()
	select {
	case <-ctx.Done():
		return bundle.Manifest{}, ctx.Err()
	case <-t.C:
	}
	m, lerr := w.guarded(ctx, l, j, true, log)
	switch {
	case lerr == nil:
		return m, nil
	case !errors.Is(lerr, errNoBundle) && job.Classify(lerr) == job.Transient && unsure:
		return bundle.Manifest{}, fmt.Errorf("%w: %w", errUnseen, lerr)
	default:
		return bundle.Manifest{}, err
	}
}

// guarded turns a panic of an attempt into a bug of this job.
func (w *Worker) guarded(ctx context.Context, l Lease, j job.Job, look bool, log *slog.Logger) (m bundle.Manifest, err error) {
	defer func() {
		if r := recover(); r != nil {
			log.Error("panic in an attempt", "panic", fmt.Sprint(r), "stack", string(debug.Stack()))
			err = errors.New("worker: panic")
		}
	}()
	return w.attempt(ctx, l, j, look, log)
}

// conclude tells the news and then ends the message, in this order: a worker
// that dies in between tells the same news again.
func (w *Worker) conclude(ctx context.Context, l Lease, j job.Job, m bundle.Manifest, err error, log *slog.Logger) job.Class {
	ctx, cancel := context.WithTimeout(ctx, lastWords)
	defer cancel()
	class := job.Classify(err)
	fate := decide(class, l.Delivery(), w.cfg.Attempts)
	if errors.Is(err, errUnseen) {
		fate = Later
	}
	var told error
	switch {
	case class == job.Done:
		told = w.tellMeasured(ctx, j, l.Origin(), m)
	case fate == Reject:
		told = w.tellFailed(ctx, j, l.Origin(), class, reason(err), l.Delivery())
	}
	if told != nil {
		log.Warn("news not told", "error", redact(told, j))
		class, fate = job.Transient, Later
	}
	if err != nil {
		log.Warn("attempt failed", "class", string(class), "error", redact(err, j))
	}
	var said error
	switch fate {
	case Finish:
		said = l.Done(ctx)
	case Later:
		said = l.Retry(ctx, delay(l.Delivery(), w.cfg.Random()))
	case Now:
		said = l.Return(ctx)
	case Reject:
		said = l.Reject(ctx, string(class)+": "+reason(err))
	case Leave:
	}
	if said != nil { // the lease runs out and the next delivery says it again
		log.Warn("queue did not hear", "error", redact(said, j))
	}
	return class
}

func (w *Worker) tellMeasured(ctx context.Context, j job.Job, origin string, m bundle.Manifest) error {
	metrics, _ := m.File(bundle.MetricsName)
	e, err := event.NewEnd(event.SubjectMeasured, j.ID, origin, w.cfg.Now(), "s3://"+j.Bucket+"/"+metrics.Key, event.Measured{
		Job: j, Bucket: j.Bucket, Manifest: m.Key(), Metrics: metrics.Key, Bundle: m.ID,
		Academy: m.Owner.Academy, Hitter: m.Owner.Hitter, Session: m.Owner.Session, Label: m.Owner.Label,
	})
	if err != nil {
		return err
	}
	return w.news.Publish(ctx, e)
}

func (w *Worker) tellFailed(ctx context.Context, j job.Job, origin string, class job.Class, why string, attempts int) error {
	e, err := event.NewEnd(event.SubjectFailed, j.ID, origin, w.cfg.Now(), "", event.Failed{Job: j, Class: class, Reason: why, Attempts: attempts})
	if err != nil {
		return err
	}
	return w.news.Publish(ctx, e)
}

// GiveUp tells how a job ended that was delivered too often without an end; for
// a message the queue itself has set aside. After an error it is to be called
// again.
func (w *Worker) GiveUp(ctx context.Context, origin string, data []byte, deliveries int) error {
	j, err := job.Parse(data)
	if j.ID == "" {
		sum := sha256.Sum256(data)
		j.ID = hex.EncodeToString(sum[:12])
	}
	if err == nil {
		m, lerr := w.guarded(ctx, nil, j, true, w.cfg.Log.With("job", j.ID))
		if lerr == nil {
			w.tele.ended(job.Done, 0)
			return w.tellMeasured(ctx, j, origin, m)
		}
		if !errors.Is(lerr, errNoBundle) && job.Classify(lerr) == job.Transient {
			return lerr
		}
	}
	w.tele.ended(job.Transient, 0)
	return w.tellFailed(ctx, j, origin, job.Transient, fmt.Sprintf("%d workers took it and ended without a word", deliveries), deliveries)
}
