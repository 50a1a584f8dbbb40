package worker

import (
	"context"
	"time"

	"ashline/metrics"
	"ashline/worker/bundle"
	"ashline/worker/event"
)

// Lease is one delivery of a job message to this worker, for a limited time.
// A call that succeeds does not prove that the lease was still held: whatever
// a worker does must be harmless when done twice.
type Lease interface {
	Data() []byte
	// Delivery counts from 1. A delivery that was returned is not counted.
	Delivery() int
	// Origin names the submission: the same for all deliveries of one message,
	// another one when the same job is submitted again.
	Origin() string
	// Extend starts the lease's time anew; it returns when the queue has heard.
	Extend(ctx context.Context) error
	// Done ends the message; it returns when the queue has confirmed it.
	Done(ctx context.Context) error
	// Retry gives the message back, to be delivered after delay.
	Retry(ctx context.Context, delay time.Duration) error
	// Return gives the message back, to be delivered at once as if this
	// delivery had not been.
	Return(ctx context.Context) error
	// Reject ends the message for good. The reason is the class of the failure, the
	// job's id and why, with colons between.
	Reject(ctx context.Context, reason string) error
}

// Source hands out leases.
type Source interface {
	// Next waits for a message. It returns ctx.Err() when ctx ends first.
	Next(ctx context.Context) (Lease, error)
}

// Publisher makes events known. It returns when the event is stored.
type Publisher interface {
	Publish(ctx context.Context, e event.Event) error
}

// Objects is the store as a worker needs it.
type Objects interface {
	bundle.Objects
	Has(ctx context.Context, bucket, key string) (bool, error)
	// Ready reports whether the store answers for a bucket.
	Ready(ctx context.Context, bucket string) error
}

// Task is one analysis: a clip and its cards as local files, and a folder for
// the results that exists and is empty. All paths are absolute.
type Task struct {
	Clip     string
	Cards    []string // merged in this order
	Out      string
	Scratch  string // the attempt's own folder, removed afterwards
	Products []string
}

// Step is how far an analysis has come. Total 0 means not known.
type Step struct {
	Stage string `json:"stage"`
	Done  int    `json:"done"`
	Total int    `json:"total"`
}

// Analyst turns a clip into result files. Cards and clips are a stranger's: whatever
// reads them does so where it can hurt nobody else. An error wraps one of the sentinels
// of package job; anything else is taken for a bug. It has stopped all its work when it
// returns.
type Analyst interface {
	// Cards merges and checks the cards of a task.
	Cards(ctx context.Context, t Task) (metrics.Card, error)
	Analyse(ctx context.Context, t Task, step func(Step)) error
}
