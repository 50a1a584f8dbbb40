// Rogue is what a decoder becomes that a clip has taken over. It tries everything
// that such a program would, by raw system calls, and tells what it could.
//
// Its last argument names the clip, whose end, a line of JSON, says what there is to
// attack: files, sockets and processes of the test's own making. Nothing that it tries
// harms a machine that lets it: calls whose success would be felt are made with
// arguments that fail where they are not refused before, and count as refused only
// when they end the process.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"
)

// target is what the clip says.
type target struct {
	Secret  string // a file outside, in a folder of its own
	Socket  string // path of a UNIX socket that listens
	Port    int    // of a TCP socket that listens on 127.0.0.1
	Victim  int    // a process outside
	Parent  int    // the process that put up the fence
	Bomb    bool   // start processes until one is refused
	Outlive bool   // leave one behind
}

// report is what it says.
type report struct {
	Tried int
	Could []string
	Why   map[string]string // of what it could not
	Left  int               // number of the process that it left behind
}

func main() {
	if len(os.Args) > 2 && os.Args[1] == "one" {
		for _, d := range deadly {
			if d.name == os.Args[2] {
				_ = d.do()
			}
		}
		os.Exit(1)
	}
	if len(os.Args) > 1 && (os.Args[1] == "idle" || os.Args[1] == "parent") {
		idle(os.Args[1])
	}
	clip := strings.TrimPrefix(os.Args[len(os.Args)-1], "file:")
	t, err := read(clip)
	if err != nil {
		fmt.Fprintln(os.Stderr, "rogue:", err)
		os.Exit(1)
	}
	r := report{Why: map[string]string{}}
	note := func(name string, err error) {
		r.Tried++
		if err == nil {
			r.Could = append(r.Could, name)
		} else {
			r.Why[name] = err.Error()
		}
	}
	for _, a := range attempts(clip, t) {
		note(a.name, a.do())
	}
	for _, d := range deadly {
		note(d.name, killed(d.name))
	}
	if t.Outlive {
		r.Left = outlive()
	}
	if t.Bomb {
		note("fork bomb", bomb())
	}
	_ = json.NewEncoder(os.Stdout).Encode(r)
	fmt.Fprintf(os.Stderr, "rogue tried %d, could %q, left %d\n", r.Tried, r.Could, r.Left)
	os.Exit(1)
}

func read(clip string) (t target, err error) {
	fd, err := unix.Open(clip, unix.O_RDONLY, 0)
	if err != nil {
		return t, err
	}
	raw := make([]byte, 64<<10)
	n, err := unix.Read(fd, raw)
	if err != nil {
		return t, err
	}
	_, line, _ := bytes.Cut(raw[:n], []byte("\n"))
	return t, json.Unmarshal(line, &t)
}

// attempt is one try; do returns nil when it could.
type attempt struct {
	name string
	do   func() error
}

func path(p string) uintptr {
	b, _ := unix.BytePtrFromString(p)
	return uintptr(unsafe.Pointer(b))
}

// call makes a system call whose success is a handle that is let go of with undo.
func call(undo, number uintptr, args ...uintptr) error {
	var a [6]uintptr
	copy(a[:], args)
	r, _, errno := unix.Syscall6(number, a[0], a[1], a[2], a[3], a[4], a[5])
	if errno != 0 {
		return errno
	}
	if undo != 0 { // shmctl and its like
		_, _, _ = unix.Syscall(undo, r, unix.IPC_RMID, 0)
		_, _, _ = unix.Syscall(undo, r, 0, unix.IPC_RMID) // semctl
	}
	return nil
}

func open(p string, flags int) error {
	fd, err := unix.Open(p, flags, 0o600)
	if err == nil {
		_ = unix.Close(fd)
	}
	return err
}

func socket(family, kind int) error {
	fd, err := unix.Socket(family, kind, 0)
	if err == nil {
		_ = unix.Close(fd)
	}
	return err
}

func connect(family int, to unix.Sockaddr) error {
	fd, err := unix.Socket(family, unix.SOCK_STREAM, 0)
	if err != nil {
		return err
	}
	defer unix.Close(fd)
	return unix.Connect(fd, to)
}

// own does something to the clip by a descriptor of it.
func own(clip string, do func(fd int) error) error {
	fd, err := unix.Open(clip, unix.O_RDONLY, 0)
	if err != nil {
		return nil // it may read its clip: this must not pass for a refusal
	}
	defer unix.Close(fd)
	return do(fd)
}

