package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"ashline/pipeline/fence"
	"ashline/worker/conform"
)

// locked is a log for several writers.
type locked struct {
	mu   sync.Mutex
	text strings.Builder
}

func (l *locked) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *locked) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// A worker that is started before its queue and its store waits for them, says so, is
// not ready, and goes on when they come.
func TestWorkWaitsForServices(t *testing.T) {
	t.Parallel()
	nats, gateway := conform.Program(t, "nats-server"), conform.Program(t, "versitygw")
	dir := t.TempDir()
	secret := filepath.Join(dir, "store.secret")
	if err := os.WriteFile(secret, []byte("secret-of-a-test\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, "store"), 0o700); err != nil {
		t.Fatal(err)
	}
	queuePort, storePort, healthPort := conform.FreePort(t), conform.FreePort(t), conform.FreePort(t)

	var log locked
	root := newRootCmd()
	root.SetErr(&log)
	root.SetArgs([]string{
		"work", "--listen", "127.0.0.1:" + healthPort, "--scratch", dir, "--queue", "nats://127.0.0.1:" + queuePort,
		"--store", "http://127.0.0.1:" + storePort, "--store-access", "tester", "--store-secret-file", secret,
	})
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- root.ExecuteContext(ctx) }()
	ready := func(want string) {
		t.Helper()
		conform.Await(t, "readyz", func(ctx context.Context) error {
			got, err := get(ctx, "http://127.0.0.1:"+healthPort+"/readyz")
			if want := want + "fence: " + fence.Probe().String() + "\n"; err == nil && got != want {
				err = fmt.Errorf("got %q, want %q", got, want)
			}
			return err
		})
	}
	ready("503 waits for queue\nwaits for store\n")
	conform.Process(t, exec.Command(nats, "-a", "127.0.0.1", "-p", queuePort, "-js", "-sd", filepath.Join(dir, "queue")))
	ready("503 waits for store\n")
	store := exec.Command(gateway, "--port", "127.0.0.1:"+storePort, "--quiet", "posix", filepath.Join(dir, "store"))
	store.Env = append(os.Environ(), "ROOT_ACCESS_KEY=tester", "ROOT_SECRET_KEY=secret-of-a-test")
	conform.Process(t, store)
	ready("200 ok\n")
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	for _, want := range []string{"waits for queue", "waits for store", `"msg":"working"`, `"msg":"stopped"`} {
		if !strings.Contains(log.String(), want) {
			t.Errorf("no %q in the log:\n%s", want, log.String())
		}
	}
}

// get is the status and the body of an answer.
func get(ctx context.Context, url string) (string, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return "", err
	}
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	resp, err := client.Do(req)
	if err != nil {
		return "", err
	}
	body, err := io.ReadAll(resp.Body)
	return fmt.Sprintf("%d %s", resp.StatusCode, body), errors.Join(err, resp.Body.Close())
}
