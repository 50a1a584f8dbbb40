package fault

import (
	"context"
	"errors"
	"io/fs"

	"golang.org/x/sys/unix"
)

// Class says who or what is to blame for a failure.
type Class string

const (
	// BadInput is the fault of a clip, a card or results: trying again cannot help.
	BadInput Class = "bad_input"
	// Transient is a failure that may well not come again: the machine was in the way,
	// or something that had been there is gone.
	Transient Class = "transient"
	// Interrupted means that somebody wanted the work to end.
	Interrupted Class = "interrupted"
	// Bug is the program's own fault.
	Bug Class = "bug"
)

// Sentinel is an error with a class.
type Sentinel struct { //nolint:errname // the type of the sentinels, which are ErrX themselves
	class Class
	text  string
}

// New makes a sentinel.
func New(class Class, text string) *Sentinel { return &Sentinel{class, text} }

// Error returns the text.
func (s *Sentinel) Error() string { return s.text }

// Class returns the class.
func (s *Sentinel) Class() Class { return s.class }

// classed is an error that knows its class.
type classed interface {
	error
	Class() Class
}

// machine are the errors of a machine that has run out of something. They come
// first: whoever met one may have taken it for the clip's fault.
var machine = []error{
	unix.ENOSPC, unix.EDQUOT, unix.EMFILE, unix.ENFILE, unix.EAGAIN, unix.ENOMEM, unix.EIO, unix.EROFS, unix.ESTALE,
}

// Of is the class of an error: that of the outermost error in it that knows its own.
// A file that is not there, of which none says otherwise, was there before.
func Of(err error) Class {
	var c classed
	switch {
	case anyOf(err, machine):
		return Transient
	case errors.As(err, &c):
		return c.Class()
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, context.DeadlineExceeded):
		return Transient
	}
	return Bug
}

func anyOf(err error, targets []error) bool {
	for _, t := range targets {
		if errors.Is(err, t) {
			return true
		}
	}
	return false
}
