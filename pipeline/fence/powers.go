package fence

import (
	"errors"
	"fmt"

	"golang.org/x/sys/unix"
)

// kept is the power that a superuser's child keeps: to read and write files of others,
// which in a container the clips may be. Which files is Landlock's to say.
var kept = []uintptr{unix.CAP_DAC_OVERRIDE}

// needed are the powers by which a child is given an account of its own and ended.
var needed = append([]uintptr{unix.CAP_SETUID, unix.CAP_SETGID, unix.CAP_KILL}, kept...)

// mayChangeAccount tells whether this process has them.
func mayChangeAccount() bool {
	sets, err := powers()
	if err != nil {
		return false
	}
	for _, p := range needed {
		if sets[p/32].Effective&(1<<(p%32)) == 0 {
			return false
		}
	}
	return mapped()
}

func powers() (sets [2]unix.CapUserData, err error) { // 64 powers in two halves
	head := unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
	err = unix.Capget(&head, &sets[0])
	return sets, err
}

// dropPowers takes the superuser's powers but for the kept from the programs that
// the calling thread starts. With its powers a process of the superuser's would read
// other processes' memory maps and environment past Landlock. An account without
// powers has none to lose.
func dropPowers() error {
	var keep [2]uint32
	for _, p := range kept {
		keep[p/32] |= 1 << (p % 32)
	}
	for power := uintptr(0); power <= unix.CAP_LAST_CAP; power++ {
		if keep[power/32]&(1<<(power%32)) != 0 {
			continue
		}
		err := unix.Prctl(unix.PR_CAPBSET_DROP, power, 0, 0, 0)
		// Not permitted: an account that gains no powers by starting a program
		// either. Invalid: a power that this kernel does not know.
		if err != nil && !errors.Is(err, unix.EPERM) && !errors.Is(err, unix.EINVAL) {
			return fmt.Errorf("drop power %d: %w", power, err)
		}
		if err := unix.Prctl(unix.PR_CAP_AMBIENT, unix.PR_CAP_AMBIENT_LOWER, power, 0, 0); err != nil && !errors.Is(err, unix.EINVAL) {
			return fmt.Errorf("ambient power %d: %w", power, err)
		}
	}
	sets, err := powers()
	if err != nil {
		return fmt.Errorf("powers: %w", err)
	}
	for half := range sets {
		sets[half].Inheritable &= keep[half]
	}
	head := unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
	if err := unix.Capset(&head, &sets[0]); err != nil {
		return fmt.Errorf("powers: %w", err)
	}
	return nil
}
