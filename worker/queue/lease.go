package queue

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"

	"ashline/worker"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// lease is a delivered message.
type lease struct {
	msg      jetstream.Msg
	delivery int
}

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
		if ctx.Err() != nil { // it arrived while nobody waits any more
			return nil, errors.Join(ctx.Err(), wrap("give back", msg.Nak()))
		}
		meta, err := msg.Metadata()
		if err != nil {
			return nil, fmt.Errorf("queue: metadata: %w", err)
		}
		return &lease{msg: msg, delivery: int(meta.NumDelivered)}, nil
	}
}

// Data returns the message's bytes.
func (l *lease) Data() []byte { return l.msg.Data() }

// Delivery counts the deliveries of this message, from 1.
func (l *lease) Delivery() int { return l.delivery }

// Extend starts the lease's time anew.
func (l *lease) Extend(context.Context) error { return wrap("extend", l.msg.InProgress()) }

// Done ends the message and waits for the queue's word on it.
func (l *lease) Done(ctx context.Context) error { return wrap("done", l.msg.DoubleAck(ctx)) }

// Retry gives the message back.
func (l *lease) Retry(_ context.Context, delay time.Duration) error {
	return wrap("retry", l.msg.NakWithDelay(delay))
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
