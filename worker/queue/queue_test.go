package queue_test

import (
	"bufio"
	"errors"
	"fmt"
	"net"
	"strings"
	"testing"

	"ashline/worker/job"
	"ashline/worker/queue"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// greeting is a server that says its version, answers pings and no more.
func greeting(t *testing.T, version string) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	t.Cleanup(func() {
		l.Close()
		<-done
	})
	go func() {
		defer close(done)
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			fmt.Fprintf(c, "INFO {\"server_id\":\"x\",\"version\":%q,\"headers\":true,\"max_payload\":1048576}\r\n", version)
			in := bufio.NewScanner(c)
			for in.Scan() {
				if strings.HasPrefix(in.Text(), "PING") {
					fmt.Fprint(c, "PONG\r\n")
				}
			}
			c.Close()
		}
	}()
	return "nats://" + l.Addr().String()
}

func TestOldServersAreRefused(t *testing.T) {
	t.Parallel()
	for version, ok := range map[string]bool{
		"2.15.3": true, "2.11.0": true, "2.11.0-RC.1": true, "3.0.0": true,
		"2.10.29": false, "2.9.10": false, "1.4.1": false, "dev": false, "": false,
	} {
		t.Run(version, func(t *testing.T) {
			t.Parallel()
			q, err := queue.Open(t.Context(), queue.Config{URL: greeting(t, version)})
			if q != nil {
				q.Close()
			}
			if got := err == nil; got != ok || (!ok && !errors.Is(err, queue.ErrServerTooOld)) {
				t.Errorf("got %v", err)
			}
			if !ok && !strings.Contains(err.Error(), "2.11") {
				t.Errorf("%v does not say what is needed", err)
			}
		})
	}
}

func TestNobodyThere(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr := l.Addr().String()
	l.Close()
	if _, err := queue.Open(t.Context(), queue.Config{URL: "nats://" + addr}); !errors.Is(err, job.ErrUnreachable) {
		t.Fatalf("got %v, want ErrUnreachable", err)
	}
}
