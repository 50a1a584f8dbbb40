package queue_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"ashline/worker/conform"
	"ashline/worker/job"
	"ashline/worker/queue"

	"github.com/nats-io/nats.go"
)

// plain is a server with one user, who has all rights.
type plain struct{ port, dir string }

func newPlain(t *testing.T) plain {
	t.Helper()
	conform.Program(t, "nats-server")
	return plain{conform.FreePort(t), t.TempDir()}
}

// url is where a user with this password finds it.
func (p plain) url(password string) string {
	return fmt.Sprintf("nats://tester:%s@127.0.0.1:%s", password, p.port)
}

// start returns the running server and what kills it.
func (p plain) start(t *testing.T, password string) (server *exec.Cmd, stop func()) {
	t.Helper()
	cmd := exec.Command(conform.Program(t, "nats-server"), "-a", "127.0.0.1", "-p", p.port, "-js", "-sd", p.dir, "--user", "tester", "--pass", password)
	stop = conform.Process(t, cmd)
	conform.Await(t, "nats-server", func(context.Context) error {
		conn, err := nats.Connect(p.url(password))
		if err == nil {
			defer conn.Close()
			_, err = conn.Request("$JS.API.INFO", nil, conform.StartTime)
		}
		return err
	})
	return cmd, stop
}