func run(program string, args ...string) error {
	pid, err := syscall.ForkExec(program, append([]string{program}, args...), &syscall.ProcAttr{Files: []uintptr{0, 2, 2}})
	if err != nil {
		return err
	}
	var ws syscall.WaitStatus
	if _, err := syscall.Wait4(pid, &ws, 0, nil); err != nil {
		return err
	}
	if ws.ExitStatus() != 0 {
		return fmt.Errorf("it ended with %d", ws)
	}
	return nil
}

func attempts(clip string, t target) []attempt {
	folder, outside := filepath.Dir(clip), filepath.Dir(t.Secret)
	in := func(name string) string { return filepath.Join(folder, name) }
	out := func(name string) string { return filepath.Join(outside, name) }
	proc := func(pid int, name string) string { return fmt.Sprintf("/proc/%d/%s", pid, name) }
	value := []byte("x")
	set := [16]uint64{1}
	var limit unix.Rlimit
	var param int32
	info := [128]byte{}
	queue := path("ashline-rogue")
	return []attempt{
		{"read outside", func() error { return open(t.Secret, unix.O_RDONLY) }},
		{"write outside", func() error { return open(t.Secret, unix.O_WRONLY|unix.O_APPEND) }},
		{"make outside", func() error { return open(out("made"), unix.O_WRONLY|unix.O_CREAT) }},
		{"unnamed file outside", func() error { return open(outside, unix.O_WRONLY|unix.O_TMPFILE) }},
		{"folder outside", func() error { return unix.Mkdir(out("folder"), 0o700) }},
		{"list outside", func() error { return open(outside, unix.O_RDONLY|unix.O_DIRECTORY) }},
		{"list the clip's folder", func() error { return open(folder, unix.O_RDONLY|unix.O_DIRECTORY) }},
		{"list the root", func() error { return open("/", unix.O_RDONLY|unix.O_DIRECTORY) }},
		{"link from outside", func() error { return unix.Link(t.Secret, in("link")) }},
		{"symlink", func() error { return unix.Symlink(t.Secret, in("symlink")) }},
		{"rename the clip", func() error { return unix.Rename(clip, in("renamed")) }},
		{"exchange with outside", func() error {
			return unix.Renameat2(unix.AT_FDCWD, clip, unix.AT_FDCWD, t.Secret, unix.RENAME_EXCHANGE)
		}},
		{"remove the clip", func() error { return unix.Unlink(clip) }},
		{"remove outside", func() error { return unix.Unlink(t.Secret) }},
		{"make beside the clip", func() error { return open(in("made"), unix.O_WRONLY|unix.O_CREAT) }},
		{"write the clip", func() error { return open(clip, unix.O_WRONLY) }},
		{"cut the clip", func() error { return unix.Truncate(clip, 0) }},
		{"cut the clip as a reader", func() error { return open(clip, unix.O_RDONLY|unix.O_TRUNC) }},
		{"cut the clip as nobody", func() error { return open(clip, unix.O_WRONLY|unix.O_RDWR|unix.O_TRUNC) }},
		{"named pipe", func() error { return unix.Mkfifo(in("pipe"), 0o600) }},
		{"device", func() error { return unix.Mknod(in("null"), unix.S_IFCHR|0o600, 1<<8|3) }},
		{"chmod the clip", func() error { return unix.Chmod(clip, 0o644) }},
		{"fchmod the clip", func() error { return own(clip, func(fd int) error { return unix.Fchmod(fd, 0o644) }) }},
		{"chmod outside", func() error { return unix.Chmod(t.Secret, 0o644) }},
		{"chown the clip", func() error { return unix.Lchown(clip, os.Getuid(), os.Getgid()) }},
		{"times of the clip", func() error { return unix.UtimesNano(clip, make([]unix.Timespec, 2)) }},
		{"times outside", func() error { return unix.UtimesNano(t.Secret, make([]unix.Timespec, 2)) }},
		{"attribute of the clip", func() error { return unix.Setxattr(clip, "user.x", value, 0) }},
		{"attribute by descriptor", func() error {
			return own(clip, func(fd int) error { return unix.Fsetxattr(fd, "user.x", value, 0) })
		}},
		{"attribute outside", func() error { return unix.Setxattr(t.Secret, "user.x", value, 0) }},
		{"lock the clip", func() error { return own(clip, func(fd int) error { return unix.Flock(fd, unix.LOCK_EX) }) }},
		{"passwords", func() error { return open("/etc/passwd", unix.O_RDONLY) }},
		{"kernel's log", func() error { return open("/dev/kmsg", unix.O_RDONLY) }},
		{"shared memory's folder", func() error { return open("/dev/shm/ashline-rogue", unix.O_RDWR|unix.O_CREAT) }},
		{"parent's memory", func() error { return open(proc(t.Parent, "mem"), unix.O_RDWR) }},
		{"parent's environment", func() error { return open(proc(t.Parent, "environ"), unix.O_RDONLY) }},
		{"parent's descriptors", func() error { return open(proc(t.Parent, "fd"), unix.O_RDONLY|unix.O_DIRECTORY) }},
		{"victim's folder", func() error { return open(proc(t.Victim, ""), unix.O_RDONLY|unix.O_DIRECTORY) }},
		{"victim's score", func() error { return open(proc(t.Victim, "oom_score_adj"), unix.O_WRONLY) }},
		{"own memory as a file", func() error { return open("/proc/self/mem", unix.O_RDWR) }},
		{"file in memory", func() error { _, err := unix.MemfdCreate("x", 0); return err }},
		{"shell", func() error { return run("/bin/sh", "-c", ":") }},
		{"shell by the loader", func() error { return run("/lib64/ld-linux-x86-64.so.2", "/bin/sh", "-c", ":") }},

		{"tcp socket", func() error { return socket(unix.AF_INET, unix.SOCK_STREAM) }},
		{"tcp6 socket", func() error { return socket(unix.AF_INET6, unix.SOCK_STREAM) }},
		{"udp socket", func() error { return socket(unix.AF_INET, unix.SOCK_DGRAM) }},
		{"unix socket", func() error { return socket(unix.AF_UNIX, unix.SOCK_STREAM) }},
		{"netlink socket", func() error { return socket(unix.AF_NETLINK, unix.SOCK_RAW) }},
		{"packet socket", func() error { return socket(unix.AF_PACKET, unix.SOCK_RAW) }},
		{"vsock socket", func() error { return socket(unix.AF_VSOCK, unix.SOCK_STREAM) }},
		{"pair of sockets", func() error { _, err := unix.Socketpair(unix.AF_UNIX, unix.SOCK_STREAM, 0); return err }},
		{"connect by tcp", func() error {
			return connect(unix.AF_INET, &unix.SockaddrInet4{Port: t.Port, Addr: [4]byte{127, 0, 0, 1}})
		}},
		{"connect by name", func() error { return connect(unix.AF_UNIX, &unix.SockaddrUnix{Name: t.Socket}) }},

		{"look at the victim", func() error { return unix.Kill(t.Victim, 0) }},
		{"look at the parent", func() error { return unix.Kill(t.Parent, 0) }},
		{"signal the victim's thread", func() error { return unix.Tgkill(t.Victim, t.Victim, unix.SIGCONT) }},
		{"signal the parent's thread", func() error { return unix.Tgkill(t.Parent, t.Parent, unix.SIGCONT) }},
		{"signal the victim, urgent", func() error { return unix.Tgkill(t.Victim, t.Victim, unix.SIGURG) }},
		{"signal by thread alone", func() error { return call(0, unix.SYS_TKILL, uintptr(t.Victim), uintptr(unix.SIGCONT)) }},
		{"queued signal", func() error {
			return call(0, unix.SYS_RT_SIGQUEUEINFO, uintptr(t.Victim), uintptr(unix.SIGCONT), uintptr(unsafe.Pointer(&info)))
		}},
		{"handle of the victim", func() error { _, err := unix.PidfdOpen(t.Victim, 0); return err }},
		{"signal by a ready pipe", func() error {
			var p [2]int
			if err := unix.Pipe(p[:]); err != nil {
				return nil
			}
			_, err := unix.FcntlInt(uintptr(p[0]), unix.F_SETOWN, t.Victim)
			return err
		}},
		{"limit the victim", func() error { return unix.Prlimit(t.Victim, unix.RLIMIT_NOFILE, nil, &limit) }},
		{"limit the parent", func() error { return unix.Prlimit(t.Parent, unix.RLIMIT_NOFILE, nil, &limit) }},
		{"victim's priority", func() error { return unix.Setpriority(unix.PRIO_PROCESS, t.Victim, 1) }},
		{"victim's processors", func() error {
			return call(0, unix.SYS_SCHED_SETAFFINITY, uintptr(t.Victim), unsafe.Sizeof(set), uintptr(unsafe.Pointer(&set)))
		}},
		{"victim's scheduler", func() error {
			return call(0, unix.SYS_SCHED_SETSCHEDULER, uintptr(t.Victim), unix.SCHED_BATCH, uintptr(unsafe.Pointer(&param)))
		}},
		{"victim's disk priority", func() error { return call(0, unix.SYS_IOPRIO_SET, 1, uintptr(t.Victim), 2<<13|7) }},
		{"own session", func() error { _, err := unix.Setsid(); return err }},
		{"parent's group", func() error { return unix.Setpgid(0, t.Parent) }},
		{"root", func() error { return call(0, unix.SYS_SETUID, 0) }},
		{"powers", func() error {
			head := unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
			all := [2]unix.CapUserData{{Effective: 1 << unix.CAP_SYS_ADMIN, Permitted: 1 << unix.CAP_SYS_ADMIN}}
			return unix.Capset(&head, &all[0])
		}},
		{"be traced", func() error { return unix.Prctl(unix.PR_SET_PTRACER, unix.PR_SET_PTRACER_ANY, 0, 0, 0) }},
		{"adopt", func() error { return unix.Prctl(unix.PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0) }},
		{"not traced", func() error { return unix.Prctl(unix.PR_SET_DUMPABLE, 0, 0, 0, 0) }},

		{"shared memory", func() error { return call(unix.SYS_SHMCTL, unix.SYS_SHMGET, 0, 4096, 0o600|unix.IPC_CREAT) }},
		{"semaphores", func() error { return call(unix.SYS_SEMCTL, unix.SYS_SEMGET, 0, 1, 0o600|unix.IPC_CREAT) }},
		{"messages", func() error { return call(unix.SYS_MSGCTL, unix.SYS_MSGGET, 0, 0o600|unix.IPC_CREAT) }},
		{"message queue", func() error {
			defer func() { _ = call(0, unix.SYS_MQ_UNLINK, queue) }()
			return call(0, unix.SYS_MQ_OPEN, queue, unix.O_RDWR|unix.O_CREAT, 0o600, 0)
		}},
		{"process in a namespace of users", func() error {
			pid, err := syscall.ForkExec(os.Args[0], []string{os.Args[0], "one", ""}, &syscall.ProcAttr{
				Sys: &syscall.SysProcAttr{Cloneflags: unix.CLONE_NEWUSER},
			})
			if err == nil {
				_, _ = syscall.Wait4(pid, nil, 0, nil)
			}
			return err
		}},
		{"process beside the parent", func() error {
			pid, err := syscall.ForkExec(os.Args[0], []string{os.Args[0], "one", ""}, &syscall.ProcAttr{
				Sys: &syscall.SysProcAttr{Cloneflags: unix.CLONE_PARENT},
			})
			_ = pid
			return err
		}},
		{"clone3", func() error {
			if err := call(0, unix.SYS_CLONE3, 0, 0); err != unix.ENOSYS { //nolint:errorlint // an errno
				return nil
			}
			return unix.ENOSYS
		}},
		{"watch files", func() error { _, err := unix.InotifyInit1(0); return err }},
		{"watch all files", func() error { _, err := unix.FanotifyInit(0, 0); return err }},
		{"asynchronous reading", func() error {
			var ctx uintptr
			return call(0, unix.SYS_IO_SETUP, 1, uintptr(unsafe.Pointer(&ctx)))
		}},
		{"memory over the limit", func() error {
			_, err := unix.Mmap(-1, 0, 64<<30, unix.PROT_NONE, unix.MAP_PRIVATE|unix.MAP_ANONYMOUS|unix.MAP_NORESERVE)
			return err
		}},
	}
}

