package conform

import (
	"context"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// StartTime bounds how long a test waits for a server to answer.
const StartTime = 20 * time.Second

// Program finds a server's program; without it the test is skipped, or fails
// where servers are required.
func Program(t *testing.T, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("ASHLINE_REQUIRE_SERVERS") == "1" {
			t.Fatalf("%s is not on PATH, and ASHLINE_REQUIRE_SERVERS=1", name)
		}
		t.Skipf("%s is not on PATH; set ASHLINE_REQUIRE_SERVERS=1 to make this an error", name)
	}
	return p
}

// Process starts a program that ends with this one, and returns what kills it and
// waits; the test's end does so, too. What it says is logged when the test fails,
// unless the caller reads it.
func Process(t *testing.T, cmd *exec.Cmd) (stop func()) {
	t.Helper()
	var out strings.Builder
	if cmd.Stdout == nil && cmd.Stderr == nil {
		cmd.Stdout, cmd.Stderr = &out, &out
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	stop = sync.OnceFunc(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if t.Failed() && out.Len() > 0 {
			t.Logf("%s says:\n%s", filepath.Base(cmd.Path), out.String())
		}
	})
	t.Cleanup(stop)
	return stop
}

// FreePort is a port of the loopback that nobody listens on.
func FreePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// Await tries something until it works or the time is up.
func Await(t *testing.T, what string, try func(ctx context.Context) error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), StartTime)
	defer cancel()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		err := try(ctx)
		if err == nil {
			return
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			t.Fatalf("%s: %v", what, err)
		}
	}
}
