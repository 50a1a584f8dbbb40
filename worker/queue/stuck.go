package queue

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"math/rand/v2"
	"strings"
	"time"

	"ashline/worker/job"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Stuck is a job that the queue delivers no more.
type Stuck struct {
	Origin     string // as of a lease
	Data       []byte
	Deliveries int
	Age        time.Duration // since it came into the queue
}

const (
	advisories = "$JS.EVENT.ADVISORY.CONSUMER."
	// giveUpTime bounds one job: its clip is fetched once more, to see whether
	// its bundle is there.
	giveUpTime = 2 * time.Minute
)

// WatchStuck calls fn for each job that was delivered as often as it may be
// without an end, and removes it when fn returns nil; after an error it is called
// again at the next look. One of several watchers hears of each. The queue says
// so once, to whoever listens, so the stream is also looked through at the start
// and now and then, and then each watcher may find the same job. What is rejected
// is noted in the log. It bridges breaks of the connection and returns when ctx
// ends.
func (q *Queue) WatchStuck(ctx context.Context, fn func(context.Context, Stuck) error) error {
	over, ended := make(chan *nats.Msg, 64), make(chan *nats.Msg, 64)
	sub, err := q.conn.ChanQueueSubscribe(advisories+"MAX_DELIVERIES."+clipsStream+"."+durable, "watch", over)
	if err != nil {
		return wrap("watch", err)
	}
	defer func() { _ = sub.Unsubscribe() }()
	notes, err := q.conn.ChanQueueSubscribe(advisories+"MSG_TERMINATED."+clipsStream+"."+durable, "watch", ended)
	if err != nil {
		return wrap("watch", err)
	}
	defer func() { _ = notes.Unsubscribe() }()
	w := watch{q: q, fn: fn, kept: map[uint64]advisory{}}
	for {
		w.look(ctx)
		// Watchers that start together do not go on looking together.
		tick := time.NewTimer(q.cfg.Sweep/2 + rand.N(q.cfg.Sweep)) //nolint:forbidigo // spreads load, decides nothing
		for due := false; !due; {
			select {
			case <-ctx.Done():
				tick.Stop()
				return ctx.Err()
			case <-tick.C:
				due = true
			case m := <-over:
				w.hear(ctx, m.Data)
			case m := <-ended:
				q.noteEnded(m.Data)
			}
		}
	}
}

// watch is one watcher and the jobs that it could not give up yet, by their
// number in the stream. One that dies with them leaves them to the sweep.
type watch struct {
	q    *Queue
	fn   func(context.Context, Stuck) error
	kept map[uint64]advisory
}

// advisory is what the two advisories have in common.
type advisory struct {
	Seq        uint64    `json:"stream_seq"`
	Deliveries int       `json:"deliveries"`
	Reason     string    `json:"reason"`
	At         time.Time `json:"timestamp"` // by the server's clock
}

// unknown stands in the log for what is no worker's word.
const unknown = "unknown"

// noteEnded logs a rejection by its class and its job; the rest of the reason may name
// a clip.
func (q *Queue) noteEnded(raw []byte) {
	var a advisory
	if err := json.Unmarshal(raw, &a); err != nil {
		q.cfg.Log.Warn("unreadable advisory", "error", err.Error())
		return
	}
	said := append(strings.SplitN(a.Reason, ": ", 3), unknown, unknown)[:2]
	for i, s := range said {
		if !job.ValidID(s) {
			said[i] = unknown
		}
	}
	q.cfg.Log.Info("a job was rejected", "message", a.Seq, "deliveries", a.Deliveries, "class", said[0], "job", said[1])
}

// hear takes up an advisory about a stuck job.
func (w *watch) hear(ctx context.Context, raw []byte) {
	var a advisory
	if err := json.Unmarshal(raw, &a); err != nil {
		w.q.cfg.Log.Warn("unreadable advisory", "error", err.Error())
		return
	}
	stream, err := w.q.js.Stream(ctx, clipsStream)
	if err == nil {
		err = w.settle(ctx, stream, a)
	} else {
		w.kept[a.Seq] = a
	}
	w.report(ctx, err)
}