// deadly are the calls that end the process. Their arguments make them fail anyway.
var deadly = []attempt{
	{"ptrace", func() error { return call(0, unix.SYS_PTRACE, unix.PTRACE_SEIZE, 0, 0, 0) }},
	{"process_vm_readv", func() error { return call(0, unix.SYS_PROCESS_VM_READV, 0, 0, 0, 0, 0, 1) }},
	{"process_vm_writev", func() error { return call(0, unix.SYS_PROCESS_VM_WRITEV, 0, 0, 0, 0, 0, 1) }},
	{"pidfd_getfd", func() error { return call(0, unix.SYS_PIDFD_GETFD, ^uintptr(0), 0, 0) }},
	{"unshare", func() error { return call(0, unix.SYS_UNSHARE, 1) }},
	{"setns", func() error { return call(0, unix.SYS_SETNS, ^uintptr(0), 0) }},
	{"mount", func() error { return call(0, unix.SYS_MOUNT, 0, 0, 0, 0, 0) }},
	{"umount2", func() error { return call(0, unix.SYS_UMOUNT2, 0, 0) }},
	{"pivot_root", func() error { return call(0, unix.SYS_PIVOT_ROOT, 0, 0) }},
	{"chroot", func() error { return call(0, unix.SYS_CHROOT, 0) }},
	{"io_uring_setup", func() error { return call(0, unix.SYS_IO_URING_SETUP, 0, 0) }},
	{"bpf", func() error { return call(0, unix.SYS_BPF, ^uintptr(0), 0, 0) }},
	{"perf_event_open", func() error { return call(0, unix.SYS_PERF_EVENT_OPEN, 0, 0, 0, 0, 0) }},
	{"userfaultfd", func() error { return call(0, unix.SYS_USERFAULTFD, ^uintptr(0)) }},
	{"keyctl", func() error { return call(0, unix.SYS_KEYCTL, ^uintptr(0)) }},
	{"add_key", func() error { return call(0, unix.SYS_ADD_KEY, 0, 0, 0, 0, 0) }},
	{"open_by_handle_at", func() error { return call(0, unix.SYS_OPEN_BY_HANDLE_AT, ^uintptr(0), 0, 0) }},
	{"init_module", func() error { return call(0, unix.SYS_INIT_MODULE, 0, 0, 0) }},
	{"kexec_load", func() error { return call(0, unix.SYS_KEXEC_LOAD, 0, ^uintptr(0), 0, ^uintptr(0)) }},
	{"reboot", func() error { return call(0, unix.SYS_REBOOT, 0, 0, 0, 0) }}, // without its magic numbers
	{"personality", func() error { return call(0, unix.SYS_PERSONALITY, 0xffffffff) }},
	{"swapoff", func() error { return call(0, unix.SYS_SWAPOFF, 0) }},
}

