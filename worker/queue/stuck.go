package queue

import (
	"context"
	"encoding/json"
	"errors"
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
	sweepEvery = time.Minute
	// giveUpTime bounds one job: its clip is fetched once more, to see whether
	// its bundle is there.
	giveUpTime = 2 * time.Minute
)

// WatchStuck calls fn for each job that was delivered as often as it may be
// without an end, and removes it when fn returns nil. One of several watchers
// hears of each. The queue says so once, to whoever listens, so the stream is
// also looked through at the start and now and then. What is rejected is noted
// in the log. It returns when ctx ends.
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
	stream, err := q.js.Stream(ctx, clipsStream)
	if err != nil {
		return wrap("watch", err)
	}
	tick := time.NewTicker(sweepEvery)
	defer tick.Stop()
	for {
		if err := q.sweep(ctx, fn); err != nil && ctx.Err() == nil {
			q.cfg.Log.Warn("stuck jobs are not looked for", "error", err.Error())
		}
		for due := false; !due; {
			select {
			case <-ctx.Done():
				return ctx.Err()
			case <-tick.C:
				due = true
			case m := <-over:
				if err := handleStuck(ctx, stream, m.Data, fn); err != nil {
					q.cfg.Log.Error("stuck job", "error", err.Error())
				}
			case m := <-ended:
				q.noteEnded(m.Data)
			}
		}
	}
}

// advisory is what the two advisories have in common.
type advisory struct {
	Seq        uint64 `json:"stream_seq"`
	Deliveries int    `json:"deliveries"`
	Reason     string `json:"reason"`
}

// noteEnded logs a rejection by its class; the rest of the reason may name a clip.
func (q *Queue) noteEnded(raw []byte) {
	var a advisory
	if err := json.Unmarshal(raw, &a); err != nil {
		q.cfg.Log.Warn("unreadable advisory", "error", err.Error())
		return
	}
	class, _, _ := strings.Cut(a.Reason, ":")
	if !job.ValidID(class) {
		class = "unknown" // not a worker's word
	}
	q.cfg.Log.Info("a job was rejected", "message", a.Seq, "deliveries", a.Deliveries, "class", class)
}

// sweep finds stuck jobs of which nobody heard. Only while no job waits or is
// held can they be told from the others: whatever the stream holds then, the
// consumer has set aside.
func (q *Queue) sweep(ctx context.Context, fn func(context.Context, Stuck) error) error {
	s, err := q.js.Stream(ctx, clipsStream) // before the consumer: a message that comes in between has a later number
	if err != nil {
		return wrap("sweep", err)
	}
	c, err := s.Consumer(ctx, durable)
	if err != nil {
		return wrap("sweep", err)
	}
	state, ci := s.CachedInfo().State, c.CachedInfo()
	if state.Msgs == 0 || ci.NumPending != 0 || ci.NumAckPending != 0 || ci.Delivered.Stream < state.LastSeq {
		return nil
	}
	for seq := state.FirstSeq; seq <= state.LastSeq; seq++ {
		raw, err := s.GetMsg(ctx, seq, jetstream.WithGetMsgSubject("clips.*")) // this one or the next
		if errors.Is(err, jetstream.ErrMsgNotFound) || err == nil && raw.Sequence > state.LastSeq {
			return nil
		}
		if err != nil {
			return wrap("sweep", err)
		}
		seq = raw.Sequence
		if err := giveUp(ctx, s, raw, q.cfg.Attempts+spareDeliveries, fn); err != nil {
			return err
		}
	}
	return nil
}

func handleStuck(ctx context.Context, stream jetstream.Stream, data []byte, fn func(context.Context, Stuck) error) error {
	var a advisory
	if err := json.Unmarshal(data, &a); err != nil {
		return err
	}
	raw, err := stream.GetMsg(ctx, a.Seq)
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil // ended after all
	}
	if err != nil {
		return wrap("watch", err)
	}
	return giveUp(ctx, stream, raw, a.Deliveries, fn)
}

// giveUp hands a stuck message to fn and then removes it.
func giveUp(ctx context.Context, stream jetstream.Stream, raw *jetstream.RawStreamMsg, deliveries int, fn func(context.Context, Stuck) error) error {
	ctx, cancel := context.WithTimeout(ctx, giveUpTime)
	defer cancel()
	spent, origin := past(raw.Header, raw.Sequence, raw.Time)
	if err := fn(ctx, Stuck{Origin: origin, Data: raw.Data, Deliveries: spent + deliveries, Age: time.Since(raw.Time)}); err != nil {
		return err
	}
	if err := stream.DeleteMsg(ctx, raw.Sequence); err != nil && !errors.Is(err, jetstream.ErrMsgNotFound) {
		return wrap("watch", errors.Join(job.ErrTransient, err))
	}
	return nil
}
