package fence

import (
	"fmt"
	"os"
	"sync/atomic"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"golang.org/x/sys/unix"
)

// sign is the variable by which a child knows that it is behind the fence of an Analysis.
const sign = "ASHLINE_FENCED"

// sealed tells that this process is one.
var sealed atomic.Bool

// Seal takes from this process, if it is behind the fence of an Analysis, what only it
// can take, for its own number was not known when the fence was put up: to signal any
// process but itself and the children that it starts. A program that may be started
// as an Analysis calls it before all else; otherwise it does nothing.
func Seal() error {
	if os.Getenv(sign) == "" {
		return nil
	}
	sealed.Store(true)
	if !Probe().Seccomp {
		return nil
	}
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return fmt.Errorf("%w: %w", ErrFence, err)
	}
	if err := loadConditions(ownOnly(unix.Getpid()), seccomp.FilterFlagTSync); err != nil {
		return fmt.Errorf("%w: %w", ErrFence, err)
	}
	return nil
}
