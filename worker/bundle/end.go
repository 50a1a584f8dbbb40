package bundle

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"ashline/worker/job"
)

// FailuresSchema names the version of the record of failures.
const FailuresSchema = "ashline.failures/1.0"

// Submission is one asking for a job. The same job may be asked for again.
type Submission struct {
	Job    string `json:"job"`    // the job's id
	Origin string `json:"origin"` // which asking, as of its lease
}

// Failure says how a submission ended without a bundle.
type Failure struct {
	Submission
	Class    job.Class `json:"class"`
	Reason   string    `json:"reason"` // one line for a person
	Attempts int       `json:"attempts"`
}

// failures is the record in the store as long as there is no bundle.
type failures struct {
	Schema   string    `json:"schema"`
	Failures []Failure `json:"failures"`
}

// committed is a manifest with the failures that came before it. None is ever
// taken out: whoever comes late must find how its submission ended.
type committed struct {
	Manifest
	Failures []Failure `json:"failures,omitempty"`
}

// End is what stands under a manifest's key: nothing, the failures of submissions
// that ended without a bundle, or the manifest and the failures before it. It goes
// on in this order only, from one version to the next: of two writers that saw the
// same version one is refused, so that a submission has one end.
type End struct {
	Manifest *Manifest
	Failures []Failure

	version string // of the object; empty: there is none
}

// Failure returns how a submission failed.
func (e End) Failure(s Submission) (Failure, bool) {
	for _, f := range e.Failures {
		if f.Submission == s {
			return f, true
		}
	}
	return Failure{}, false
}

// Settled tells whether a submission has ended.
func (e End) Settled(s Submission) bool {
	_, failed := e.Failure(s)
	return failed || e.Manifest != nil
}

// Look reads what stands under a manifest's key.
func Look(ctx context.Context, from Reader, bucket, key string) (End, error) {
	raw, version, err := from.Read(ctx, bucket, key, maxManifestBytes)
	if errors.Is(err, job.ErrNotFound) {
		return End{}, nil
	}
	if errors.Is(err, job.ErrBadInput) { // larger than any
		return End{}, fmt.Errorf("%w: %s: %w", ErrCorrupt, ManifestName, err)
	}
	if err != nil {
		return End{}, fmt.Errorf("bundle: %s: %w", ManifestName, err)
	}
	e, err := decodeEnd(raw)
	e.version = version
	return e, err
}

// decodeEnd reads a record. What is no record at all, as of a store that lost its
// power while it wrote one, stands for nothing, to be replaced.
func decodeEnd(raw []byte) (End, error) {
	var c committed
	if err := json.Unmarshal(raw, &c); err != nil || c.Schema == "" {
		return End{}, nil //nolint:nilerr // says why
	}
	if c.Schema == FailuresSchema {
		return End{Failures: c.Failures}, nil
	}
	if err := c.check(); err != nil {
		return End{}, err
	}
	return End{Manifest: &c.Manifest, Failures: c.Failures}, nil
}

// Fail records that a submission ended without a bundle, unless it has ended
// before, and returns how it has. No bundle can be committed for it from then on.
func Fail(ctx context.Context, objects Objects, bucket, key string, f Failure) (End, error) {
	return settle(ctx, objects, bucket, key, f.Submission, func(e End) any {
		return failures{Schema: FailuresSchema, Failures: append(e.Failures, f)}
	})
}

// settle replaces what stands under a key by what next makes of it, until the
// submission has ended, here or elsewhere.
func settle(ctx context.Context, objects Objects, bucket, key string, s Submission, next func(End) any) (End, error) {
	e, err := Look(ctx, objects, bucket, key)
	for err == nil && !e.Settled(s) {
		raw, merr := json.MarshalIndent(next(e), "", "  ")
		if merr != nil {
			return End{}, fmt.Errorf("bundle: %s: %w", ManifestName, merr)
		}
		serr := objects.Swap(ctx, bucket, key, e.version, raw, "application/json")
		if serr == nil {
			return decodeEnd(raw)
		}
		// The answer may have been lost, or another submission's failure may have
		// come in between: what stands there now tells.
		was := e.version
		if e, err = Look(ctx, objects, bucket, key); err != nil || e.version == was {
			return End{}, fmt.Errorf("%w: %w", job.ErrTransient, errors.Join(serr, err))
		}
	}
	return e, err
}
