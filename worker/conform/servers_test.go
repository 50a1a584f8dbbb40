package conform_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/bundle"
	"ashline/worker/conform"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/store"

	"go.uber.org/goleak"
)

const (
	testAccess = "tester"
	testSecret = "only-for-this-test"
)

func TestMain(m *testing.M) {
	if os.Getenv("ASHLINE_TEST_WORKER") != "" {
		os.Exit(workerProcess())
	}
	goleak.VerifyTestMain(m)
}

type natsServer struct{ url, port, dir string }

func (n natsServer) start(t *testing.T) (stop func()) {
	t.Helper()
	stop = conform.Process(t, exec.Command(conform.Program(t, "nats-server"), "-a", "127.0.0.1", "-p", n.port, "-js", "-sd", n.dir))
	conform.Await(t, "nats-server", func(ctx context.Context) error {
		q, err := queue.Open(ctx, queue.Config{URL: n.url})
		if err == nil {
			defer q.Close()
			err = q.Setup(ctx) // its streams are loaded when this works
		}
		return err
	})
	return stop
}

func newNATS(t *testing.T) natsServer {
	t.Helper()
	conform.Program(t, "nats-server")
	port := conform.FreePort(t)
	return natsServer{url: "nats://127.0.0.1:" + port, port: port, dir: t.TempDir()}
}

type s3Server struct{ url, port, dir string }

func (s s3Server) start(t *testing.T) (stop func()) {
	t.Helper()
	cmd := exec.Command(conform.Program(t, "versitygw"), "--port", "127.0.0.1:"+s.port, "--quiet", "posix", s.dir)
	cmd.Env = append(os.Environ(), "ROOT_ACCESS_KEY="+testAccess, "ROOT_SECRET_KEY="+testSecret)
	stop = conform.Process(t, cmd)
	st := s.open(t)
	defer st.Close()
	conform.Await(t, "versitygw", func(ctx context.Context) error { return st.EnsureBucket(ctx, "conform") })
	return stop
}

func (s s3Server) open(t *testing.T) *store.Store {
	t.Helper()
	st, err := store.New(store.Config{URL: s.url, Access: testAccess, Secret: testSecret})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(st.Close)
	return st
}

func newS3(t *testing.T) s3Server {
	t.Helper()
	conform.Program(t, "versitygw")
	port := conform.FreePort(t)
	return s3Server{url: "http://127.0.0.1:" + port, port: port, dir: t.TempDir()}
}

func openQueue(t *testing.T, url string, lease time.Duration) *queue.Queue {
	t.Helper()
	q, err := queue.Open(t.Context(), queue.Config{URL: url, Lease: lease})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	if err := q.Setup(t.Context()); err != nil {
		t.Fatal(err)
	}
	return q
}

func TestQueueProcess(t *testing.T) {
	t.Parallel()
	n := newNATS(t)
	n.start(t)
	const lease = 500 * time.Millisecond
	q := openQueue(t, n.url, lease)
	conform.QueueSuite(t, lease, func(t *testing.T, check func(*testing.T, conform.Queue, conform.Heard)) { check(t, q, heard(q)) })
}

func TestStoreProcess(t *testing.T) {
	t.Parallel()
	s := newS3(t)
	s.start(t)
	conform.Store(t, s.open(t))
}

