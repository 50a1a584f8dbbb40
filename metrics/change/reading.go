package change

import (
	"errors"
	"fmt"
	"math"
)

var (
	// ErrEmpty occurs when a side has no reading with a value. It is normal for a
	// metric that was missing in all swings.
	ErrEmpty = errors.New("change: a side has no readings")
	// ErrUnlike occurs when readings differ in kind or unit and mixing was not
	// allowed. The error found is an *UnlikeError.
	ErrUnlike = errors.New("change: readings are unlike")
	// ErrNoSpread occurs when nothing says how uncertain a side is: one reading
	// without an interval, or readings without intervals that all agree.
	ErrNoSpread = errors.New("change: a side has neither intervals nor several readings")
	// ErrPairs occurs when trials that should be pairs are not.
	ErrPairs = errors.New("change: trials are not pairs")
)

// Reading is one swing's value of a metric.
type Reading struct {
	Value     float64 // NaN when missing: the reading is left out
	Low, High float64 // 95 % interval; NaN when it has none
	Kind      string  // what may be compared with what: tee, live, …
	Unit      string
}

// sd is the reading's own standard deviation; ok is false when it has none.
func (r Reading) sd() (u float64, ok bool) {
	u = (r.High - r.Low) / (2 * z95)
	return u, u > 0 && !math.IsInf(u, 0)
}

// UnlikeError says in what two readings differ.
type UnlikeError struct {
	Field string // kind or unit
	A, B  string
}

func (e *UnlikeError) Error() string {
	return fmt.Sprintf("%v in %s: %q and %q", ErrUnlike, e.Field, e.A, e.B)
}

// Unwrap makes the error an ErrUnlike.
func (e *UnlikeError) Unwrap() error { return ErrUnlike }

// alike looks for two readings that differ in kind or unit. Units never mix.
func alike(all []Reading, mix bool) error {
	for _, r := range all {
		if r.Unit != all[0].Unit {
			return &UnlikeError{"unit", all[0].Unit, r.Unit}
		}
		if r.Kind != all[0].Kind && !mix {
			return &UnlikeError{"kind", all[0].Kind, r.Kind}
		}
	}
	return nil
}

// z95 is the usual rounding of the normal 97.5 % point, used wherever degrees
// of freedom are not limited.
const z95 = 1.96
