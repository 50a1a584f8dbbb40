package queue

import (
	"context"
	"errors"
	"time"

	"ashline/worker/event"
	"ashline/worker/job"
	"ashline/worker/upkeep"

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
		return q.wrap("follow", err)
	}
	it, err := cons.Messages()
	if err != nil {
		return q.wrap("follow", err)
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
			return q.wrap("follow", err)
		}
		if err := fn(Note{Subject: msg.Subject(), Data: msg.Data()}); err != nil {
			return err
		}
	}
}

// Lag counts the jobs that wait and those that are with a worker or given back
// for later. It needs no more than a worker's rights.
func (q *Queue) Lag(ctx context.Context) (waiting, taken int, err error) {
	c, err := q.js.Consumer(ctx, clipsStream, durable)
	if err != nil {
		return 0, 0, q.wrap("lag", err)
	}
	info := c.CachedInfo()
	return int(info.NumPending), info.NumAckPending, nil
}

// Survey is what the queue holds at one moment.
type Survey struct {
	Waiting int       `json:"waiting"` // never delivered yet
	Running int       `json:"running"` // with a worker, or given back for later
	Stuck   int       `json:"stuck"`   // delivered too often and not ended
	Jobs    []Pending `json:"jobs"`    // the oldest of those that wait or run
	// FailedInAll counts the failures that are kept; Failed are the latest, latest first.
	FailedInAll int            `json:"failed_in_all"`
	Failed      []event.Failed `json:"failed"`
}

// Pending is a job that is not ended.
type Pending struct {
	ID    string `json:"id"`
	Name  string `json:"name,omitempty"`
	Taken bool   `json:"taken"` // with a worker, or given back for later, or stuck
}

var errEnough = errors.New("enough")

// pending lists the oldest jobs that are not ended.
func (q *Queue) pending(ctx context.Context, limit int) ([]Pending, error) {
	out := []Pending{}
	if limit == 0 {
		return out, nil
	}
	err := q.Each(ctx, upkeep.Jobs, func(m upkeep.Message) error {
		j, err := job.Parse(m.Data)
		if err != nil {
			j = job.Job{ID: "?", Name: "not a job: a worker will say so"}
		}
		if out = append(out, Pending{ID: j.ID, Name: j.Name, Taken: m.Taken}); len(out) >= limit {
			return errEnough
		}
		return nil
	})
	if errors.Is(err, errEnough) {
		err = nil
	}
	return out, err
}

// Survey counts jobs and lists the oldest open ones and the latest failures, at
// most limit of each.
func (q *Queue) Survey(ctx context.Context, limit int) (Survey, error) {
	s, err := q.js.Stream(ctx, clipsStream)
	if err != nil {
		return Survey{}, q.wrap("survey", err)
	}
	c, err := s.Consumer(ctx, durable)
	if err != nil {
		return Survey{}, q.wrap("survey", err)
	}
	si, ci := s.CachedInfo(), c.CachedInfo()
	out := Survey{Waiting: int(ci.NumPending), Running: ci.NumAckPending, Failed: []event.Failed{}}
	out.Stuck = max(0, int(si.State.Msgs)-out.Waiting-out.Running)

	if out.Jobs, err = q.pending(ctx, limit); err != nil {
		return Survey{}, err
	}
	swings, err := q.js.Stream(ctx, swingsStream)
	if err != nil {
		return Survey{}, q.wrap("survey", err)
	}
	info, err := swings.Info(ctx, jetstream.WithSubjectFilter(event.SubjectFailed))
	if err != nil {
		return Survey{}, q.wrap("survey", err)
	}
	n := int(info.State.Subjects[event.SubjectFailed])
	out.FailedInAll = n
	if n == 0 || limit == 0 {
		return out, nil
	}
	cons, err := q.js.OrderedConsumer(ctx, swingsStream, jetstream.OrderedConsumerConfig{FilterSubjects: []string{event.SubjectFailed}})
	if err != nil {
		return Survey{}, q.wrap("survey", err)
	}
	batch, err := cons.Fetch(n, jetstream.FetchMaxWait(nextWait))
	if err != nil {
		return Survey{}, q.wrap("survey", err)
	}
	for msg := range batch.Messages() {
		var f event.Failed
		if _, err := event.Decode(msg.Data(), event.SubjectFailed, &f); err == nil {
			out.Failed = append([]event.Failed{f}, out.Failed[:min(len(out.Failed), limit-1)]...)
		}
	}
	return out, q.wrap("survey", batch.Error())
}

// Count tells how many events of a subject are kept.
func (q *Queue) Count(ctx context.Context, subject string) (int, error) {
	s, err := q.js.Stream(ctx, swingsStream)
	if err != nil {
		return 0, q.wrap("count", err)
	}
	info, err := s.Info(ctx, jetstream.WithSubjectFilter(subject))
	if err != nil {
		return 0, q.wrap("count", err)
	}
	return int(info.State.Subjects[subject]), nil
}
