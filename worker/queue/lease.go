package queue

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// lease is a delivered message.
type lease struct {
	q        *Queue
	msg      jetstream.Msg
	delivery int
	origin   string
}

// Headers of a message that was returned: where it came from, and how many of
// its deliveries count.
const (
	headerOrigin = "Ashline-Origin"
	headerSpent  = "Ashline-Spent"
)

var _ worker.Lease = (*lease)(nil)

// Next waits for a job. One message is asked for at a time and only when
// somebody waits for it.
func (q *Queue) Next(ctx context.Context) (worker.Lease, error) {
	cons, err := q.js.Consumer(ctx, clipsStream, durable)
	if err != nil {
		return nil, wrap("consumer", err)
	}
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		// A request under way is not broken off: its message would be lost to
		// everybody for the time of a lease.
		wait := nextWait
		if d, ok := ctx.Deadline(); ok {
			wait = min(wait, max(time.Until(d), time.Millisecond))
		}
		msg, err := cons.Next(jetstream.FetchMaxWait(wait))
		switch {
		case errors.Is(err, nats.ErrTimeout), errors.Is(err, jetstream.ErrNoMessages):
			continue
		case err != nil:
			return nil, wrap("next", err)
		}
		meta, err := msg.Metadata()
		if err != nil {
			return nil, fmt.Errorf("queue: metadata: %w", err)
		}
		spent, origin := past(msg.Subject(), msg.Headers(), meta.Sequence.Stream, meta.Timestamp)
		l := &lease{q: q, msg: msg, delivery: spent + int(meta.NumDelivered), origin: origin}
		if ctx.Err() != nil { // it arrived while nobody waits any more
			return nil, errors.Join(ctx.Err(), l.returnLate(ctx))
		}
		return l, nil
	}
}

// past is what a message says about the deliveries of those it replaces. Only a
// worker can say such a thing: on the other subject the headers are whatever a
// submitter wrote.
func past(subject string, h nats.Header, seq uint64, at time.Time) (spent int, origin string) {
	if subject != event.SubjectReturned {
		h = nil
	}
	if origin = h.Get(headerOrigin); origin == "" {
		// The stream's own numbers begin anew when an operator makes it anew.
		origin = fmt.Sprintf("%d@%d", seq, at.UnixNano())
	}
	spent, err := strconv.Atoi(h.Get(headerSpent))
	if err != nil || spent < 0 {
		spent = 0
	}
	return spent, origin
}

// Data returns the message's bytes.
func (l *lease) Data() []byte { return l.msg.Data() }

// Delivery counts the deliveries of this message that were not returned, from 1.
func (l *lease) Delivery() int { return l.delivery }

// Origin names the submission.
func (l *lease) Origin() string { return l.origin }

// Extend starts the lease's time anew. The client would send it and not wait;
// a connection that swallows what it is given must not look like a lease.
func (l *lease) Extend(ctx context.Context) error {
	_, err := l.q.conn.RequestWithContext(ctx, l.msg.Reply(), []byte("+WPI"))
	return wrap("extend", err)
}

// Done ends the message and waits for the queue's word on it.
func (l *lease) Done(ctx context.Context) error { return wrap("done", l.msg.DoubleAck(ctx)) }

// Retry gives the message back.
func (l *lease) Retry(_ context.Context, delay time.Duration) error {
	return wrap("retry", l.msg.NakWithDelay(delay))
}

// Return puts a copy that tells the number of deliveries before this one into
// the queue, and then ends this message: the queue's own count of deliveries
// cannot be turned back. A worker that dies in between leaves both, which is
// harmless. Where the copy is refused the message is given back as it is.
func (l *lease) Return(ctx context.Context) error {
	m := nats.NewMsg(event.SubjectReturned)
	m.Data = l.msg.Data()
	m.Header.Set(headerOrigin, l.origin)
	m.Header.Set(headerSpent, strconv.Itoa(l.delivery-1))
	short, cancel := context.WithTimeout(ctx, requestTimeout)
	defer cancel()
	meta, err := l.msg.Metadata()
	if err == nil {
		id := fmt.Sprintf("%s returned %d %d", l.origin, meta.Sequence.Stream, meta.NumDelivered)
		_, err = l.q.js.PublishMsg(short, m, jetstream.WithMsgID(id))
	}
	if err != nil {
		l.q.cfg.Log.Warn("a returned job costs an attempt", "job", jobOf(l.msg.Data()), "error", err.Error())
		return wrap("return", l.msg.Nak())
	}
	return wrap("return", l.msg.DoubleAck(ctx))
}

// jobOf is a message's job, for the log.
func jobOf(data []byte) string {
	if j, _ := job.Parse(data); job.ValidID(j.ID) {
		return j.ID
	}
	return unknown
}

// returnLate is Return after ctx has ended.
func (l *lease) returnLate(ctx context.Context) error {
	short, cancel := context.WithTimeout(context.WithoutCancel(ctx), requestTimeout)
	defer cancel()
	return l.Return(short)
}

// Reject ends the message for good. The reason travels in one line.
func (l *lease) Reject(_ context.Context, reason string) error {
	return wrap("reject", l.msg.TermWithReason(oneLine(reason)))
}

func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return ' '
	}, s)
	if r := []rune(s); len(r) > 200 {
		s = string(r[:200])
	}
	return s
}
