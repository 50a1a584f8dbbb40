package worker_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	trace "go.opentelemetry.io/proto/otlp/trace/v1"
	"google.golang.org/protobuf/proto"
)

// collected is a collector of traces and what it was sent.
type collected struct {
	mu    sync.Mutex
	spans []*trace.Span
	raw   strings.Builder
	url   string
}

func newCollector(t *testing.T) *collected {
	t.Helper()
	c := &collected{}
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		var req collector.ExportTraceServiceRequest
		if err != nil || r.URL.Path != "/v1/traces" || proto.Unmarshal(body, &req) != nil {
			w.WriteHeader(http.StatusBadRequest)
			return
		}
		c.mu.Lock()
		defer c.mu.Unlock()
		c.raw.Write(body)
		for _, rs := range req.GetResourceSpans() {
			for _, ss := range rs.GetScopeSpans() {
				c.spans = append(c.spans, ss.GetSpans()...)
			}
		}
	}))
	t.Cleanup(srv.Close)
	c.url = srv.URL
	return c
}

// Each delivery is one trace, with its stages under it, the class of what came of
// it, and nobody's name.
func TestTraces(t *testing.T) {
	t.Parallel()
	c := newCollector(t)
	tracer, stop, err := worker.Traces(t.Context(), c.url, "1.0", slog.New(slog.NewTextHandler(t.Output(), nil)))
	if err != nil {
		t.Fatal(err)
	}
	q, st := fake.NewQueue(time.Hour), fake.NewStore()
	key := "clips/" + ourAcademy + "/" + ourHitter + "/x/" + ourClip + ".mp4"
	for k, v := range map[string]string{key: "frames", strings.TrimSuffix(key, ".mp4") + ".card.yaml": "hitter: " + ourHitter + "\n"} {
		if err := st.Store(t.Context(), "clips", k, []byte(v)); err != nil {
			t.Fatal(err)
		}
	}
	for _, salt := range []string{"", "again"} {
		j := job.Job{Schema: job.Schema, Bucket: "clips", Key: key, Name: ourClip}
		j.ID = j.NewID(salt)
		if _, err := q.Submit(t.Context(), j); err != nil {
			t.Fatal(err)
		}
	}
	a := &fake.Analyst{Do: func(_ context.Context, call int, _ worker.Task) error {
		if call == 1 {
			return fmt.Errorf("%w: nothing of %q moves", job.ErrBadInput, ourClip)
		}
		return nil
	}}
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	work, end := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		worker.New(q, st, q, a, nil, worker.Config{Bucket: "clips", Scratch: t.TempDir(), Room: 1, Tracer: tracer}).Run(work)
	}()
	for _, subject := range []string{event.SubjectFailed, event.SubjectMeasured} {
		if _, err := q.Heard(ctx, subject, 1); err != nil {
			t.Error(err)
		}
	}
	end()
	<-done
	if err := stop(); err != nil {
		t.Fatal(err)
	}

	got := map[string]int{}
	parents := map[string]string{}
	for _, s := range c.spans {
		parents[string(s.GetSpanId())] = s.GetName()
	}
	for _, s := range c.spans {
		name := parents[string(s.GetParentSpanId())] + "/" + s.GetName()
		for _, attr := range s.GetAttributes() {
			if attr.GetKey() == "ashline.class" {
				name += " " + attr.GetValue().GetStringValue()
			}
		}
		if s.GetStatus().GetCode() == trace.Status_STATUS_CODE_ERROR {
			name += " !"
		}
		got[name]++
	}
	want := map[string]int{
		"/job done": 1, "/job bad_input !": 1, "job/fetch done": 2, "job/analyse done": 1, "job/analyse bad_input !": 1,
		"job/upload done": 1, "job/conclude": 2,
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, word := range []string{ourHitter, ourAcademy, ourClip} {
		if strings.Contains(c.raw.String(), word) {
			t.Errorf("the traces tell %q", word)
		}
	}
}

func TestTracesGoToAnAddress(t *testing.T) {
	t.Parallel()
	for _, to := range []string{"", "127.0.0.1:4318", "ftp://x", "http://"} {
		if _, _, err := worker.Traces(t.Context(), to, "1.0", slog.New(slog.DiscardHandler)); !errors.Is(err, job.ErrBadInput) {
			t.Errorf("%q: got %v, want ErrBadInput", to, err)
		}
	}
}
