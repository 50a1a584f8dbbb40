package fence

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"sync"
	"syscall"

	"golang.org/x/sys/unix"
)

// ErrFence is a fence that could not be put up though the kernel has what it
// takes. The process is not started then.
var ErrFence = errors.New("fence: cannot be put up")

// Start starts cmd behind the fence. It returns when the process runs or could
// not be started. release must be called once the process is over, and no earlier:
// the thread that started it lives until then, because the kernel sends a
// process its parent's death signal when that thread ends. It ends what the process
// has left behind.
//
// Rights are taken from one thread of this process, which starts the child and
// does nothing else ever after; the child inherits the lack of them. So nothing
// has to be done in the child, and no moment is left in which it is free.
func Start(cmd *exec.Cmd, r Rules) (release func(), err error) {
	giveBack, err := prepare(cmd, &r)
	if err != nil {
		return func() {}, fmt.Errorf("%w: %w", ErrFence, err)
	}
	started, over := make(chan error, 1), make(chan struct{})
	go onOwnThread(func() {
		err := enter(cmd)
		if err == nil {
			err = confine(r)
		}
		if err != nil {
			err = fmt.Errorf("%w: %w", ErrFence, err)
		} else {
			err = begin(cmd)
		}
		started <- err
		if err == nil {
			<-over
		}
	})
	if err := <-started; err != nil {
		giveBack()
		return func() {}, err
	}
	return func() {
		close(over)
		end(cmd)
		giveBack()
	}, nil
}

// prepare gives cmd an account of its own, where this process may, its limits and, if
// it puts up fences itself, the sign of it. r learns what is started.
func prepare(cmd *exec.Cmd, r *Rules) (giveBack func(), err error) {
	giveBack = func() {}
	if err := adopt(); err != nil {
		return giveBack, err
	}
	if cmd.Path == "/proc/self/exe" { // the limiter, which starts the program, would start itself
		exe, err := os.Executable()
		if err != nil {
			return giveBack, err
		}
		cmd.Path = exe
	}
	if _, err := exec.LookPath(cmd.Path); err != nil {
		return giveBack, err
	}
	own := Probe().Account && !sealed.Load()
	program := cmd.Path
	if err := limit(cmd, r.Limits, own); err != nil {
		return giveBack, err
	}
	r.Run = append([]string{program, cmd.Path}, r.Run...)
	cmd.Env = cmd.Environ()
	if r.Kind == Analysis {
		cmd.Env = append(cmd.Env, sign+"=1")
	}
	if !own {
		return giveBack, nil
	}
	id, giveBack, err := takeAccount()
	if cmd.SysProcAttr == nil {
		cmd.SysProcAttr = &syscall.SysProcAttr{}
	}
	cmd.SysProcAttr.Credential = &syscall.Credential{Uid: id, Gid: id}
	cmd.SysProcAttr.AmbientCaps = kept
	return giveBack, err
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

// enter takes the calling thread, and it alone, to cmd's folder: with an account of its
// own the child might not get there.
func enter(cmd *exec.Cmd) error {
	if cmd.Dir == "" {
		return nil
	}
	if err := unix.Unshare(unix.CLONE_FS); err != nil {
		return err
	}
	defer func() { cmd.Dir = "" }()
	return unix.Chdir(cmd.Dir)
}

// adopt makes this process the one that what loses its parent below it goes to. The
// first process that starts a child asks the runtime how processes are handled, and
// that asks the kernel for what the fence refuses: so it is asked before.
var adopt = sync.OnceValue(func() error {
	if p, err := os.FindProcess(os.Getpid()); err == nil {
		_ = p.Release()
	}
	return unix.Prctl(unix.PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)
})

// begin starts cmd and notes it, end forgets it and ends what it left behind.
func begin(cmd *exec.Cmd) error {
	coming.RLock()
	defer coming.RUnlock()
	err := cmd.Start()
	if err == nil {
		underWay.Store(cmd.Process.Pid, true)
	}
	return err
}

func end(cmd *exec.Cmd) {
	underWay.Delete(cmd.Process.Pid)
	if !sealed.Load() { // else the process above sees to it
		endStrays()
	}
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
		return restrictCalls(r.Kind, os.Getpid())
	}
	return nil
}
