package queue

import (
	"context"
	"time"

	"ashline/worker/event"

	"github.com/nats-io/nats.go/jetstream"
)

// Note is one event as it was heard.
type Note struct {
	Subject string
	Data    []byte // the whole event
}

// Follow calls fn for each event on the subjects from a time on, in order,
// until ctx ends or fn returns an error.
func (q *Queue) Follow(ctx context.Context, since time.Time, fn func(Note) error, subjects ...string) error {
	cons, err := q.js.OrderedConsumer(ctx, swingsStream, jetstream.OrderedConsumerConfig{
		FilterSubjects: subjects, DeliverPolicy: jetstream.DeliverByStartTimePolicy, OptStartTime: &since,
	})
	if err != nil {
		return wrap("follow", err)
	}
	it, err := cons.Messages()
	if err != nil {
		return wrap("follow", err)
	}
	stop := context.AfterFunc(ctx, it.Stop)
	defer stop()
	defer it.Stop()
	for {
		msg, err := it.Next()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			return wrap("follow", err)
		}
		if err := fn(Note{Subject: msg.Subject(), Data: msg.Data()}); err != nil {
			return err
		}
	}
}

// Survey is what the queue holds at one moment.
type Survey struct {
	Waiting int `json:"waiting"` // never delivered yet
	Running int `json:"running"` // with a worker, or given back for later
	Stuck   int `json:"stuck"`   // delivered too often and not ended
	// FailedInAll counts the failures that are kept; Failed are the latest, latest first.
	FailedInAll int            `json:"failed_in_all"`
	Failed      []event.Failed `json:"failed"`
}

// Survey counts jobs and returns the latest failures, at most limit.
func (q *Queue) Survey(ctx context.Context, limit int) (Survey, error) {
	s, err := q.js.Stream(ctx, clipsStream)
	if err != nil {
		return Survey{}, wrap("survey", err)
	}
	c, err := s.Consumer(ctx, durable)
	if err != nil {
		return Survey{}, wrap("survey", err)
	}
	si, ci := s.CachedInfo(), c.CachedInfo()
	out := Survey{Waiting: int(ci.NumPending), Running: ci.NumAckPending, Failed: []event.Failed{}}
	out.Stuck = max(0, int(si.State.Msgs)-out.Waiting-out.Running)

	swings, err := q.js.Stream(ctx, swingsStream)
	if err != nil {
		return Survey{}, wrap("survey", err)
	}
	info, err := swings.Info(ctx, jetstream.WithSubjectFilter(event.SubjectFailed))
	if err != nil {
		return Survey{}, wrap("survey", err)
	}
	n := int(info.State.Subjects[event.SubjectFailed])
	out.FailedInAll = n
	if n == 0 || limit == 0 {
		return out, nil
	}
	cons, err := q.js.OrderedConsumer(ctx, swingsStream, jetstream.OrderedConsumerConfig{FilterSubjects: []string{event.SubjectFailed}})
	if err != nil {
		return Survey{}, wrap("survey", err)
	}
	batch, err := cons.Fetch(n, jetstream.FetchMaxWait(nextWait))
	if err != nil {
		return Survey{}, wrap("survey", err)
	}
	for msg := range batch.Messages() {
		var f event.Failed
		if _, err := event.Decode(msg.Data(), event.SubjectFailed, &f); err == nil {
			out.Failed = append([]event.Failed{f}, out.Failed[:min(len(out.Failed), limit-1)]...)
		}
	}
	return out, wrap("survey", batch.Error())
}

// Count tells how many events of a subject are kept.
func (q *Queue) Count(ctx context.Context, subject string) (int, error) {
	s, err := q.js.Stream(ctx, swingsStream)
	if err != nil {
		return 0, wrap("count", err)
	}
	info, err := s.Info(ctx, jetstream.WithSubjectFilter(subject))
	if err != nil {
		return 0, wrap("count", err)
	}
	return int(info.State.Subjects[subject]), nil
}
