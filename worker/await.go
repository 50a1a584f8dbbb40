package worker

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"ashline/worker/job"
)

// longestAwait is the longest pause between two tries at a service that is not
// there at the start.
const longestAwait = 15 * time.Second

// Await opens something that a worker needs, as often as it takes until it is there.
// Only what may pass is waited out: a refusal or a wrong setting ends it, as ctx does.
func Await(ctx context.Context, log *slog.Logger, what string, open func(context.Context) error) error {
	for d := time.Second; ; d = min(2*d, longestAwait) {
		err := open(ctx)
		if err == nil || job.Classify(err) != job.Transient || errors.Is(err, job.ErrDenied) {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		log.Warn("no job is taken: waits for "+what, "error", err.Error(), "seconds", d.Seconds())
		rest(ctx, d)
	}
}
