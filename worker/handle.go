package worker

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/job"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/trace"
)

// patience is for how long a message that the queue has set aside is kept while
// the store does not let its end be recorded: longer than any request of a worker
// that is gone may still be under way.
const patience = time.Hour

// handle sees one delivery through to its fate. It returns false when the next
// one would fare no better: the store is away.
func (w *Worker) handle(parent context.Context, l Lease) (goOn bool) {
	log := w.cfg.Log
	defer func() {
		if r := recover(); r != nil { // the lease runs out
			log.Error("panic beside an attempt", "panic", fmt.Sprint(r), "stack", string(debug.Stack()))
			goOn = true
		}
	}()
	start := w.cfg.Now()
	w.tele.running.Inc()
	defer w.tele.running.Dec()

	a, err := w.begin(l.Origin(), l.Data())
	a.log = a.log.With("delivery", l.Delivery())
	log = a.log
	parent, span := w.cfg.Tracer.Start(parent, "job", trace.WithSpanKind(trace.SpanKindConsumer), trace.WithAttributes(
		attribute.String("ashline.job", a.job.ID), attribute.Int("ashline.delivery", l.Delivery()),
	))
	ctx, release := hold(parent, l, w.cfg.Lease, w.cfg.Deadline, w.cfg.Now)
	release = sync.OnceFunc(release)
	defer release()
	var end bundle.End
	if err == nil {
		a.log.Info("job taken")
		if end, err = a.guarded(ctx, l.Delivery() > w.cfg.Attempts); errors.Is(err, errUnsettled) {
			err = withoutEnd(l.Delivery() - 1)
		}
	}
	// Whatever the attempt says, it was the lease's or the worker's end that stopped it.
	stopped := func(err error) error {
		if cause := context.Cause(ctx); err != nil && cause != nil {
			return cause
		}
		return err
	}
	if err = stopped(err); decide(job.Classify(err), l.Delivery(), w.cfg.Attempts) == job.Reject {
		end, err = a.giveUp(ctx, err, l.Delivery())
		err = stopped(err)
	}
	release() // no heartbeat may follow the last word
	if l, ok := l.(*watchedLease); ok {
		l.letGo()
	}

	class, fate := a.conclude(context.WithoutCancel(parent), l, end, err)
	took := w.cfg.Now().Sub(start)
	w.tele.ended(class, took)
	endSpan(span, class)
	a.log.Info("job ended", "class", string(class), "seconds", took.Seconds())
	return class != job.Transient || fate != job.Now
}

// begin reads a message.
func (w *Worker) begin(origin string, data []byte) (*attempt, error) {
	j, err := job.Parse(data)
	if !job.ValidID(j.ID) { // it will stand in logs and traces
		sum := sha256.Sum256(data)
		j.ID = hex.EncodeToString(sum[:12])
	}
	return &attempt{Worker: w, job: j, sub: bundle.Submission{Job: j.ID, Origin: origin}, log: w.cfg.Log.With("job", j.ID)}, err
}

// withoutEnd is why a job fails whose tries are used up: workers were killed at it,
// or nothing came of what they tried.
func withoutEnd(deliveries int) error {
	return fmt.Errorf("%w: %d deliveries did not bring it to an end", job.ErrTransient, deliveries)
}

// guarded turns a panic of an attempt into a bug of this job.
func (a *attempt) guarded(ctx context.Context, look bool) (end bundle.End, err error) {
	defer func() {
		if r := recover(); r != nil {
			a.log.Error("panic in an attempt", "panic", fmt.Sprint(r), "stack", string(debug.Stack()))
			err = errors.New("worker: panic")
		}
	}()
	return a.run(ctx, look)
}

func (a *attempt) failure(why error, delivery int) bundle.Failure {
	return bundle.Failure{Submission: a.sub, Class: job.Classify(why), Reason: reason(why), Attempts: delivery}
}

// giveUp records that the submission has failed, unless it has ended otherwise
// meanwhile. An error means that it is not given up: the record is what keeps a
// worker that comes late from committing.
func (a *attempt) giveUp(ctx context.Context, why error, delivery int) (bundle.End, error) {
	f := a.failure(why, delivery)
	unrecorded := bundle.End{Failures: []bundle.Failure{f}}
	if a.key == "" {
		// There is no bundle of a clip or a card that cannot be used. But one that
		// cannot be had now may have been had by an earlier delivery.
		if f.Class == job.Transient && delivery > 1 {
			return bundle.End{}, why
		}
		return unrecorded, nil
	}
	ctx, cancel := context.WithTimeout(ctx, lastWords)
	defer cancel()
	end, err := bundle.Fail(ctx, a.objects, a.job.Bucket, a.key, f)
	if errors.Is(err, bundle.ErrCorrupt) { // what stands there lets nobody commit
		return unrecorded, nil
	}
	return end, err
}

