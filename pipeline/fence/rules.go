package fence

import (
	"os"
	"path/filepath"
	"strings"
)

// Kind is what a process is for, which says what calls it may make.
type Kind int

const (
	// Decoder reads or writes one video and starts nothing.
	Decoder Kind = iota
	// Analysis is this program as it measures one clip: it starts decoders behind
	// fences of their own, and reads what the kernel tells in /proc and /sys. It
	// calls Seal before it reads a byte of the clip.
	Analysis
)

// Rules say what a process may touch. Paths that do not exist are left out.
type Rules struct {
	// Kind is what the process is for. Defaults to Decoder.
	Kind Kind
	// Read are files, and folders with all they hold, that it may read.
	// Defaults to none.
	Read []string
	// Write are folders, with all they hold, in which it may read, write, make
	// and remove, and files that it may write. Defaults to none.
	Write []string
	// Run are the programs that it may start besides its own, by their whole paths. The
	// libraries of the system it may read anyway. Defaults to none.
	Run []string
	// Limits bound what it may use.
	Limits Limits
}

// libraries lists where a Linux system keeps what programs are linked with and read,
// and what LD_LIBRARY_PATH adds. A folder's place in it is the operator's word.
func libraries() []string {
	out := []string{"/usr/lib", "/usr/lib32", "/usr/lib64", "/usr/local/lib", "/usr/share", "/lib", "/lib32", "/lib64"}
	for _, dir := range filepath.SplitList(os.Getenv("LD_LIBRARY_PATH")) {
		// A folder that holds everything would open everything.
		if filepath.IsAbs(dir) && filepath.Clean(dir) != "/" {
			out = append(out, dir)
		}
	}
	return out
}

// loaders lists the loaders of the C libraries, which the kernel starts before a
// program that is linked with one.
func loaders() []string {
	var out []string
	for _, pattern := range []string{"/lib/ld-*", "/lib64/ld-*", "/lib/*/ld-*", "/lib/ld64*"} {
		found, _ := filepath.Glob(pattern)
		out = append(out, found...)
	}
	return out
}

// settings are the few files of /etc that a loader and a C library read, and the
// fonts' and certificates' are not among them.
var settings = []string{
	"/etc/ld.so.cache", "/etc/ld.so.conf", "/etc/ld.so.conf.d", "/etc/ld.so.preload",
	"/etc/localtime", "/etc/OpenCL", "/etc/alternatives",
	"/dev/urandom", "/dev/random", "/dev/zero",
}

// Support is what the running kernel, and this process's rights, can hold back.
type Support struct {
	// Landlock is the version of its interface; 0 where there is none.
	Landlock int
	// Seccomp tells whether system calls can be filtered.
	Seccomp bool
	// Account tells whether a child can be given an account of its own.
	Account bool
	// Superuser tells whether this process is one.
	Superuser bool
}

// enough is the version of Landlock from which on the calls' list makes up for what
// it lacks: Linux 5.19, and so 6.1 of Debian 12.
const enough = 2

// missing says in words what cannot be held back.
func (s Support) missing() []string {
	var out []string
	if s.Landlock < enough {
		out = append(out, "files outside of the job's folder (Landlock of Linux 5.19 or newer)")
	}
	if !s.Seccomp {
		out = append(out, "system calls: the network, signals, limits and memory of other processes (seccomp filters)")
	}
	if s.Superuser && !s.Account {
		out = append(out, "the superuser's own files and number of processes (powers to change the account, or an ordinary account to begin with)")
	}
	return out
}

// Whole tells whether nothing is missing.
func (s Support) Whole() bool { return len(s.missing()) == 0 }

// String tells the support in a line.
func (s Support) String() string {
	if m := s.missing(); len(m) > 0 {
		return "not held back: " + strings.Join(m, "; ")
	}
	return "whole"
}
