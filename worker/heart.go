package worker

import (
	"context"
	"fmt"
	"time"

	"ashline/worker/job"
)

// hold keeps a lease alive until stop is called, and cancels the returned
// context with job.ErrLostLease when it could not. The queue accepts a late
// heartbeat without complaint, so the time since the last good one decides,
// and a process that was suspended for longer than the lease gives up. Beyond the
// deadline no lease is extended: whatever hangs there, another worker has the job.
func hold(parent context.Context, l Lease, life, deadline time.Duration, now func() time.Time) (ctx context.Context, stop func()) {
	ctx, cancel := context.WithCancelCause(parent)
	received := now()
	quit, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		tick := time.NewTicker(life / 3)
		defer tick.Stop()
		last := received
		for {
			select {
			case <-quit:
				return
			case <-tick.C:
			}
			if silent := now().Sub(last); silent >= life {
				cancel(fmt.Errorf("%w: silent for %s", job.ErrLostLease, silent.Round(time.Millisecond)))
				return
			}
			beat := now()
			if held := beat.Sub(received); held >= deadline {
				cancel(fmt.Errorf("%w: held for %s", job.ErrLostLease, held.Round(time.Second)))
				return
			}
			hb, done := context.WithTimeout(context.WithoutCancel(parent), life/3)
			err := l.Extend(hb)
			done()
			if err == nil {
				last = beat
			}
		}
	}()
	return ctx, func() {
		close(quit)
		<-gone
		cancel(nil)
	}
}
