package job

import "ashline/pipeline/fault"

// The sentinels of the worker path. Adapters wrap them, nothing else decides a
// message's fate.
var (
	// ErrBadInput: the clip, card or job cannot be used as it is. Normal; the
	// reason goes back to the submitter and nothing is tried again.
	ErrBadInput = fault.New(BadInput, "job: bad input")
	// ErrNotAClip: a store event about something that is no clip. Normal; dropped.
	ErrNotAClip = fault.New(Skip, "job: not a clip")
	// ErrUnreachable: queue or store cannot be reached. Normal during restarts.
	ErrUnreachable = fault.New(Unreachable, "job: service unreachable")
	// ErrTransient: something that may well work the next time. Normal, rare.
	ErrTransient = fault.New(Transient, "job: transient failure")
	// ErrLostLease: the message belongs to another worker by now. Rare.
	ErrLostLease = fault.New(LostLease, "job: lease lost")
	// ErrInterrupted: this worker is shutting down and gives the job back. Normal.
	ErrInterrupted = fault.New(Interrupted, "job: worker is shutting down")
	// ErrNotFound: no such object. What it means depends on the object.
	ErrNotFound = fault.New(Bug, "job: object not found")
	// ErrExists: a create-once object is already there. Normal after a redelivery.
	ErrExists = fault.New(Bug, "job: object exists")
	// ErrDenied: queue or store refuses this account. A matter for the operator.
	ErrDenied = fault.New(Unreachable, "job: permission denied")
	// ErrPartly: some of several clips are done, some are not.
	ErrPartly = fault.New(Partly, "job: partly done")
)
