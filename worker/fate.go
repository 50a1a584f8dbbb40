package worker

import (
	"errors"
	"strings"
	"time"
	"unicode"

	"ashline/worker/job"
)

// decide maps the class of an attempt's outcome to the message's fate.
func decide(c job.Class, delivery, attempts int) job.Fate {
	if fate := job.FateOf(c); fate != job.Later || delivery < attempts {
		return fate
	}
	return job.Reject
}

const (
	serviceDelay = 5 * time.Second  // queue or store: back within seconds as a rule
	machineDelay = 20 * time.Second // an analysis that stalled or was killed: the machine is pressed
	delayFactor  = 3
	maxDelay     = 5 * time.Minute
)

// delay is the time before the next try after this many: growing, with up to half
// of it taken off at random so that clips that failed together do not return
// together.
func delay(err error, tries int, random float64) time.Duration {
	d := machineDelay
	if errors.Is(err, job.ErrUnreachable) {
		d = serviceDelay
	}
	for range tries - 1 {
		d = min(d*delayFactor, maxDelay)
	}
	return d - time.Duration(random*float64(d)/2)
}

// reason is an error in one bounded line, for the submitter.
func reason(err error) string {
	s := err.Error()
	for _, sentinel := range []error{job.ErrBadInput, job.ErrTransient} {
		s = strings.TrimPrefix(s, sentinel.Error()+": ")
	}
	s = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return ' '
	}, s)
	if r := []rune(s); len(r) > 300 {
		s = string(r[:300]) + "…"
	}
	return strings.TrimSpace(s)
}