// open is a connection; its streams are made.
func (p plain) open(t *testing.T, cfg queue.Config) *queue.Queue {
	t.Helper()
	cfg.URL = p.url("right")
	q, err := queue.Open(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	if err := q.Setup(t.Context()); err != nil {
		t.Fatal(err)
	}
	return q
}

// ask sends a request that the program never would and returns the answer.
func (p plain) ask(t *testing.T, m *nats.Msg) []byte {
	t.Helper()
	conn, err := nats.Connect(p.url("right"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	answer, err := conn.RequestMsg(m, conform.StartTime)
	if err != nil || strings.Contains(string(answer.Data), `"error"`) {
		t.Fatalf("%s: %v %s", m.Subject, err, answer.Data)
	}
	return answer.Data
}

func (p plain) api(t *testing.T, subject, body string) []byte {
	t.Helper()
	return p.ask(t, &nats.Msg{Subject: "$JS.API." + subject, Data: []byte(body)})
}

func enqueue(t *testing.T, q *queue.Queue, id string) {
	t.Helper()
	if _, err := q.Submit(t.Context(), job.Job{Schema: job.Schema, Bucket: "clips", Key: "a/clip.mp4", ID: id}); err != nil {
		t.Fatal(err)
	}
}

// lines hands on each line of a log.
type lines chan string

func (l lines) Write(b []byte) (int, error) {
	select {
	case l <- string(b):
	default:
	}
	return len(b), nil
}

// say waits for a line that holds the text.
func (l lines) say(t *testing.T, text string) {
	t.Helper()
	late := time.NewTimer(conform.StartTime)
	defer late.Stop()
	for {
		select {
		case line := <-l:
			if strings.Contains(line, text) {
				return
			}
		case <-late.C:
			t.Fatalf("the log never says %q", text)
		}
	}
}

// A server that came back with the wrong keys and then with the right ones has
// its worker again.
func TestWrongKeysForAWhile(t *testing.T) {
	t.Parallel()
	p, log := newPlain(t), make(lines, 100)
	_, stop := p.start(t, "right")
	q := p.open(t, queue.Config{Log: slog.New(slog.NewTextHandler(log, nil))})
	stop()
	_, stop = p.start(t, "wrong")
	for range 2 { // as often as makes the client give up by itself
		log.say(t, "authorization violation")
	}
	stop()
	p.start(t, "right")
	conform.Await(t, "the connection", q.Ready)
	enqueue(t, q, "after")
}

// A server that is frozen keeps its connections and answers nothing.
func TestFrozenServerIsNotReady(t *testing.T) {
	t.Parallel()
	p := newPlain(t)
	server, _ := p.start(t, "right")
	q := p.open(t, queue.Config{})
	if err := q.Ready(t.Context()); err != nil {
		t.Fatalf("before: %v", err)
	}
	if err := server.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	conform.Await(t, "the server to look frozen", func(ctx context.Context) error { // a signal takes its time
		if err := q.Ready(ctx); !errors.Is(err, job.ErrUnreachable) {
			return fmt.Errorf("got %v, want ErrUnreachable", err) //nolint:errorlint // it may be nil
		}
		return nil
	})
	if err := server.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	conform.Await(t, "the thawed server", q.Ready)
}

// A job that is handed out to a worker that just stopped waiting is given back
// whole.
func TestNextDuringShutdownCostsNoAttempt(t *testing.T) {
	t.Parallel()
	p := newPlain(t)
	p.start(t, "right")
	q := p.open(t, queue.Config{})
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		_, err := q.Next(ctx)
		ended <- err
	}()
	conform.Await(t, "somebody to wait", func(context.Context) error {
		var info struct {
			Waiting int `json:"num_waiting"`
		}
		if err := json.Unmarshal(p.api(t, "CONSUMER.INFO.CLIPS.measure", ""), &info); err != nil {
			return err
		}
		if info.Waiting != 1 {
			return fmt.Errorf("%d wait", info.Waiting)
		}
		return nil
	})
	cancel()
	enqueue(t, q, "late")
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v, want Canceled", err)
	}
	l, err := q.Next(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if l.Delivery() != 1 || !strings.Contains(string(l.Data()), "late") {
		t.Errorf("got delivery %d of %s, want the first", l.Delivery(), l.Data())
	}
}

// What a submitter writes into the headers of a return is not believed.
func TestSubmittersHeaders(t *testing.T) {
	t.Parallel()
	p := newPlain(t)
	p.start(t, "right")
	q := p.open(t, queue.Config{})
	for subject, want := range map[string]struct {
		delivery int
		believed bool
	}{"clips.submitted": {1, false}, "clips.returned": {4, true}} {
		p.ask(t, &nats.Msg{Subject: subject, Data: []byte("{}"), Header: nats.Header{"Ashline-Origin": {"forged"}, "Ashline-Spent": {"3"}}})
		l, err := q.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if got := l.Origin() == "forged"; l.Delivery() != want.delivery || got != want.believed {
			t.Errorf("%s: got delivery %d, origin %q", subject, l.Delivery(), l.Origin())
		}
		if err := l.Done(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
}

// Neither stream may fill the disk, those of an earlier version included; the
// jobs refuse what is too much and the news forgets the oldest.
func TestStreamsAreBounded(t *testing.T) {
	t.Parallel()
	p := newPlain(t)
	p.start(t, "right")
	p.api(t, "STREAM.CREATE.CLIPS", `{"name":"CLIPS","subjects":["clips.submitted"],"retention":"workqueue","storage":"file"}`)
	p.api(t, "STREAM.CREATE.SWINGS", `{"name":"SWINGS","subjects":["swings.measured"],"storage":"file"}`)
	q := p.open(t, queue.Config{})
	for stream, discard := range map[string]string{"CLIPS": "new", "SWINGS": "old"} {
		var info struct {
			Config struct {
				MaxBytes int64 `json:"max_bytes"`
				Discard  string
			}
		}
		if err := json.Unmarshal(p.api(t, "STREAM.INFO."+stream, ""), &info); err != nil {
			t.Fatal(err)
		}
		if info.Config.MaxBytes <= 0 || info.Config.MaxBytes > 2<<30 || info.Config.Discard != discard {
			t.Errorf("%s: got %+v, want at most 2 GiB and to discard the %s", stream, info.Config, discard)
		}
	}
	var info struct{ Config map[string]any }
	if err := json.Unmarshal(p.api(t, "STREAM.INFO.CLIPS", ""), &info); err != nil {
		t.Fatal(err)
	}
	info.Config["max_bytes"] = 1
	full, err := json.Marshal(info.Config)
	if err != nil {
		t.Fatal(err)
	}
	p.api(t, "STREAM.UPDATE.CLIPS", string(full))
	_, err = q.Submit(t.Context(), job.Job{Schema: job.Schema, Bucket: "clips", Key: "a/clip.mp4", ID: "x"})
	if err == nil || !strings.Contains(err.Error(), "maximum bytes") {
		t.Errorf("a full queue: got %v, want a refusal that says why", err)
	}
}
