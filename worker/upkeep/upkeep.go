package upkeep

import (
	"context"
	"fmt"

	"ashline/worker/event"
	"ashline/worker/job"
)

// Shelf is one of the places where the queue keeps messages.
type Shelf int

// The shelves.
const (
	Jobs Shelf = iota // jobs that are not ended
	News              // events
)

// Message is one message that the queue keeps.
type Message struct {
	Seq     uint64
	Subject string
	Data    []byte
	Taken   bool // of a job: a worker has or had it
}

// Queue is the queue as this package needs it.
type Queue interface {
	// Each calls fn with every message of a shelf, oldest first.
	Each(ctx context.Context, s Shelf, fn func(Message) error) error
	// Remove takes a message away for good; one that is not there is no error.
	Remove(ctx context.Context, s Shelf, seq uint64) error
	Submit(ctx context.Context, j job.Job) (known bool, err error)
}

// Retried says what became of a retry.
type Retried struct {
	Job   string `json:"job"`    // that failed
	NewID string `json:"new_id"` // under which it was submitted again
	Known bool   `json:"known"`  // it had been already
}

// Retry submits a failed job again. Its new id follows from the old one: a
// retry that is sent twice is one.
func Retry(ctx context.Context, q Queue, id string) (Retried, error) {
	if err := checkID("job", id); err != nil {
		return Retried{}, err
	}
	seqs, failed, err := failures(ctx, q, id)
	if err != nil {
		return Retried{}, err
	}
	if len(seqs) == 0 {
		return Retried{}, fmt.Errorf("upkeep: no failure of job %q is kept: %w", id, job.ErrNotFound)
	}
	j := failed.Job
	j.ID = j.NewID("retry of " + id)
	known, err := q.Submit(ctx, j)
	if err != nil {
		return Retried{}, err
	}
	for _, seq := range seqs { // last: a retry that breaks off can be repeated
		if err := q.Remove(ctx, News, seq); err != nil {
			return Retried{}, err
		}
	}
	return Retried{Job: id, NewID: j.ID, Known: known}, nil
}

// Dropped counts what was removed of a job.
type Dropped struct {
	Job      string `json:"job"`
	Waiting  int    `json:"waiting"`
	Taken    int    `json:"taken"` // with a worker, or given back for later: its result may still come
	Failures int    `json:"failures"`
}

// Drop removes a job that is not ended, and what is kept of its failure.
func Drop(ctx context.Context, q Queue, id string) (Dropped, error) {
	out := Dropped{Job: id}
	if err := checkID("job", id); err != nil {
		return out, err
	}
	var found []Message
	err := q.Each(ctx, Jobs, func(m Message) error {
		if j, err := job.Parse(m.Data); err == nil && j.ID == id {
			found = append(found, m)
		}
		return nil
	})
	if err != nil {
		return out, err
	}
	for _, m := range found {
		if err := q.Remove(ctx, Jobs, m.Seq); err != nil {
			return out, err
		}
		if m.Taken {
			out.Taken++
		} else {
			out.Waiting++
		}
	}
	seqs, _, err := failures(ctx, q, id)
	if err != nil {
		return out, err
	}
	for _, seq := range seqs {
		if err := q.Remove(ctx, News, seq); err != nil {
			return out, err
		}
		out.Failures++
	}
	if out.Waiting+out.Taken+out.Failures == 0 {
		return out, fmt.Errorf("upkeep: job %q neither waits, runs nor failed: %w", id, job.ErrNotFound)
	}
	return out, nil
}

// failures finds the kept failures of a job and returns the latest.
func failures(ctx context.Context, q Queue, id string) (seqs []uint64, last event.Failed, err error) {
	err = q.Each(ctx, News, func(m Message) error {
		if m.Subject != event.SubjectFailed {
			return nil
		}
		var f event.Failed
		if _, err := event.Decode(m.Data, m.Subject, &f); err == nil && f.Job.ID == id {
			seqs, last = append(seqs, m.Seq), f
		}
		return nil
	})
	return seqs, last, err
}

// CheckJobID refuses what can be no job's id.
func CheckJobID(id string) error { return checkID("job", id) }

// checkID refuses what is no id before it is used for anything.
func checkID(what, id string) error {
	if !job.ValidID(id) {
		return fmt.Errorf("upkeep: %w: %q is no id of a %s", job.ErrBadInput, job.Excerpt(id), what)
	}
	return nil
}
