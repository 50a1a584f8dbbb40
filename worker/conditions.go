package worker

import (
	"context"
	"errors"
	"fmt"

	"ashline/worker/bundle"
	"ashline/worker/job"
)

// ErrUnconditional means: the store writes over an object though it was told which
// version, or none, is to be replaced. A matter for the operator: with such a store
// a clip may end twice.
var ErrUnconditional = fmt.Errorf("%w: the store does not honour If-None-Match and If-Match", job.ErrDenied)

// probeKey is the object that the conditions are tried on. It stays, and says nothing.
const probeKey = "swings/" + bundle.Nobody + "/" + bundle.Nobody + "/conditions.json"

// CheckConditions tries whether the store refuses what commits rest on its refusing.
// Another error says that it could not be tried.
func CheckConditions(ctx context.Context, objects Objects, bucket string) error {
	probe := []byte("{}\n")
	put := func(version string) error {
		return objects.Swap(ctx, bucket, probeKey, version, probe, "application/json")
	}
	if err := put(""); err != nil && !errors.Is(err, job.ErrExists) {
		return fmt.Errorf("worker: try the store: %w", err)
	}
	for _, version := range []string{"", "0123456789abcdef0123456789abcdef"} { // there is one, and it is not this
		switch err := put(version); {
		case err == nil:
			return ErrUnconditional
		case !errors.Is(err, job.ErrExists):
			return fmt.Errorf("worker: try the store: %w", err)
		}
	}
	return nil
}
