package storm

import (
	"context"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"time"

	"ashline/worker/queue"
	"ashline/worker/store"
)

// The store's own names, for as long as the storm lasts.
const (
	bucket = "storm"
	access = "tester"
	secret = "only-for-this-storm"
)

// startTime bounds how long a server may take to answer.
const startTime = 20 * time.Second

// process is a program that ends with this one.
type process struct {
	cmd  *exec.Cmd
	gone chan struct{} // closed when it has ended
}

func start(cmd *exec.Cmd) (*process, error) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("storm: %w", err)
	}
	p := &process{cmd: cmd, gone: make(chan struct{})}
	go func() {
		defer close(p.gone)
		_ = cmd.Wait()
	}()
	return p, nil
}

// kill ends the process without a warning and waits for its end.
func (p *process) kill() {
	_ = p.cmd.Process.Kill()
	<-p.gone
}

func (p *process) ended() bool {
	select {
	case <-p.gone:
		return true
	default:
		return false
	}
}

// service is a server that can be killed and started again on what it has stored.
type service struct {
	name, url, dir string
	command        func() *exec.Cmd
	ready          func(ctx context.Context) error
	process        *process
}

// start starts the server and waits until it answers.
func (s *service) start(ctx context.Context) (err error) {
	cmd := s.command()
	var said strings.Builder
	cmd.Stdout, cmd.Stderr = &said, &said
	if s.process, err = start(cmd); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, startTime)
	defer cancel()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		err := s.ready(ctx)
		if err == nil {
			return nil
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			s.process.kill() // before what it said is read
			return fmt.Errorf("storm: %s does not answer: %w: %s", s.name, err, strings.TrimSpace(said.String()))
		}
	}
}

func (s *service) restart(ctx context.Context) error {
	s.process.kill()
	return s.start(ctx)
}

// stop ends a server that was started.
func (s *service) stop() {
	if s.process != nil {
		s.process.kill()
	}
}

func newQueue(dir string) (*service, error) {
	port, program, err := place("nats-server")
	if err != nil {
		return nil, err
	}
	s := &service{name: "nats-server", url: "nats://127.0.0.1:" + port, dir: dir}
	s.command = func() *exec.Cmd {
		return exec.Command(program, "-a", "127.0.0.1", "-p", port, "-js", "-sd", dir)
	}
	s.ready = func(ctx context.Context) error {
		q, err := queue.Open(ctx, queue.Config{URL: s.url})
		if err != nil {
			return err
		}
		defer q.Close()
		return q.Setup(ctx) // its streams are loaded when this works
	}
	return s, nil
}

func newStore(dir string) (*service, error) {
	port, program, err := place("versitygw")
	if err != nil {
		return nil, err
	}
	s := &service{name: "versitygw", url: "http://127.0.0.1:" + port, dir: dir}
	s.command = func() *exec.Cmd {
		cmd := exec.Command(program, "--port", "127.0.0.1:"+port, "--quiet", "posix", dir)
		cmd.Env = append(os.Environ(), "ROOT_ACCESS_KEY="+access, "ROOT_SECRET_KEY="+secret)
		return cmd
	}
	s.ready = func(ctx context.Context) error {
		st, err := openStore(s.url)
		if err != nil {
			return err
		}
		defer st.Close()
		return st.EnsureBucket(ctx, bucket)
	}
	return s, nil
}

func openStore(url string) (*store.Store, error) {
	return store.New(store.Config{URL: url, Access: access, Secret: secret})
}

// place gives a server's program and a port of the loopback that nobody listens on.
func place(name string) (port, program string, err error) {
	if program, err = exec.LookPath(name); err != nil {
		return "", "", fmt.Errorf("storm: %w", err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return "", "", fmt.Errorf("storm: %w", err)
	}
	defer l.Close()
	_, port, err = net.SplitHostPort(l.Addr().String())
	return port, program, err
}

// worker starts a worker that appends to a log.
func worker(program, queueURL, storeURL, secretFile, scratch string, log io.Writer) (*process, error) {
	cmd := exec.Command(program, "work", "--queue", queueURL, "--store", storeURL, "--store-access", access,
		"--store-secret-file", secretFile, "--bucket", bucket, "--scratch", scratch)
	cmd.Stderr = log
	return start(cmd)
}
