package worker

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"ashline/metrics"
	"ashline/pipeline/fence"
	"ashline/pipeline/media"
	"ashline/worker/job"
)

// Child runs an analysis as a child process, so that a clip that brings the
// native code down brings down nothing else. The child leads its own process
// group, dies with this process, and is fenced in: it reads the clip's folder, the
// cards and the files that the environment names, writes Out and Scratch, and has
// no network.
type Child struct {
	Program string        // absolute path
	Args    []string      // before the task's own arguments. Defaults to "measure".
	Env     []string      // added to the few variables a child is given
	Stall   time.Duration // a child without progress for so long is killed. Defaults to 2 min.
	Limit   time.Duration // a child that runs for so long is killed. Defaults to 30 min.
	Memory  int64         // bytes that the child and its decoders may keep in memory, together. Defaults to 2 GiB.
	Started func(pid int) // told of each child. Defaults to nobody.
	Log     io.Writer     // gets the child's standard error as well; nil: nothing

	// PartialFence has the child go on where the fence is not whole. Defaults to false.
	PartialFence bool
}

var _ Analyst = (*Child)(nil)

const (
	defaultStall = 2 * time.Minute
	defaultLimit = 30 * time.Minute
	maxStepLine  = 4 << 10
	pipeWait     = 5 * time.Second // for output of a child that is gone
)

// Why a child is killed. One that stalls may have done so for want of processor
// or disk; the other limits are far from what a clip of this size needs. Cards are
// small: what keeps them from being read within their time is the machine.
var (
	errStalled  = fmt.Errorf("%w: the analysis made no progress", job.ErrTransient)
	errTooLong  = fmt.Errorf("%w: the clip takes too long to measure", job.ErrBadInput)
	errTooMuch  = fmt.Errorf("%w: the clip takes too much memory to measure", job.ErrBadInput)
	errCardTime = fmt.Errorf("%w: the cards were not read in time", job.ErrTransient)
	errCardSize = fmt.Errorf("%w: the cards take too much memory to read", job.ErrBadInput)
)

const (
	cardTime   = 30 * time.Second // to start a program and read four small files
	cardMemory = 512 << 20        // bytes; the program itself takes 100 MiB
	answerSize = 1 << 20          // bytes of merged cards
)

// Cards has a child read and merge a task's cards.
func (c *Child) Cards(ctx context.Context, t Task) (metrics.Card, error) {
	var merged metrics.Card
	answer := &limited{left: answerSize}
	err := c.run(ctx, t, errand{
		args: append([]string{"card", "--verdict-fd", "4"}, t.Cards...), answer: answer,
		stall: cardTime, limit: cardTime, memory: cardMemory,
		stalled: errCardTime, late: errCardTime, large: errCardSize,
	})
	if err != nil {
		return merged, err
	}
	if err := json.Unmarshal(answer.Bytes(), &merged); err != nil {
		return merged, fmt.Errorf("worker: the child's cards: %w", err)
	}
	return merged, nil
}

// Analyse has a child measure a clip.
func (c *Child) Analyse(ctx context.Context, t Task, step func(Step)) error {
	return c.run(ctx, t, errand{
		args: c.args(t), step: step,
		stall: orDefault(c.Stall, defaultStall), limit: orDefault(c.Limit, defaultLimit), memory: orDefault(c.Memory, defaultMemory),
		stalled: errStalled, late: errTooLong, large: errTooMuch,
	})
}

// errand is what a child is started for.
type errand struct {
	args         []string
	answer       io.Writer  // gets its standard output; nil: nobody
	step         func(Step) // nil: nobody
	stall, limit time.Duration
	memory       int64 // bytes

	stalled, late, large error // why it is killed
}

