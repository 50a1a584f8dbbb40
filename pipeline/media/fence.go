package media

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"syscall"
	"time"

	"ashline/pipeline/fence"

	"golang.org/x/sys/unix"
)

// pipeBytes is the size asked for the pipes that carry pictures. With the
// usual 64 KiB a 1080p frame takes 50 switches between the two processes.
const pipeBytes = 1 << 20

// streams are the files a child is given; nil means /dev/null.
type streams struct {
	stdin  *os.File
	stdout *os.File
	extra  *os.File // descriptor 3
	writes bool     // the child writes the file at the path, which is there, and reads no other
}

// child is one running ffmpeg or ffprobe inside its fence.
type child struct {
	cmd     *exec.Cmd
	tail    *tail
	path    string
	limits  Limits
	ctxErr  func() error
	release func() // of the fence
}

// startChild runs tool with args behind a fence: it reads the file at path and the
// system's libraries, and nothing else.
func startChild(ctx context.Context, tool, path string, args []string, l Limits, s streams) (*child, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	c := &child{tail: &tail{}, path: path, limits: l, ctxErr: ctx.Err}
	c.cmd = exec.CommandContext(ctx, tool, args...)
	c.cmd.Env = childEnv()
	c.cmd.Stderr = c.tail
	// A nil *os.File in an interface is not a nil interface.
	if s.stdin != nil {
		c.cmd.Stdin = s.stdin
	}
	if s.stdout != nil {
		c.cmd.Stdout = s.stdout
	}
	if s.extra != nil {
		c.cmd.ExtraFiles = []*os.File{s.extra}
	}
	c.cmd.WaitDelay = 5 * time.Second
	// A group of its own keeps the terminal's interrupt away from the child, so
	// that only the context decides. The children fork nothing, so killing the
	// process is killing the group.
	c.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}

	rules := fence.Rules{Limits: fence.Limits{
		MemoryBytes: l.MemoryBytes, CPUSeconds: l.CPUSeconds, Files: maxFiles, NoFile: !s.writes,
	}}
	if s.writes {
		rules.Write = []string{path}
	} else {
		rules.Read = []string{path}
	}
	var err error
	if c.release, err = fence.Start(c.cmd, rules); err != nil {
		return nil, fmt.Errorf("%w: start %s: %w", ErrChild, tool, err)
	}
	return c, nil
}

// The programs that children are.
const (
	coder  = "ffmpeg"
	prober = "ffprobe"
)

// maxFiles is how many files a child has open at a time: the clip, pipes, a library
// being loaded.
const maxFiles = 64

// Programs are the paths of what children are, as far as they are there.
func Programs() []string {
	var out []string
	for _, name := range []string{coder, prober} {
		if path, err := exec.LookPath(name); err == nil {
			out = append(out, path)
		}
	}
	return out
}

// childEnv is the whole environment of a child. The malloc settings keep freed
// picture buffers in the process; without them the kernel clears the same
// pages again for every frame, which costs over half the running time.
func childEnv() []string {
	env := []string{
		"LC_ALL=C",
		"AV_LOG_FORCE_NOCOLOR=1",
		"MALLOC_TRIM_THRESHOLD_=536870912",
		"MALLOC_MMAP_THRESHOLD_=536870912",
		"MALLOC_TOP_PAD_=67108864",
	}
	for _, name := range []string{"PATH", "LD_LIBRARY_PATH"} {
		if v, ok := os.LookupEnv(name); ok {
			env = append(env, name+"="+v)
		}
	}
	return env
}

// wait waits for the child's own end and says what went wrong, if anything.
// bad is the sentinel for a failure that the file itself explains.
func (c *child) wait(bad error) error {
	err := c.reap()
	if err == nil {
		return nil
	}
	if ctxErr := c.ctxErr(); ctxErr != nil {
		return ctxErr
	}
	why := c.tail.reason(c.path)
	var exit *exec.ExitError
	if !errors.As(err, &exit) {
		return fmt.Errorf("%w: %w", ErrChild, err)
	}
	status, _ := exit.Sys().(syscall.WaitStatus)
	switch {
	case c.tail.has("No space left on device", "Disk quota exceeded"):
		return fmt.Errorf("%w: %s", ErrDiskFull, why)
	case status.Signaled() && c.usedCPU() >= time.Duration(c.limits.CPUSeconds)*time.Second:
		return fmt.Errorf("%w: it needs more than %d s of processor time", ErrTooLarge, c.limits.CPUSeconds)
	case c.tail.overSize(c.limits) != nil:
		return c.tail.overSize(c.limits)
	case c.tail.has("Cannot allocate memory", "get_buffer() failed", "malloc"):
		return fmt.Errorf("%w: it needs more than %d bytes of memory", ErrTooLarge, c.limits.MemoryBytes)
	case status.Signaled() && status.Signal() == syscall.SIGKILL:
		return fmt.Errorf("%w: killed from outside", ErrChild)
	case status.Signaled():
		return fmt.Errorf("%w: the decoder died of %q", bad, status.Signal())
	case why == "":
		return fmt.Errorf("%w: exit status %d", bad, status.ExitStatus())
	}
	return fmt.Errorf("%w: %s", bad, why)
}

func (c *child) usedCPU() time.Duration {
	s := c.cmd.ProcessState
	return s.UserTime() + s.SystemTime()
}

// stop kills the child and waits for it. Its state no longer matters then.
func (c *child) stop() error {
	_ = c.cmd.Process.Kill()
	return c.reap()
}

func (c *child) reap() error {
	defer c.release()
	return c.cmd.Wait()
}

// widePipe returns a pipe that holds whole rows of a large picture. The size is
// a wish: without it the pipe works, only slower.
func widePipe() (r, w *os.File, err error) {
	r, w, err = os.Pipe()
	if err != nil {
		return nil, nil, fmt.Errorf("%w: pipe: %w", ErrChild, err)
	}
	if raw, err := w.SyscallConn(); err == nil {
		_ = raw.Control(func(fd uintptr) {
			_, _ = unix.FcntlInt(fd, unix.F_SETPIPE_SZ, pipeBytes)
		})
	}
	return r, w, nil
}

// inputFence are the arguments in front of -i that keep a hostile file inside:
// one demuxer, no protocol but local files and pipes, bounded pictures.
func inputFence(demuxer string, l Limits) []string {
	return []string{
		"-f", demuxer,
		"-format_whitelist", demuxer,
		"-protocol_whitelist", "file,pipe",
		// Decoders round the size up to whole blocks before they check it.
		"-max_pixels", fmt.Sprint(l.MaxPixels + l.MaxPixels/32 + 65536),
	}
}
