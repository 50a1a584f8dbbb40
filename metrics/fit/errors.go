package fit

import "errors"

// Errors of the package. All of them mean that the input cannot be fitted; none
// is transient.
var (
	// ErrLength occurs when slices that belong together differ in length.
	ErrLength = errors.New("fit: lengths differ")
	// ErrTooFew occurs when there are fewer usable samples than unknowns. It is
	// normal for a mark that was hardly seen.
	ErrTooFew = errors.New("fit: too few samples")
	// ErrValue occurs when a time, variance or setting is not finite or out of
	// its range.
	ErrValue = errors.New("fit: value out of range")
)