// look tries the kept jobs again and looks for those of which nobody heard.
func (w *watch) look(ctx context.Context) {
	stream, err := w.q.js.Stream(ctx, clipsStream) // before the consumer: a message that comes in between has a later number
	if err != nil {
		w.report(ctx, wrap("look", err))
		return
	}
	tried := maps.Clone(w.kept)
	var errs []error
	for _, a := range tried {
		errs = append(errs, w.settle(ctx, stream, a))
	}
	errs = append(errs, w.sweep(ctx, stream, tried))
	w.report(ctx, errors.Join(errs...))
}

func (w *watch) report(ctx context.Context, err error) {
	if err != nil && ctx.Err() == nil {
		w.q.cfg.Log.Error("stuck jobs are not all given up yet", "kept", len(w.kept), "error", err.Error())
	}
}

// settle gives up the job that an advisory is about, or keeps the advisory.
func (w *watch) settle(ctx context.Context, stream jetstream.Stream, a advisory) error {
	raw, err := stream.GetMsg(ctx, a.Seq)
	switch {
	case errors.Is(err, jetstream.ErrMsgNotFound): // ended after all
		err = nil
	case err != nil:
		err = wrap("watch", err)
	case raw.Time.After(a.At): // another job: an operator has made the stream anew
	default:
		err = w.giveUp(ctx, stream, raw, a.Deliveries)
	}
	if err != nil {
		w.kept[a.Seq] = a
		return err
	}
	delete(w.kept, a.Seq)
	return nil
}

// sweep finds stuck jobs of which nobody heard, but for those that were just
// tried. Only while no job waits or is held can they be told from the others:
// whatever the stream holds then, the consumer has set aside. One that cannot be
// given up does not hold up those after it.
func (w *watch) sweep(ctx context.Context, stream jetstream.Stream, tried map[uint64]advisory) error {
	c, err := stream.Consumer(ctx, durable)
	if err != nil {
		return wrap("sweep", err)
	}
	state, ci := stream.CachedInfo().State, c.CachedInfo()
	if state.Msgs == 0 || ci.NumPending != 0 || ci.NumAckPending != 0 || ci.Delivered.Stream < state.LastSeq {
		return nil
	}
	var errs []error
	for seq := state.FirstSeq; seq <= state.LastSeq && ctx.Err() == nil; seq++ {
		raw, err := stream.GetMsg(ctx, seq, jetstream.WithGetMsgSubject("clips.*")) // this one or the next
		if errors.Is(err, jetstream.ErrMsgNotFound) || err == nil && raw.Sequence > state.LastSeq {
			break
		}
		if err != nil {
			errs = append(errs, wrap("sweep", err))
			break
		}
		seq = raw.Sequence
		if _, ok := tried[seq]; !ok {
			errs = append(errs, w.settle(ctx, stream, advisory{Seq: seq, Deliveries: w.q.cfg.Attempts + spareDeliveries, At: raw.Time}))
		}
	}
	return errors.Join(errs...)
}

// giveUp hands a stuck message to fn and then removes it.
func (w *watch) giveUp(ctx context.Context, stream jetstream.Stream, raw *jetstream.RawStreamMsg, deliveries int) error {
	ctx, cancel := context.WithTimeout(ctx, giveUpTime)
	defer cancel()
	spent, origin := past(raw.Subject, raw.Header, raw.Sequence, raw.Time)
	if err := w.fn(ctx, Stuck{Origin: origin, Data: raw.Data, Deliveries: spent + deliveries, Age: time.Since(raw.Time)}); err != nil {
		return err
	}
	if err := stream.DeleteMsg(ctx, raw.Sequence); err != nil && !errors.Is(err, jetstream.ErrMsgNotFound) {
		return wrap("watch", errors.Join(job.ErrTransient, err))
	}
	return nil
}