// conclude tells the news and then ends the message, in this order: a worker
// that dies in between tells the same news again.
func (a *attempt) conclude(ctx context.Context, l Lease, end bundle.End, err error) (job.Class, job.Fate) {
	ctx, cancel := context.WithTimeout(ctx, lastWords)
	defer cancel()
	ctx, span := a.cfg.Tracer.Start(ctx, "conclude")
	defer span.End()
	class := job.Classify(err)
	fate := decide(class, l.Delivery(), a.cfg.Attempts)
	if fate == job.Reject { // it should be given up and could not be
		fate = job.Later
	}
	if fate == job.Later && a.storeAway(ctx) { // which is not the job's fault
		fate = job.Now
	}
	var why string
	if err == nil {
		var told error
		if class, why, told = a.tell(ctx, end); told != nil {
			err, class, fate = fmt.Errorf("news not told: %w", told), job.Transient, job.Later
		} else if class != job.Done {
			fate = job.Reject
		}
	}
	if err != nil {
		why = err.Error()
	}
	if class != job.Done && class != job.Skip {
		a.log.Warn("attempt failed", "class", string(class), "error", redact(why, a.job))
	}
	var said error
	switch fate {
	case job.Finish:
		said = l.Done(ctx)
	case job.Later:
		said = l.Retry(ctx, delay(err, l.Delivery(), a.cfg.Random()))
	case job.Now:
		said = l.Return(ctx)
	case job.Reject:
		said = l.Reject(ctx, string(class)+": "+a.job.ID+": "+why)
	case job.Leave:
	}
	if said != nil { // the lease runs out and the next delivery says it again
		a.log.Warn("queue did not hear", "error", redact(said.Error(), a.job))
	}
	return class, fate
}

// storeAway asks whether this worker's bucket is there for it at all: the store
// may be down, a disk not mounted, a key changed. No job is to blame then.
func (w *Worker) storeAway(ctx context.Context) bool {
	ctx, cancel := context.WithTimeout(ctx, checkTime)
	defer cancel()
	return w.objects.Ready(ctx, w.cfg.Bucket) != nil
}

// tell publishes how the submission ended, and returns its class and the reason
// of a failure.
func (a *attempt) tell(ctx context.Context, end bundle.End) (class job.Class, why string, err error) {
	var e event.Event
	if f, failed := end.Failure(a.sub); failed { // though another submission may have succeeded since
		class, why = f.Class, f.Reason
		e, err = event.NewEnd(event.SubjectFailed, a.job.ID, a.sub.Origin, a.cfg.Now(), "", event.Failed{
			Job: a.job, Class: class, Reason: why, Attempts: f.Attempts,
		})
	} else {
		m := end.Manifest
		class = job.Done
		metrics, _ := m.File(bundle.MetricsName)
		e, err = event.NewEnd(event.SubjectMeasured, a.job.ID, a.sub.Origin, a.cfg.Now(), "s3://"+a.job.Bucket+"/"+metrics.Key, event.Measured{
			Job: a.job, Bucket: a.job.Bucket, Manifest: m.Key(), Metrics: metrics.Key, Bundle: m.ID,
			Academy: m.Owner.Academy, Hitter: m.Owner.Hitter, Session: m.Owner.Session, Label: m.Owner.Label,
		})
	}
	if err == nil {
		err = a.news.Publish(ctx, e)
	}
	return class, why, err
}

// GiveUp tells how a job ended that was delivered too often without an end; for
// a message that the queue has set aside and had for the time of age. After an
// error it is to be called again.
func (w *Worker) GiveUp(ctx context.Context, origin string, data []byte, deliveries int, age time.Duration) error {
	turn := w.tele.hands.newTurn()
	defer turn.end()
	if by, ok := ctx.Deadline(); ok {
		turn.allow(time.Until(by) + lastWords)
	} else {
		turn.allow(w.cfg.Deadline)
	}
	a, err := w.begin(origin, data)
	var end bundle.End
	if err == nil {
		end, err = a.guarded(ctx, true)
	}
	switch {
	case errors.Is(err, job.ErrNotAClip):
		return nil
	case errors.Is(err, errUnsettled):
		err = withoutEnd(deliveries)
	}
	if err != nil {
		why := err
		end, err = a.giveUp(ctx, why, deliveries)
		switch {
		case err != nil && age < patience:
			return err
		case err != nil:
			end = bundle.End{Failures: []bundle.Failure{a.failure(why, deliveries)}}
		}
	}
	// Whatever looking took: it would be the same again the next time.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), lastWords)
	defer cancel()
	class, _, err := a.tell(ctx, end)
	if err == nil {
		w.tele.jobs.WithLabelValues(string(class)).Inc()
	}
	return err
}
