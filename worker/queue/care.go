package queue

import (
	"context"
	"errors"

	"ashline/worker/upkeep"

	"github.com/nats-io/nats.go/jetstream"
)

var _ upkeep.Queue = (*Queue)(nil)

func streamOf(s upkeep.Shelf) string {
	if s == upkeep.Jobs {
		return clipsStream
	}
	return swingsStream
}

// Each calls fn with every message that a stream keeps, oldest first. Those
// that come while it runs may be missed.
func (q *Queue) Each(ctx context.Context, s upkeep.Shelf, fn func(upkeep.Message) error) error {
	stream, err := q.js.Stream(ctx, streamOf(s))
	if err != nil {
		return q.wrap("read "+streamOf(s), err)
	}
	var delivered uint64
	if s == upkeep.Jobs {
		c, err := stream.Consumer(ctx, durable)
		if err != nil {
			return q.wrap("consumer", err)
		}
		delivered = c.CachedInfo().Delivered.Stream
	}
	last := stream.CachedInfo().State.LastSeq
	for seq := uint64(1); seq <= last; {
		m, err := stream.GetMsg(ctx, seq, jetstream.WithGetMsgSubject(">")) // the next one that is still there
		if errors.Is(err, jetstream.ErrMsgNotFound) {
			return nil
		}
		if err != nil {
			return q.wrap("read "+streamOf(s), err)
		}
		if m.Sequence > last {
			return nil
		}
		if err := fn(upkeep.Message{Seq: m.Sequence, Subject: m.Subject, Data: m.Data, Taken: m.Sequence <= delivered}); err != nil {
			return err
		}
		seq = m.Sequence + 1
	}
	return nil
}

// Remove takes a message out of a stream and overwrites its bytes.
func (q *Queue) Remove(ctx context.Context, s upkeep.Shelf, seq uint64) error {
	stream, err := q.js.Stream(ctx, streamOf(s))
	if err != nil {
		return q.wrap("remove", err)
	}
	err = stream.SecureDeleteMsg(ctx, seq)
	if errors.Is(err, jetstream.ErrMsgDeleteUnsuccessful) { // the server has several words for a message that is not there
		if _, gerr := stream.GetMsg(ctx, seq); errors.Is(gerr, jetstream.ErrMsgNotFound) {
			return nil
		}
	}
	return q.wrap("remove", err)
}