// A byte that turns over on the store's disk is not taken for the clip's.
func TestDamagedInTheStore(t *testing.T) {
	t.Parallel()
	s := newS3(t)
	s.start(t)
	st := s.open(t)
	if err := st.Swap(t.Context(), "conform", "a/clip.mp4", "", []byte("frames"), "video/mp4"); err != nil {
		t.Fatal(err)
	}
	fetch := func() error {
		return st.Fetch(t.Context(), "conform", "a/clip.mp4", filepath.Join(t.TempDir(), "f"), 100)
	}
	if err := fetch(); err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(filepath.Join(s.dir, "conform", "a", "clip.mp4"), os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteAt([]byte("z"), 5); err != nil {
		t.Fatal(err)
	}
	if err := fetch(); job.Classify(err) != job.Transient {
		t.Errorf("got %v, want a transient error", err)
	}
}

// heard collects events from the beginning of the stream.
func heard(q *queue.Queue) conform.Heard {
	return func(ctx context.Context, subject string, n int) ([]event.Event, error) {
		var got []event.Event
		enough := errors.New("enough")
		err := q.Follow(ctx, time.Unix(1, 0), func(note queue.Note) error {
			var e event.Event
			if err := json.Unmarshal(note.Data, &e); err != nil {
				return err
			}
			if got = append(got, e); len(got) >= n {
				return enough
			}
			return nil
		}, subject)
		if errors.Is(err, enough) {
			err = nil
		}
		return got, err
	}
}

const killLease = time.Second

// workerProcess is what this test program does when it stands in for a
// worker: it says at which analysis it is and, when told to, never ends it.
func workerProcess() int {
	ctx := context.Background()
	q, err := queue.Open(ctx, queue.Config{URL: os.Getenv("ASHLINE_TEST_WORKER"), Lease: killLease})
	if err != nil {
		fmt.Println(err)
		return 1
	}
	st, err := store.New(store.Config{URL: os.Getenv("ASHLINE_TEST_STORE"), Access: testAccess, Secret: testSecret})
	if err != nil {
		fmt.Println(err)
		return 1
	}
	objects := worker.Objects(st)
	if os.Getenv("ASHLINE_TEST_HANG") == "upload" {
		objects = hangOnSwap{st}
	}
	a := &fake.Analyst{Do: func(ctx context.Context, _ int, _ worker.Task) error {
		if os.Getenv("ASHLINE_TEST_HANG") == "analyse" {
			fmt.Println("hanging")
			<-ctx.Done()
		}
		return nil
	}}
	worker.New(q, objects, q, a, nil, worker.Config{Bucket: "conform", Room: 1, Lease: killLease, Scratch: os.Getenv("ASHLINE_TEST_SCRATCH")}).Run(ctx)
	return 0
}

// hangOnSwap stops for good between the last file and the manifest.
type hangOnSwap struct{ worker.Objects }

func (hangOnSwap) Swap(ctx context.Context, _, _, _ string, _ []byte, _ string) error {
	fmt.Println("hanging")
	<-ctx.Done()
	return ctx.Err()
}

func startWorker(t *testing.T, n natsServer, s s3Server, hang, scratch string) (cmd *exec.Cmd, stop func(), hanging func()) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd = exec.Command(exe)
	cmd.Env = append(os.Environ(), "ASHLINE_TEST_WORKER="+n.url, "ASHLINE_TEST_STORE="+s.url, "ASHLINE_TEST_HANG="+hang, "ASHLINE_TEST_SCRATCH="+scratch)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	stop = conform.Process(t, cmd)
	return cmd, stop, func() {
		t.Helper()
		late := time.AfterFunc(time.Minute, stop) // which ends the line
		defer late.Stop()
		line, err := bufio.NewReader(out).ReadString('\n')
		if err != nil || line != "hanging\n" {
			t.Fatalf("worker says %q, %v", line, err)
		}
	}
}

// A worker killed in the middle of a job, with queue and store restarted on
// top of it, costs one redelivery and leaves one committed bundle.
func TestKilledWorkerLeavesOneBundle(t *testing.T) {
	t.Parallel()
	for _, where := range []string{"analyse", "upload"} {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			n, s := newNATS(t), newS3(t)
			stopNATS, stopS3 := n.start(t), s.start(t)
			q, st := openQueue(t, n.url, killLease), s.open(t)
			const key = "clips/fernhill/fh-001/x/clip.mp4"
			if err := st.Swap(t.Context(), "conform", key, "", []byte("frames"), "video/mp4"); err != nil {
				t.Fatal(err)
			}
			j := job.Job{Schema: job.Schema, Bucket: "conform", Key: key}
			j.ID = j.NewID("")
			if _, err := q.Submit(t.Context(), j); err != nil {
				t.Fatal(err)
			}
			scratch := t.TempDir()
			_, kill, hanging := startWorker(t, n, s, where, scratch)
			hanging()
			kill()
			stopNATS()
			stopS3()
			n.start(t)
			s.start(t)
			q = openQueue(t, n.url, killLease)
			startWorker(t, n, s, "", scratch)
			ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
			defer cancel()
			got, err := heard(q)(ctx, event.SubjectMeasured, 1)
			if err != nil {
				t.Fatal(err)
			}
			var m event.Measured
			if err := json.Unmarshal(got[0].Data, &m); err != nil {
				t.Fatal(err)
			}
			manifest, err := bundle.Load(ctx, st, m.Bucket, m.Manifest)
			if err != nil {
				t.Fatal(err)
			}
			if err := bundle.Download(ctx, st, m.Bucket, manifest, t.TempDir()); err != nil {
				t.Error(err)
			}
			conform.Await(t, "the queue to be empty", func(ctx context.Context) error {
				v, err := q.Survey(ctx, 10)
				if err == nil && (v.Waiting+v.Running+v.Stuck != 0 || len(v.Failed) != 0) {
					err = fmt.Errorf("%+v", v)
				}
				return err
			})
			var manifests int
			err = filepath.WalkDir(s.dir, func(p string, _ os.DirEntry, err error) error {
				if strings.HasSuffix(p, "/"+bundle.ManifestName) {
					manifests++
				}
				return err
			})
			if err != nil || manifests != 1 {
				t.Errorf("got %d manifests (%v), want 1", manifests, err)
			}
		})
	}
}
