package worker_test

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ashline/worker"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
)

func TestHealth(t *testing.T) {
	t.Parallel()
	reg := prometheus.NewRegistry()
	worker.NewTelemetry(reg)
	ready := errors.New("store: secret detail")
	h := worker.Health(reg, map[string]worker.Check{"store": func(context.Context) error { return ready }})
	ask := func(path string) (int, string) {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		return w.Code, w.Body.String()
	}
	if code, _ := ask("/livez"); code != http.StatusOK {
		t.Errorf("livez: got %d", code)
	}
	if code, text := ask("/readyz"); code != http.StatusServiceUnavailable || strings.Contains(text, "secret") {
		t.Errorf("readyz: got %d %q", code, text)
	}
	ready = nil
	if code, _ := ask("/readyz"); code != http.StatusOK {
		t.Errorf("readyz: got %d", code)
	}
	code, text := ask("/metrics")
	if code != http.StatusOK || !strings.Contains(text, "ashline_jobs_running 0") {
		t.Errorf("metrics: got %d %.80q", code, text)
	}
	problems, err := promlint.New(strings.NewReader(text)).Lint()
	if err != nil || len(problems) != 0 {
		t.Errorf("metric names: %v, %v", problems, err)
	}
}

func TestServeStops(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- worker.Serve(ctx, l, worker.Health(prometheus.NewRegistry(), nil)) }()
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}, Timeout: 10 * time.Second}
	resp, err := client.Get("http://" + l.Addr().String() + "/livez")
	if err != nil {
		t.Fatal(err)
	}
	text, _ := io.ReadAll(resp.Body)
	resp.Body.Close()
	if string(text) != "ok\n" {
		t.Errorf("got %q", text)
	}
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
