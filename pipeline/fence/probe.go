package fence

import (
	"os"
	"sync"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"golang.org/x/sys/unix"
)

// Probe asks the kernel once.
var Probe = sync.OnceValue(func() Support {
	s := Support{Superuser: os.Geteuid() == 0, Account: mayChangeAccount()}
	if v, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, 0, 0, unix.LANDLOCK_CREATE_RULESET_VERSION); errno == 0 {
		s.Landlock = int(v)
	}
	s.Seccomp = seccomp.Supported()
	return s
})
