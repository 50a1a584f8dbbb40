package fence

import (
	"fmt"
	"slices"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"github.com/elastic/go-seccomp-bpf/arch"
	"golang.org/x/sys/unix"
)

// condition is a call and the combinations of arguments with which it is refused.
type condition struct {
	name string
	args []arguments
}

// arguments must all hold.
type arguments = seccomp.ArgumentConditions

func refuse(a ...arguments) []arguments { return a }

// unless holds where an argument has none of the values.
func unless(arg uint32, values ...uint64) arguments {
	var out arguments
	for _, v := range values {
		out = append(out, seccomp.Condition{Argument: arg, Operation: seccomp.NotEqual, Value: v})
	}
	return out
}

// has holds where an argument has any of the bits, lacks where it has none.
func has(arg uint32, bits uint64) arguments {
	return arguments{{Argument: arg, Operation: seccomp.BitsSet, Value: bits}}
}

func lacks(arg uint32, bits uint64) arguments {
	return arguments{{Argument: arg, Operation: seccomp.BitsNotSet, Value: bits}}
}

// errno is the answer of a call that is refused.
func errno(e unix.Errno) seccomp.Action { return seccomp.ActionErrno | seccomp.Action(e) }

// restrictCalls puts the filters on the calling thread. A call must pass them all.
func restrictCalls(k Kind, starter int) error {
	native, err := arch.GetInfo("")
	if err != nil {
		return fmt.Errorf("seccomp: %w", err)
	}
	// The conditions first: after the list, no filter could be added.
	if err := loadConditions(conditions(k, starter), 0); err != nil {
		return err
	}
	return load(policy(k, native), 0)
}

// fewest is the number of filters that every fence puts up, at least.
func fewest() int {
	native, err := arch.GetInfo("")
	if err != nil {
		return 1
	}
	n := 1 // the list
	for _, c := range conditions(Analysis, 0) {
		if _, ok := native.SyscallNames[c.name]; ok {
			n++
		}
	}
	return n
}

// lists are those of what a process may call.
func lists(k Kind) []calls {
	if k == Analysis {
		return slices.Concat(both, ofAnalysis)
	}
	return both
}

// policy is the answer to every call by its name. The calls of other architectures that
// the processor knows, under whose numbers a filter would not know them, get the last.
func policy(k Kind, native *arch.Info) seccomp.Policy {
	known := func(names []string) []string { // some are of one architecture alone
		return slices.DeleteFunc(slices.Clone(names), func(n string) bool { _, ok := native.SyscallNames[n]; return !ok })
	}
	p := seccomp.Policy{DefaultAction: seccomp.ActionErrno /* EPERM */, Syscalls: []seccomp.SyscallGroup{
		{Action: seccomp.ActionKillProcess, Names: known(deadly)},
		{Action: errno(unix.ENOSYS), Names: known(absent)},
	}}
	for _, c := range lists(k) {
		p.Syscalls = append(p.Syscalls, seccomp.SyscallGroup{Action: seccomp.ActionAllow, Names: known(c.names)})
	}
	return p
}

// loadConditions loads a filter for each call. The library looks at a call's number
// once and loses it to the arguments, so nothing may follow a condition.
func loadConditions(list []condition, flags seccomp.FilterFlag) error {
	native, err := arch.GetInfo("")
	if err != nil {
		return fmt.Errorf("seccomp: %w", err)
	}
	for _, c := range list {
		if _, ok := native.SyscallNames[c.name]; !ok {
			continue
		}
		group := seccomp.SyscallGroup{Action: errno(unix.EPERM)}
		for _, a := range c.args {
			group.NamesWithCondtions = append(group.NamesWithCondtions, seccomp.NameWithConditions{Name: c.name, Conditions: a})
		}
		if err := load(seccomp.Policy{DefaultAction: seccomp.ActionAllow, Syscalls: []seccomp.SyscallGroup{group}}, flags); err != nil {
			return fmt.Errorf("%s: %w", c.name, err)
		}
	}
	return nil
}

func load(p seccomp.Policy, flags seccomp.FilterFlag) error {
	if err := seccomp.LoadFilter(seccomp.Filter{Flag: flags, Policy: p}); err != nil {
		return fmt.Errorf("seccomp: %w", err)
	}
	return nil
}
