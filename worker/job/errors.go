package job

import (
	"context"
	"errors"
)

// Sentinel is an error of the worker path with the exit code a command ends
// with when it comes through.
type Sentinel struct { //nolint:errname // the type of the sentinels, which are ErrX themselves
	text string
	code int
}

// Error returns the text, which begins with the package's name.
func (s *Sentinel) Error() string { return s.text }

// ExitCode is the published code of the command line.
func (s *Sentinel) ExitCode() int { return s.code }

const (
	codeFailed      = 1
	codePartly      = 3
	codeBadInput    = 4
	codeUnreachable = 5
	codeInterrupted = 130
)

// The sentinels of the worker path. Adapters wrap them, nothing else decides a
// message's fate.
var (
	// ErrBadInput: the clip, card or job cannot be used as it is. Normal; the
	// reason goes back to the submitter and nothing is tried again.
	ErrBadInput = &Sentinel{"job: bad input", codeBadInput}
	// ErrNotAClip: a store event about something that is no clip. Normal; dropped.
	ErrNotAClip = &Sentinel{"job: not a clip", codeBadInput}
	// ErrUnreachable: queue or store cannot be reached. Normal during restarts.
	ErrUnreachable = &Sentinel{"job: service unreachable", codeUnreachable}
	// ErrTransient: something that may well work the next time. Normal, rare.
	ErrTransient = &Sentinel{"job: transient failure", codeFailed}
	// ErrLostLease: the message belongs to another worker by now. Rare.
	ErrLostLease = &Sentinel{"job: lease lost", codeFailed}
	// ErrInterrupted: this worker is shutting down and gives the job back. Normal.
	ErrInterrupted = &Sentinel{"job: worker is shutting down", codeInterrupted}
	// ErrNotFound: no such object. What it means depends on the object.
	ErrNotFound = &Sentinel{"job: object not found", codeFailed}
	// ErrExists: a create-once object is already there. Normal after a redelivery.
	ErrExists = &Sentinel{"job: object exists", codeFailed}
	// ErrDenied: queue or store refuses this account. A matter for the operator.
	ErrDenied = &Sentinel{"job: permission denied", codeUnreachable}
	// ErrPartly: some of several clips are done, some are not.
	ErrPartly = &Sentinel{"job: partly done", codePartly}
)

// Class is one of the ways a job can end.
type Class string

// The classes. Done and Skip are not failures.
const (
	Done        Class = "done"
	Skip        Class = "skip"
	BadInput    Class = "bad_input"
	Transient   Class = "transient"
	LostLease   Class = "lost_lease"
	Interrupted Class = "interrupted"
	Bug         Class = "bug"
)

// Classify maps an error to its class. An error it does not know is a bug.
func Classify(err error) Class {
	switch {
	case err == nil:
		return Done
	case errors.Is(err, ErrLostLease):
		return LostLease
	case errors.Is(err, ErrInterrupted):
		return Interrupted
	case errors.Is(err, ErrNotAClip):
		return Skip
	case errors.Is(err, ErrBadInput):
		return BadInput
	case errors.Is(err, ErrTransient), errors.Is(err, ErrUnreachable), errors.Is(err, ErrDenied),
		errors.Is(err, context.DeadlineExceeded):
		return Transient
	default:
		return Bug
	}
}
