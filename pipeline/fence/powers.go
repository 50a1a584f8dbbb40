package fence

import (
	"errors"
	"fmt"

	"golang.org/x/sys/unix"
)

// dropPowers takes the superuser's powers from the programs that the calling
// thread starts, all but reading and writing files of others: in a container the
// clips may belong to anybody. With its powers a process of the superuser's would
// read other processes' memory maps and environment past Landlock. An account
// without powers has none to lose.
func dropPowers() error {
	for power := 0; power <= unix.CAP_LAST_CAP; power++ {
		if power == unix.CAP_DAC_OVERRIDE || power == unix.CAP_DAC_READ_SEARCH {
			continue
		}
		err := unix.Prctl(unix.PR_CAPBSET_DROP, uintptr(power), 0, 0, 0)
		// Not permitted: an account that gains no powers by starting a program
		// either. Invalid: a power that this kernel does not know.
		if err != nil && !errors.Is(err, unix.EPERM) && !errors.Is(err, unix.EINVAL) {
			return fmt.Errorf("drop power %d: %w", power, err)
		}
	}
	if err := unix.Prctl(unix.PR_CAP_AMBIENT, unix.PR_CAP_AMBIENT_CLEAR_ALL, 0, 0, 0); err != nil && !errors.Is(err, unix.EINVAL) {
		return fmt.Errorf("ambient powers: %w", err)
	}
	head := unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
	var sets [2]unix.CapUserData // 64 powers in two halves
	if err := unix.Capget(&head, &sets[0]); err != nil {
		return fmt.Errorf("powers: %w", err)
	}
	sets[0].Inheritable, sets[1].Inheritable = 0, 0
	if err := unix.Capset(&head, &sets[0]); err != nil {
		return fmt.Errorf("powers: %w", err)
	}
	return nil
}