// killed makes a deadly call in a process of its own and tells how that ended it.
func killed(name string) error {
	pid, err := syscall.ForkExec(os.Args[0], []string{os.Args[0], "one", name}, &syscall.ProcAttr{Files: []uintptr{0, 2, 2}})
	if err != nil {
		return nil // it must be tried
	}
	var ws syscall.WaitStatus
	if _, err := syscall.Wait4(pid, &ws, 0, nil); err != nil || !ws.Signaled() || ws.Signal() != unix.SIGSYS {
		return nil
	}
	return fmt.Errorf("killed: %s", ws.Signal())
}

// bomb starts processes that stay, until one is refused.
func bomb() error {
	for range 400 {
		if _, err := syscall.ForkExec(os.Args[0], []string{os.Args[0], "idle"}, &syscall.ProcAttr{}); err != nil {
			return err
		}
	}
	return nil
}

// outlive leaves a process behind whose parent is gone.
func outlive() int {
	var p [2]int
	if unix.Pipe(p[:]) != nil {
		return 0
	}
	pid, err := syscall.ForkExec(os.Args[0], []string{os.Args[0], "parent"}, &syscall.ProcAttr{Files: []uintptr{0, uintptr(p[1])}})
	if err != nil {
		return 0
	}
	_, _ = syscall.Wait4(pid, nil, 0, nil)
	raw := make([]byte, 32)
	n, _ := unix.Read(p[0], raw)
	var left int
	_, _ = fmt.Sscan(string(raw[:max(n, 0)]), &left)
	return left
}

// idle does nothing for longer than a test lasts; parent starts one such and ends.
func idle(how string) {
	_, _ = unix.Setsid()
	if how == "parent" {
		pid, _ := syscall.ForkExec(os.Args[0], []string{os.Args[0], "idle"}, &syscall.ProcAttr{})
		fmt.Println(pid)
		os.Exit(0)
	}
	left := unix.NsecToTimespec(int64(10 * time.Minute))
	for unix.Nanosleep(&left, &left) != nil {
	}
	os.Exit(0)
}
