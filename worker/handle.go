package worker

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"

	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/job"
)

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
	if err == nil && l.Delivery() > w.cfg.Attempts {
		err = fmt.Errorf("%w: %d workers took it and ended without a word", job.ErrTransient, l.Delivery()-1)
	}
	if err == nil {
		log.Info("job taken")
		m, err = w.guarded(ctx, j, log)
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

// guarded turns a panic of an attempt into a bug of this job.
func (w *Worker) guarded(ctx context.Context, j job.Job, log *slog.Logger) (m bundle.Manifest, err error) {
	defer func() {
		if r := recover(); r != nil {
			log.Error("panic in an attempt", "panic", fmt.Sprint(r), "stack", string(debug.Stack()))
			err = errors.New("worker: panic")
		}
	}()
	return w.attempt(ctx, j, log)
}

// conclude tells the news and then ends the message, in this order: a worker
// that dies in between tells the same news again.
func (w *Worker) conclude(ctx context.Context, l Lease, j job.Job, m bundle.Manifest, err error, log *slog.Logger) job.Class {
	ctx, cancel := context.WithTimeout(ctx, lastWords)
	defer cancel()
	class := job.Classify(err)
	fate := decide(class, l.Delivery(), w.cfg.Attempts)
	var told error
	switch {
	case class == job.Done:
		told = w.tellMeasured(ctx, j, m)
	case fate == Reject:
		told = w.tellFailed(ctx, j, class, reason(err), l.Delivery())
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
		said = l.Retry(ctx, 0)
	case Reject:
		said = l.Reject(ctx, string(class)+": "+reason(err))
	case Leave:
	}
	if said != nil { // the lease runs out and the next delivery says it again
		log.Warn("queue did not hear", "error", redact(said, j))
	}
	return class
}

func (w *Worker) tellMeasured(ctx context.Context, j job.Job, m bundle.Manifest) error {
	metrics, _ := m.File(bundle.MetricsName)
	e, err := event.New(event.SubjectMeasured, j.ID, w.cfg.Now(), "s3://"+j.Bucket+"/"+metrics.Key, event.Measured{
		Job: j, Bucket: j.Bucket, Manifest: m.Key(), Metrics: metrics.Key, Bundle: m.ID,
		Academy: m.Owner.Academy, Hitter: m.Owner.Hitter, Session: m.Owner.Session, Label: m.Owner.Label,
	}, m.ID)
	if err != nil {
		return err
	}
	return w.news.Publish(ctx, e)
}

func (w *Worker) tellFailed(ctx context.Context, j job.Job, class job.Class, why string, attempts int) error {
	e, err := event.New(event.SubjectFailed, j.ID, w.cfg.Now(), "", event.Failed{Job: j, Class: class, Reason: why, Attempts: attempts})
	if err != nil {
		return err
	}
	return w.news.Publish(ctx, e)
}

// GiveUp tells that a job was delivered too often without an end; for a
// message the queue itself has set aside.
func (w *Worker) GiveUp(ctx context.Context, data []byte, deliveries int) error {
	j, err := job.Parse(data)
	if err != nil && j.ID == "" {
		sum := sha256.Sum256(data)
		j.ID = hex.EncodeToString(sum[:12])
	}
	w.tele.ended(job.Transient, 0)
	return w.tellFailed(ctx, j, job.Transient, fmt.Sprintf("%d workers took it and ended without a word", deliveries), deliveries)
}