// run starts a child and sees it to its end.
func (c *Child) run(parent context.Context, t Task, e errand) error {
	ctx, cancel := context.WithCancelCause(parent)
	defer cancel(nil)
	watchdog := time.AfterFunc(e.stall, func() { cancel(e.stalled) })
	defer watchdog.Stop()
	limit := time.AfterFunc(e.limit, func() { cancel(e.late) })
	defer limit.Stop()

	steps, stepsIn, err := os.Pipe()
	if err != nil {
		return fmt.Errorf("%w: %w", job.ErrTransient, err)
	}
	defer steps.Close()
	verdict, verdictIn, err := os.Pipe()
	if err != nil {
		stepsIn.Close()
		return fmt.Errorf("%w: %w", job.ErrTransient, err)
	}
	defer verdict.Close()
	cmd := exec.CommandContext(ctx, c.Program, e.args...)
	stderr := &excerpt{also: c.Log}
	cmd.Stderr = stderr
	if e.answer != nil {
		cmd.Stdout = e.answer
	}
	cmd.Dir, cmd.Env = t.Scratch, append(append(childEnv(t.Scratch), heapLimit(e.memory)), c.Env...)
	cmd.ExtraFiles = []*os.File{stepsIn, verdictIn} // descriptors 3 and 4 in the child
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
	cmd.Cancel = func() error { return killGroup(cmd) }
	cmd.WaitDelay = pipeWait

	release, err := fence.Start(cmd, c.rules(t, cmd.Env))
	stepsIn.Close()
	verdictIn.Close()
	if err != nil {
		return fmt.Errorf("%w: start: %w", job.ErrTransient, err)
	}
	defer release()
	if c.Started != nil {
		c.Started(cmd.Process.Pid)
	}
	weighed := make(chan struct{})
	go func() {
		defer close(weighed)
		weigh(ctx, cmd.Process.Pid, e.memory, func() { cancel(e.large) })
	}()
	read := make(chan struct{})
	go func() {
		defer close(read)
		readSteps(steps, func(s Step) {
			if e.step != nil {
				watchdog.Reset(e.stall)
				e.step(s)
			}
		})
	}()
	said := make(chan Verdict, 1)
	go func() { said <- readVerdict(verdict) }()
	err = cmd.Wait()
	_ = killGroup(cmd) // what the child itself has left behind
	// The cause is taken before this function itself cancels.
	cause := context.Cause(ctx)
	cancel(nil)
	<-weighed
	for _, pipe := range []*os.File{steps, verdict} {
		_ = pipe.SetReadDeadline(time.Now().Add(pipeWait))
	}
	<-read
	v := <-said
	if cause != nil && err != nil {
		return cause
	}
	return outcome(err, v, stderr.line())
}

// rules is what the child may touch.
func (c *Child) rules(t Task, env []string) fence.Rules {
	r := fence.Rules{
		Kind:  fence.Analysis,
		Read:  append([]string{filepath.Dir(t.Clip)}, t.Cards...),
		Write: []string{t.Out, t.Scratch},
		Run:   media.Programs(),
	}
	for _, v := range env {
		name, value, _ := strings.Cut(v, "=")
		switch {
		case slices.Contains(toRead, name):
			r.Read = append(r.Read, value)
		case name == "GOCOVERDIR":
			r.Write = append(r.Write, value)
		}
	}
	return r
}

func orDefault[T comparable](v, def T) T {
	var zero T
	if v == zero {
		return def
	}
	return v
}

func (c *Child) args(t Task) []string {
	args := append([]string{}, c.Args...)
	if len(args) == 0 {
		args = []string{"measure"}
	}
	if c.PartialFence {
		args = append(args, "--allow-partial-fence")
	}
	args = append(args, t.Clip)
	for _, k := range t.Cards {
		args = append(args, "--card", k)
	}
	for _, p := range t.Products {
		args = append(args, "--product", p)
	}
	return append(args, "--out", t.Out, "--json", "--progress-fd", "3", "--verdict-fd", "4")
}

// toRead names the variables that name files and folders for the child to read.
var toRead = []string{poseVar, rulesVar, wordsVar}

// heapLimit has the child's runtime collect garbage harder before the memory that
// it may take is full; OpenCV's and the decoder's share is not the runtime's.
func heapLimit(memory int64) string { return fmt.Sprintf("GOMEMLIMIT=%d", memory/2) }

// childEnv is all a child needs; credentials are not among it.
func childEnv(scratch string) []string {
	env := []string{"TMPDIR=" + scratch}
	for _, k := range []string{"PATH", "HOME", "LANG", "LC_ALL", "TZ", "LD_LIBRARY_PATH", "GOCOVERDIR"} {
		if v, ok := os.LookupEnv(k); ok {
			env = append(env, k+"="+v)
		}
	}
	for _, k := range toRead {
		// The child works in another folder.
		if v, err := filepath.Abs(os.Getenv(k)); err == nil && os.Getenv(k) != "" {
			env = append(env, k+"="+v)
		}
	}
	return env
}

// limited keeps what is written, up to a limit; a child that writes more fails at it.
type limited struct {
	bytes.Buffer
	left int
}

func (l *limited) Write(p []byte) (int, error) {
	if l.left -= len(p); l.left < 0 {
		return 0, io.ErrShortWrite
	}
	return l.Buffer.Write(p)
}

func killGroup(cmd *exec.Cmd) error {
	err := syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
	if errors.Is(err, syscall.ESRCH) {
		return os.ErrProcessDone
	}
	return err
}

func readSteps(r io.Reader, step func(Step)) {
	sc := bufio.NewScanner(r)
	sc.Buffer(make([]byte, 0, maxStepLine), maxStepLine)
	for sc.Scan() {
		var s Step
		if json.Unmarshal(sc.Bytes(), &s) == nil && job.ValidID(s.Stage) {
			step(s)
		}
	}
	_, _ = io.Copy(io.Discard, r) // a child must not block on a line too long for us
}
