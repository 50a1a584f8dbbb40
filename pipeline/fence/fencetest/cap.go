package fencetest

import (
	"os"
	"strconv"

	"ashline/pipeline/fence"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"golang.org/x/sys/unix"
)

// capVariable names the version of Landlock that a process is to know.
const capVariable = "ASHLINE_TEST_LANDLOCK"

// Capped is the environment of a process that is to know no newer version of Landlock.
func Capped(version int) string { return capVariable + "=" + strconv.Itoa(version) }

// Handed is what this process hands on of it to a child whose environment is made anew.
func Handed() []string {
	if v, ok := os.LookupEnv(capVariable); ok {
		return []string{capVariable + "=" + v}
	}
	return nil
}

// Cap makes this process one whose kernel knows the version of Landlock that its
// environment names, if any: what takes a newer one is answered as calls are that
// there are not. A program of tests calls it first.
func Cap() error {
	text, set := os.LookupEnv(capVariable)
	if !set {
		return nil
	}
	version, err := strconv.Atoi(text)
	if err != nil {
		return err
	}
	absent := seccomp.SyscallGroup{Action: seccomp.ActionErrno | seccomp.Action(unix.ENOSYS)}
	if version == 0 {
		absent.Names = []string{"landlock_create_ruleset", "landlock_add_rule", "landlock_restrict_self"}
	} else {
		s := fence.Probe()
		s.Landlock = min(s.Landlock, version)
		fence.Probe = func() fence.Support { return s }
		// The structure of rules grew with version 4, from 8 bytes.
		absent.NamesWithCondtions = []seccomp.NameWithConditions{{
			Name:       "landlock_create_ruleset",
			Conditions: seccomp.ArgumentConditions{{Argument: 1, Operation: seccomp.GreaterThan, Value: 8}},
		}}
	}
	return seccomp.LoadFilter(seccomp.Filter{
		NoNewPrivs: true, Flag: seccomp.FilterFlagTSync,
		Policy: seccomp.Policy{DefaultAction: seccomp.ActionAllow, Syscalls: []seccomp.SyscallGroup{absent}},
	})
}
