package worker

import (
	"context"
	"errors"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Check reports whether something a worker needs answers.
type Check func(ctx context.Context) error

// ErrAwaited is what a check of something says that has not been there yet. Normal
// at the start.
var ErrAwaited = errors.New("worker: waited for")

// Awaited is the check of something that is waited for.
func Awaited(context.Context) error { return ErrAwaited }

// checkTime bounds all checks of one readiness request.
const checkTime = 3 * time.Second

// Health answers /livez (the process serves and every check of Lives passes),
// /readyz (the worker takes jobs: every check of Needs passes and it does not shut
// down) and /metrics. The answers go to strangers: they say what is missing, not why.
type Health struct {
	mux http.ServeMux

	mu     sync.Mutex
	names  []string // of needs, in the order in which they came
	needs  map[string]Check
	alive  []Check
	notes  []string
	drains bool
}

// NewHealth makes one that nothing has been said to yet.
func NewHealth(reg prometheus.Gatherer) *Health {
	h := &Health{needs: map[string]Check{}}
	h.mux.HandleFunc("GET /livez", h.livez)
	h.mux.HandleFunc("GET /readyz", h.readyz)
	h.mux.Handle("GET /metrics", promhttp.HandlerFor(reg, promhttp.HandlerOpts{}))
	return h
}

// ServeHTTP answers one request.
func (h *Health) ServeHTTP(w http.ResponseWriter, r *http.Request) { h.mux.ServeHTTP(w, r) }

// Needs adds what a worker cannot work without, or replaces its check.
func (h *Health) Needs(name string, c Check) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if _, known := h.needs[name]; !known {
		h.names = append(h.names, name)
	}
	h.needs[name] = c
}

// Lives adds a check that fails when only a restart helps.
func (h *Health) Lives(c Check) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.alive = append(h.alive, c)
}

// Note adds a line to every answer to /readyz: something that an operator should
// know, and that does not keep the worker from taking jobs.
func (h *Health) Note(line string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.notes = append(h.notes, line)
}

// Drain says that no more jobs are taken, for good.
func (h *Health) Drain() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.drains = true
}

func (h *Health) livez(w http.ResponseWriter, r *http.Request) {
	h.mu.Lock()
	alive := slices.Clone(h.alive)
	h.mu.Unlock()
	for _, c := range alive {
		if c(r.Context()) != nil {
			http.Error(w, "stuck", http.StatusServiceUnavailable)
			return
		}
	}
	_, _ = w.Write([]byte("ok\n"))
}

func (h *Health) readyz(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), checkTime)
	defer cancel()
	lines, notes := h.missing(ctx)
	if len(lines) > 0 {
		http.Error(w, strings.Join(append(lines, notes...), "\n"), http.StatusServiceUnavailable)
		return
	}
	_, _ = w.Write([]byte(strings.Join(append([]string{"ok"}, notes...), "\n") + "\n"))
}

// missing tells why no job is taken, a line each, and what there is to know besides.
func (h *Health) missing(ctx context.Context) (lines, notes []string) {
	h.mu.Lock()
	var checks []Check
	for _, n := range h.names {
		checks = append(checks, h.needs[n])
	}
	names, drains, notes := slices.Clone(h.names), h.drains, slices.Clone(h.notes)
	h.mu.Unlock()
	if drains {
		lines = append(lines, "shutting down: no job is taken any more")
	}
	said := make([]string, len(checks))
	var wait sync.WaitGroup
	for i, c := range checks {
		wait.Go(func() {
			switch err := c(ctx); {
			case errors.Is(err, ErrAwaited):
				said[i] = "waits for " + names[i]
			case err != nil:
				said[i] = names[i] + " not ready"
			}
		})
	}
	wait.Wait()
	return append(lines, slices.DeleteFunc(said, func(s string) bool { return s == "" })...), notes
}

// Serve answers on a listener until ctx ends.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, WriteTimeout: 10 * time.Second, IdleTimeout: 30 * time.Second}
	stop := context.AfterFunc(ctx, func() {
		shut, cancel := context.WithTimeout(context.Background(), checkTime)
		defer cancel()
		_ = srv.Shutdown(shut)
	})
	defer stop()
	err := srv.Serve(l)
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
