package fence

import (
	"errors"
	"fmt"
	"os/exec"
	"runtime"

	"golang.org/x/sys/unix"
)

// ErrFence is a fence that could not be put up though the kernel has what it
// takes. The process is not started then.
var ErrFence = errors.New("fence: cannot be put up")

// Start starts cmd behind the fence. It returns when the process runs or could
// not be started. release must be called once the process is over, and no earlier:
// the thread that started it lives until then, because the kernel sends a
// process its parent's death signal when that thread ends.
//
// Rights are taken from one thread of this process, which starts the child and
// does nothing else ever after; the child inherits the lack of them. So nothing
// has to be done in the child, and no moment is left in which it is free.
func Start(cmd *exec.Cmd, r Rules) (release func(), err error) {
	started, over := make(chan error, 1), make(chan struct{})
	go onOwnThread(func() {
		if err := confine(r); err != nil {
			started <- fmt.Errorf("%w: %w", ErrFence, err)
			return
		}
		err := cmd.Start()
		started <- err
		if err == nil {
			<-over
		}
	})
	if err := <-started; err != nil {
		return func() {}, err
	}
	return func() { close(over) }, nil
}

// onOwnThread runs f on a thread that ends with it. The process's first thread
// cannot end, and it stands for the whole process when a child asks for that.
func onOwnThread(f func()) {
	runtime.LockOSThread()
	if unix.Gettid() != unix.Getpid() {
		f() // never unlocked: the runtime ends the thread with this goroutine
		return
	}
	elsewhere := make(chan struct{})
	go func() {
		runtime.LockOSThread()
		close(elsewhere)
		f()
	}()
	<-elsewhere // the first thread is held until the other goroutine has one
	runtime.UnlockOSThread()
}

// confine takes the rights from the calling thread, for good.
func confine(r Rules) error {
	s := Probe()
	if s.Landlock == 0 && !s.Seccomp {
		return nil
	}
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return fmt.Errorf("no new privileges: %w", err)
	}
	if err := dropPowers(); err != nil {
		return err
	}
	if s.Landlock > 0 {
		if err := restrictFiles(r, s.Landlock); err != nil {
			return err
		}
	}
	if s.Seccomp {
		return restrictCalls()
	}
	return nil
}
