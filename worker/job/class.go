package job

import "ashline/pipeline/fault"

// Class is one of the ways in which a job or a command can end.
type Class = fault.Class

// The classes. Done and Skip are not failures.
const (
	Done        Class = "done"
	Skip        Class = "skip" // the message asks for nothing
	BadInput          = fault.BadInput
	Transient         = fault.Transient
	Unreachable Class = "unreachable" // a service is away; told as transient
	LostLease   Class = "lost_lease"
	Interrupted       = fault.Interrupted
	Bug               = fault.Bug
	Partly      Class = "partly" // of a command: some of several clips are done
	Usage       Class = "usage"  // of a command: a mistake on its line
)

// Fate is what becomes of a message.
type Fate int

// The fates.
const (
	Leave  Fate = iota // say nothing; the lease runs out
	Finish             // confirm
	Later              // give back, to be delivered after a delay, as long as tries are left
	Now                // give back at once
	Reject             // tell swings.failed, then end it
)

// outcome is what becomes of a message, and the published code that a command ends with.
type outcome struct {
	fate Fate
	code int
}

// outcomes is the one table of what a class leads to. What stands in none of its rows
// is a bug.
var outcomes = map[Class]outcome{
	Done:        {Finish, 0},
	Skip:        {Finish, 4},
	BadInput:    {Reject, 4},
	Transient:   {Later, 1},
	Unreachable: {Later, 5},
	LostLease:   {Leave, 1},
	Interrupted: {Now, 130},
	Bug:         {Reject, 1},
	Partly:      {Reject, 3},
	Usage:       {Reject, 2},
}

func outcomeOf(c Class) outcome {
	if o, ok := outcomes[c]; ok {
		return o
	}
	return outcomes[Bug]
}

// FateOf is what becomes of a message whose attempt ended so.
func FateOf(c Class) Fate { return outcomeOf(c).fate }

// Classify is the class under which an attempt's end is counted and told. A service
// that was away is passing trouble like other.
func Classify(err error) Class {
	if c := classOf(err); c != Unreachable {
		return c
	}
	return Transient
}

// ExitCode is what a command ends with.
func ExitCode(err error) int { return outcomeOf(classOf(err)).code }

func classOf(err error) Class {
	if err == nil {
		return Done
	}
	return fault.Of(err)
}
