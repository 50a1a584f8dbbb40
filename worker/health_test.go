package worker_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
)

// asked is the answer to one request.
func asked(h http.Handler, path string) (code int, body string) {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Code, w.Body.String()
}

func TestHealth(t *testing.T) {
	t.Parallel()
	reg := prometheus.NewRegistry()
	worker.NewTelemetry(reg)
	reg.MustRegister(worker.BuildInfo("0.9.0+0123456789ab"))
	h := worker.NewHealth(reg)
	if code, _ := asked(h, "/livez"); code != http.StatusOK {
		t.Errorf("livez: got %d", code)
	}
	expect := func(wantCode int, wantBody string) {
		t.Helper()
		if code, body := asked(h, "/readyz"); code != wantCode || body != wantBody {
			t.Errorf("readyz: got %d %q, want %d %q", code, body, wantCode, wantBody)
		}
	}
	ready := errors.New("store: secret detail")
	h.Needs("queue", worker.Awaited)
	h.Needs("store", func(context.Context) error { return ready })
	expect(http.StatusServiceUnavailable, "waits for queue\nstore not ready\n")
	ready = nil
	h.Needs("queue", func(context.Context) error { return nil })
	expect(http.StatusOK, "ok\n")
	h.Note("a line for operators")
	expect(http.StatusOK, "ok\na line for operators\n")
	h.Drain()
	expect(http.StatusServiceUnavailable, "shutting down: no job is taken any more\na line for operators\n")
	if code, _ := asked(h, "/livez"); code != http.StatusOK {
		t.Errorf("livez while shutting down: got %d", code)
	}

	code, text := asked(h, "/metrics")
	if want := `ashline_build_info{goversion="` + runtime.Version() + `",program="0.9.0+0123456789ab"} 1`; code != http.StatusOK || !strings.Contains(text, want) {
		t.Errorf("metrics: got %d, no %q in %s", code, want, text)
	}
	problems, err := promlint.New(strings.NewReader(text)).Lint()
	if err != nil || len(problems) != 0 {
		t.Errorf("metric names: %v, %v", problems, err)
	}
}

// A loop that hangs outside of any analysis turns the process not live at its job's
// deadline; the lease is extended no longer, and another worker brings the job to its end.
func TestHangingLoop(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		const deadline = 10 * time.Minute
		b := setup(t)
		hangs, free := make(chan struct{}), make(chan struct{})
		first := true
		b.store.Fault = func(op, _ string) error {
			if op == "fetch" && first {
				first = false
				close(hangs)
				<-free // whatever the context says
			}
			return nil
		}
		reg := prometheus.NewRegistry()
		tele := worker.NewTelemetry(reg)
		h := worker.NewHealth(reg)
		h.Lives(tele.Alive(time.Hour))
		live := func(wantCode int, wantAge string) {
			t.Helper()
			if code, _ := asked(h, "/livez"); code != wantCode {
				t.Errorf("after %s: livez %d, want %d", wantAge, code, wantCode)
			}
			if _, text := asked(h, "/metrics"); !strings.Contains(text, "ashline_job_age_seconds "+wantAge+"\n") {
				t.Errorf("no age of %s s", wantAge)
			}
		}
		stop := b.startWith(b.store, b.analyst, tele, worker.Config{Deadline: deadline})
		b.submit("")
		<-hangs
		live(http.StatusOK, "0")
		time.Sleep(deadline) //nolint:forbidigo // in a bubble of fake time
		live(http.StatusOK, "600")
		time.Sleep(time.Second) //nolint:forbidigo // in a bubble of fake time
		live(http.StatusServiceUnavailable, "601")

		other := b.start(worker.Config{Deadline: deadline})
		b.hear(event.SubjectMeasured, 1)
		close(free)
		stop()
		other()
		b.settled("done", 1)
		live(http.StatusOK, "0")
	})
}

// A worker that waits for a job, finds no room or no store does not hang.
func TestIdleLoopsLive(t *testing.T) {
	t.Parallel()
	for name, prepare := range map[string]func(b *bench, cfg *worker.Config){
		"no job":   func(*bench, *worker.Config) {},
		"no room":  func(_ *bench, cfg *worker.Config) { cfg.Room = 1 << 62 },
		"no queue": func(b *bench, _ *worker.Config) { b.queue.Fault = func(string) error { return job.ErrUnreachable } },
		"no store": func(b *bench, _ *worker.Config) {
			b.submit("")
			b.store.Fault = func(string, string) error { return job.ErrUnreachable }
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				tele := worker.NewTelemetry(nil)
				alive := tele.Alive(time.Minute)
				cfg := worker.Config{}
				prepare(b, &cfg)
				stop := b.startWith(b.store, b.analyst, tele, cfg)
				for range 60 {
					time.Sleep(13 * time.Second) //nolint:forbidigo // in a bubble of fake time
					if err := alive(t.Context()); err != nil {
						t.Fatal(err)
					}
				}
				stop()
			})
		})
	}
}

// A queue client that never returns is seen, too.
func TestHangingQueue(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		free := make(chan struct{})
		b.queue.Fault = func(string) error { <-free; return nil }
		tele := worker.NewTelemetry(nil)
		alive := tele.Alive(time.Minute)
		stop := b.startWith(b.store, b.analyst, tele, worker.Config{})
		time.Sleep(2 * time.Minute) //nolint:forbidigo // in a bubble of fake time
		if alive(t.Context()) == nil {
			t.Error("a loop that hangs at the queue goes unnoticed")
		}
		close(free)
		stop()
	})
}

// What may pass is waited for, and said; a refusal is not.
func TestAwait(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var out locked
		log := slog.New(slog.NewJSONHandler(&out, nil))
		tries := 0
		begun := time.Now()
		err := worker.Await(t.Context(), log, "store", func(context.Context) error {
			if tries++; tries < 10 {
				return fmt.Errorf("x: %w", job.ErrUnreachable)
			}
			return nil
		})
		if err != nil || tries != 10 || time.Since(begun) > 10*15*time.Second {
			t.Errorf("got %v after %d tries and %s", err, tries, time.Since(begun))
		}
		if got := strings.Count(out.String(), "waits for store"); got != 9 {
			t.Errorf("said %d times, want 9", got)
		}
		for _, refusal := range []error{job.ErrDenied, job.ErrBadInput, errors.New("no such file")} {
			if err := worker.Await(t.Context(), log, "store", func(context.Context) error { return refusal }); !errors.Is(err, refusal) {
				t.Errorf("got %v, want %v", err, refusal)
			}
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Hour)
		defer cancel()
		if err := worker.Await(ctx, log, "store", func(context.Context) error { return job.ErrUnreachable }); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("got %v, want the context's end", err)
		}
	})
}

func TestServeStops(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- worker.Serve(ctx, l, worker.NewHealth(prometheus.NewRegistry())) }()
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
