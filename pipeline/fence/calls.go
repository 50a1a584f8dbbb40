package fence

import "golang.org/x/sys/unix"

// The calls that a fenced process may make. Everything else answers "not
// permitted". The lists were found by recording, with strace, decoders of every kind
// of clip that the tests have, encoders, and whole measurements with all products, on
// Debian 12 (glibc 2.36, ffmpeg 5.1, OpenCV 4.6, Go 1.26); calls by which other
// versions of these do the same are beside them.

// both is what decoder and analysis need alike.
var both = []calls{
	{"memory of its own", []string{
		"brk", "mmap", "munmap", "mprotect", "mremap", "madvise", "mlock", "munlock", "mincore", "membarrier",
		"get_mempolicy", "set_mempolicy",
	}},
	{"threads, and the processor's time", []string{
		"clone", "set_tid_address", "set_robust_list", "rseq", "arch_prctl", "futex", "gettid", "getcpu",
		"sched_yield", "sched_getaffinity", "sched_setaffinity", "getpriority", "setpriority",
		"nanosleep", "clock_nanosleep", "restart_syscall", "exit", "exit_group",
	}},
	{"its own signals", []string{"rt_sigaction", "rt_sigprocmask", "rt_sigreturn", "sigaltstack", "tgkill"}},
	{"files: which of them is Landlock's to say", []string{
		"open", "openat", "close", "close_range", "read", "readv", "pread64", "write", "writev", "pwrite64", "lseek",
		"stat", "lstat", "fstat", "newfstatat", "statx", "statfs", "fstatfs", "access", "faccessat", "faccessat2",
		"readlink", "readlinkat", "getdents64", "getcwd", "fadvise64", "fsync", "fcntl", "ioctl", "umask",
	}},
	{"pipes that it was given, and waiting on them", []string{
		"dup", "dup2", "dup3", "pipe", "pipe2", "poll", "ppoll", "select", "pselect6",
	}},
	{"clocks, randomness, who and where it is", []string{
		"clock_gettime", "clock_getres", "gettimeofday", "time", "times", "getrusage", "getrandom", "uname", "sysinfo",
		"getpid", "getppid", "getpgrp", "getuid", "geteuid", "getgid", "getegid", "getgroups", "getresuid", "getresgid",
		"getrlimit", "setrlimit", "prlimit64", "prctl", "capget",
	}},
	{"Go's poller: the thread that starts a process stands behind its fence, and Go's runtime polls on any thread", []string{
		"epoll_create1", "epoll_ctl", "epoll_wait", "epoll_pwait", "epoll_pwait2", "eventfd2",
	}},
	{"how it is started, since the fence stands before that: own group and account, no right to more than it has, its program", []string{
		"setpgid", "chdir", "setgroups", "setgid", "setuid", "capset", "execve", "wait4", "waitid",
	}},
}

// ofAnalysis is what the analysis needs besides.
var ofAnalysis = []calls{
	{"its results", []string{"mkdir", "mkdirat", "unlink", "unlinkat", "rmdir", "rename", "renameat", "renameat2"}},
	{"decoders, which it fences in further and ends; a descriptor of a process is its own child's or its own", []string{
		"landlock_create_ruleset", "landlock_add_rule", "landlock_restrict_self", "seccomp",
		"pidfd_open", "pidfd_send_signal",
	}},
}

// absent are calls that the C library does without when it is told that the
// kernel does not have them. Their arguments lie where a filter cannot look.
var absent = []string{"clone3", "openat2"}

