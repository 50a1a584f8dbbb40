package scene

import (
	"errors"
	"fmt"
)

// ErrParams is returned when a scene cannot be built from its parameters; the
// error is then also a *ParamError.
var ErrParams = errors.New("scene: bad parameter")

// ParamError names the parameter that was refused.
type ParamError struct {
	Name  string // in words, such as "barrel speed"
	Value string
	Why   string
}

func (e *ParamError) Error() string {
	return fmt.Sprintf("%v: %s %q %s", ErrParams, e.Name, e.Value, e.Why)
}

// Unwrap makes every ParamError an ErrParams.
func (e *ParamError) Unwrap() error { return ErrParams }

func refuse(name string, value any, format string, a ...any) error {
	return &ParamError{name, fmt.Sprint(value), fmt.Sprintf(format, a...)}
}
