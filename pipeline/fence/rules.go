package fence

import (
	"os"
	"path/filepath"
	"strings"
)

// Rules say what a process may touch. Paths that do not exist are left out.
type Rules struct {
	// Read are files, and folders with all they hold, that it may read.
	// Defaults to none.
	Read []string
	// Write are folders, with all they hold, in which it may read, write, make
	// and remove, and files that it may write. Defaults to none.
	Write []string
	// Run are programs, and folders of programs and libraries, that it may read
	// and start. System is what most need. Defaults to none.
	Run []string
	// Look lets it read what the kernel tells in /proc and /sys. Processes outside
	// of the fence stay closed. Defaults to false.
	Look bool
}

// System lists where a Linux system keeps programs and libraries, and what
// LD_LIBRARY_PATH and PATH add. A folder's place in them is the operator's word.
func System() []string {
	out := []string{"/usr", "/lib", "/lib32", "/lib64", "/bin"}
	for _, name := range []string{"LD_LIBRARY_PATH", "PATH"} {
		for _, dir := range filepath.SplitList(os.Getenv(name)) {
			// A folder that holds everything would open everything.
			if filepath.IsAbs(dir) && filepath.Clean(dir) != "/" {
				out = append(out, dir)
			}
		}
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

// missing says in words what a kernel with this support cannot hold back.
func (s Support) missing() []string {
	var out []string
	lacks := func(below int, what string) {
		if s.Landlock < below {
			out = append(out, what)
		}
	}
	if s.Landlock == 0 {
		out = append(out, "files outside of the job's folder (Linux 5.13)")
	}
	lacks(3, "cutting files short (Linux 6.2)")
	lacks(5, "control calls to devices (Linux 6.10)")
	lacks(6, "signals to processes outside (Linux 6.12)")
	if !s.Seccomp {
		out = append(out, "the network (seccomp filters)")
	}
	return out
}

// Whole tells whether nothing is missing.
func (s Support) Whole() bool { return len(s.missing()) == 0 }

// String tells the support in a line.
func (s Support) String() string {
	if m := s.missing(); len(m) > 0 {
		return "not held back: " + strings.Join(m, ", ")
	}
	return "whole"
}
