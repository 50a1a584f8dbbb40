package fence

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"sync"

	"golang.org/x/sys/unix"
)

// limiter sets limits to itself and becomes another program; part of util-linux. Limits
// set here before the fork would touch this process, and those of another process may
// be set neither by one that is fenced in itself nor across accounts.
const limiter = "prlimit"

// Limits bound what a process may use. What is 0 stays as this process has it.
type Limits struct {
	MemoryBytes uint64 // address space
	CPUSeconds  uint64 // processor time. Hard and soft: ffmpeg takes the soft limit's signal for a wish to end well.
	Files       uint64 // open at a time
	NoFile      bool   // it cannot make a file longer
}

const (
	// ownTasks is how many processes and threads an account may have that is a
	// child's own: an analysis with its decoders has some 40.
	ownTasks = 256
	// moreTasks is how many more there may be of an account that is not.
	moreTasks = 2048
)

// limit has cmd run through the limiter. No process leaves its memory, and with it the
// pictures of a person, in a file.
func limit(cmd *exec.Cmd, l Limits, ownAccount bool) error {
	path, err := exec.LookPath(limiter)
	if err != nil {
		return err
	}
	args := []string{limiter, "--core=0"}
	for _, o := range []struct {
		name  string
		value uint64
	}{{"as", l.MemoryBytes}, {"cpu", l.CPUSeconds}, {"nofile", l.Files}, {"nproc", tasks(ownAccount)}} {
		if o.value > 0 {
			args = append(args, fmt.Sprintf("--%s=%d", o.name, o.value))
		}
	}
	if l.NoFile {
		args = append(args, "--fsize=0")
	}
	cmd.Args = slices.Concat(args, []string{"--", cmd.Path}, cmd.Args[1:])
	cmd.Path = path
	return nil
}

// tasks is how many processes and threads a child's account may have; 0 where the
// limit is inherited.
func tasks(own bool) uint64 {
	most := uint64(ownTasks)
	if sealed.Load() {
		return 0
	}
	if !own {
		most = uint64(living() + moreTasks)
	}
	var now unix.Rlimit
	if err := unix.Getrlimit(unix.RLIMIT_NPROC, &now); err == nil {
		most = min(most, now.Max)
	}
	return most
}

// living counts the processes and threads of this process's account.
var living = sync.OnceValue(func() int {
	n := 0
	found, _ := filepath.Glob("/proc/[0-9]*")
	for _, p := range found {
		if pid, err := strconv.Atoi(filepath.Base(p)); err == nil && said(pid, "Uid:") == os.Getuid() {
			n += said(pid, "Threads:")
		}
	}
	return n
})
