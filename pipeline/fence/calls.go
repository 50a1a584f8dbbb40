package fence

import (
	"fmt"
	"sync"
	"unsafe"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"github.com/elastic/go-seccomp-bpf/arch"
	"golang.org/x/sys/unix"
)

// Support is what the running kernel can hold back.
type Support struct {
	// Landlock is the version of its interface; 0 where there is none.
	Landlock int
	// Seccomp tells whether system calls can be filtered.
	Seccomp bool
}

// Probe asks the kernel once.
var Probe = sync.OnceValue(func() Support {
	var s Support
	if v, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, 0, 0, unix.LANDLOCK_CREATE_RULESET_VERSION); errno == 0 {
		s.Landlock = int(v)
	}
	s.Seccomp = seccomp.Supported()
	return s
})

// refused are the calls that a fenced process is refused, with "not permitted":
// every way to a socket, Landlock's own gaps with them (it knows TCP alone), and
// ways into the kernel or into other processes that no decoder takes. A socket
// that is handed over would still work; none is.
var refused = []string{
	"socket", "socketpair", "connect", "bind", "listen", "accept", "accept4",
	"io_uring_setup", "io_uring_enter", "io_uring_register",
	"ptrace", "process_vm_readv", "process_vm_writev", "pidfd_getfd",
	"bpf", "perf_event_open", "userfaultfd", "keyctl", "add_key", "request_key",
	"mount", "umount2", "pivot_root", "chroot", "unshare", "setns", "kexec_load",
	"init_module", "finit_module", "delete_module", "open_by_handle_at",
}

// restrictCalls puts the filter on the calling thread.
func restrictCalls() error {
	err := seccomp.LoadFilter(seccomp.Filter{
		NoNewPrivs: true,
		Policy: seccomp.Policy{
			DefaultAction: seccomp.ActionAllow,
			Syscalls: []seccomp.SyscallGroup{{
				// The number of the error goes with the action.
				Action: seccomp.ActionErrno | seccomp.Action(unix.EPERM),
				Names:  refused,
			}},
		},
	})
	if err != nil {
		return fmt.Errorf("seccomp: %w", err)
	}
	return oneArchitecture()
}

// oneArchitecture refuses the calls of other architectures that the processor
// knows, 32-bit ones above all, under whose numbers the filter would not know them.
func oneArchitecture() error {
	native, err := arch.GetInfo("")
	if err != nil {
		return fmt.Errorf("seccomp: %w", err)
	}
	const archOffset = 4 // of the field in struct seccomp_data
	code := []unix.SockFilter{
		{Code: unix.BPF_LD | unix.BPF_W | unix.BPF_ABS, K: archOffset},
		{Code: unix.BPF_JMP | unix.BPF_JEQ | unix.BPF_K, Jt: 1, K: uint32(native.ID)},
		{Code: unix.BPF_RET | unix.BPF_K, K: unix.SECCOMP_RET_ERRNO | uint32(unix.ENOSYS)},
		{Code: unix.BPF_RET | unix.BPF_K, K: unix.SECCOMP_RET_ALLOW},
	}
	prog := unix.SockFprog{Len: uint16(len(code)), Filter: &code[0]}
	if _, _, errno := unix.Syscall(unix.SYS_SECCOMP, unix.SECCOMP_SET_MODE_FILTER, 0, uintptr(unsafe.Pointer(&prog))); errno != 0 {
		return fmt.Errorf("seccomp: %w", errno)
	}
	return nil
}