// deadly are calls that nothing here makes unless a stranger does: they end it.
var deadly = []string{
	"ptrace", "process_vm_readv", "process_vm_writev", "process_madvise", "pidfd_getfd", "kcmp",
	"unshare", "setns", "mount", "umount2", "pivot_root", "chroot", "open_tree", "move_mount", "fsopen", "fsmount", "mount_setattr",
	"io_uring_setup", "io_uring_enter", "io_uring_register", "bpf", "perf_event_open", "userfaultfd",
	"keyctl", "add_key", "request_key", "open_by_handle_at", "name_to_handle_at",
	"init_module", "finit_module", "delete_module", "kexec_load", "kexec_file_load", "reboot",
	"swapon", "swapoff", "iopl", "ioperm", "acct", "quotactl", "syslog", "settimeofday", "clock_settime", "adjtimex", "clock_adjtime",
	"sethostname", "setdomainname", "personality",
}

// calls are system calls with the reason for which they are needed.
type calls struct {
	why   string
	names []string
}

const (
	namespaces = unix.CLONE_NEWNS | unix.CLONE_NEWCGROUP | unix.CLONE_NEWUTS | unix.CLONE_NEWIPC |
		unix.CLONE_NEWUSER | unix.CLONE_NEWPID | unix.CLONE_NEWNET | unix.CLONE_NEWTIME

	prSetVMA = 0x53564d41 // names memory; linux/prctl.h
)

// conditions says which arguments of the calls above are refused. starter is the
// process that puts the fence up.
func conditions(k Kind, starter int) []condition {
	// Nothing is set for others, and no process is bound to another's parent.
	list := []condition{
		{"prlimit64", refuse(unless(0, 0))},
		{"sched_setaffinity", refuse(unless(0, 0))},
		{"setpriority", refuse(unless(0, unix.PRIO_PROCESS), unless(1, 0))},
		{"setpgid", refuse(unless(0, 0), unless(1, 0))},
		{"clone", refuse(has(0, namespaces|unix.CLONE_PARENT|unix.CLONE_PTRACE),
			// A process is only made as Go makes one: its maker waits until it runs a program.
			lacks(0, unix.CLONE_THREAD|unix.CLONE_VFORK))},
		{"ioctl", refuse(unless(1, unix.TCGETS, unix.TIOCGWINSZ))},
		// Not who gets which signal when a file is ready: that reaches any process.
		{"fcntl", refuse(unless(1, unix.F_DUPFD, unix.F_GETFD, unix.F_SETFD, unix.F_GETFL, unix.F_SETFL,
			unix.F_DUPFD_CLOEXEC, unix.F_SETPIPE_SZ, unix.F_GETPIPE_SZ))},
		// To cut a file short takes the right to write it; before its third version
		// Landlock does not ask for it.
		{"open", uncut(1)},
		{"openat", uncut(2)},
	}
	options := []uint64{
		unix.PR_SET_NAME, unix.PR_GET_NAME, unix.PR_SET_PDEATHSIG, unix.PR_CAPBSET_READ, prSetVMA,
		unix.PR_SET_KEEPCAPS, unix.PR_CAP_AMBIENT,
	}
	if k == Analysis {
		options = append(options, unix.PR_SET_NO_NEW_PRIVS, unix.PR_CAPBSET_DROP, unix.PR_SET_CHILD_SUBREAPER)
	} else {
		// The thread that starts the decoder is still one of its own process, whose
		// runtime asks the other threads to pause.
		list = append(list, condition{"tgkill", refuse(unless(0, uint64(starter)), unless(2, uint64(unix.SIGURG)))})
	}
	return append(list, condition{"prctl", refuse(unless(0, options...))})
}

// ownOnly refuses what reaches any process but the one that has the number.
func ownOnly(pid int) []condition {
	return []condition{
		{"tgkill", refuse(unless(0, uint64(pid)))},
		{"pidfd_open", refuse(unless(0, uint64(pid)))},
	}
}

// uncut refuses to open a file cut short without the right to write it, and with
// neither right.
func uncut(flags uint32) []arguments {
	return []arguments{
		append(has(flags, unix.O_TRUNC), lacks(flags, unix.O_WRONLY|unix.O_RDWR)...),
		append(has(flags, unix.O_WRONLY), has(flags, unix.O_RDWR)...),
	}
}
