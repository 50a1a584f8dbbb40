package queue_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"ashline/worker"
	"ashline/worker/conform"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/store"
	"ashline/worker/submit"
	"ashline/worker/upkeep"

	"github.com/nats-io/nats.go"
)

// deed is one operation and who may do it, in the order of roles.
type deed struct {
	name string
	may  [4]bool
	do   func(t *testing.T, r *roles, role string) error
}

const (
	yes = true
	no  = false
)

// errRefused is what a cell's operation returns when the server said no.
var errRefused = errors.New("refused")

// publish sends to a subject and asks the server whether it minded: the answer
// to a ping comes after any complaint.
func publish(subject, data string) func(*testing.T, *roles, string) error {
	return func(t *testing.T, r *roles, role string) error {
		conn := r.raw(t, role)
		if err := conn.Publish(subject, []byte(data)); err != nil {
			return err
		}
		return flushed(conn)
	}
}

func flushed(conn *nats.Conn) error {
	if err := conn.FlushTimeout(conform.StartTime); err != nil {
		return err
	}
	if err := conn.LastError(); errors.Is(err, nats.ErrPermissionViolation) {
		return fmt.Errorf("%w: %w", errRefused, err)
	} else if err != nil {
		return err
	}
	return nil
}

// request asks and, when the server lets it, wants an answer without an error.
func request(subject, data string) func(*testing.T, *roles, string) error {
	return func(t *testing.T, r *roles, role string) error {
		conn := r.raw(t, role)
		inbox := conn.NewInbox()
		sub, err := conn.SubscribeSync(inbox)
		if err != nil {
			return err
		}
		if err := conn.PublishRequest(subject, inbox, []byte(data)); err != nil {
			return err
		}
		if err := flushed(conn); err != nil {
			return err
		}
		msg, err := sub.NextMsg(conform.StartTime)
		if err != nil {
			return err
		}
		if code := msg.Header.Get("Status"); code == "503" {
			return fmt.Errorf("nobody answers on %s", subject)
		}
		var answer struct {
			Error *struct{ Description string } `json:"error"`
		}
		if json.Unmarshal(msg.Data, &answer) == nil && answer.Error != nil {
			return errors.New(answer.Error.Description)
		}
		return nil
	}
}

// say speaks about a job that the worker holds and wants to hear that it was heard.
func say(word string) func(*testing.T, *roles, string) error {
	return func(t *testing.T, r *roles, role string) error { return request(r.taken(t), word)(t, r, role) }
}

// listen subscribes to a subject that somebody else's answers come on.
func listen(subject string) func(*testing.T, *roles, string) error {
	return func(t *testing.T, r *roles, role string) error {
		conn := r.raw(t, role)
		if _, err := conn.SubscribeSync(subject); err != nil {
			return err
		}
		return flushed(conn)
	}
}

// objects does something with the store.
func objects(do func(ctx context.Context, st *store.Store, role string) error) func(*testing.T, *roles, string) error {
	return func(t *testing.T, r *roles, role string) error {
		err := do(t.Context(), r.store(t, role), role)
		if errors.Is(err, job.ErrDenied) {
			return fmt.Errorf("%w: %w", errRefused, err)
		}
		return err
	}
}

func put(key string) func(*testing.T, *roles, string) error {
	return objects(func(ctx context.Context, st *store.Store, role string) error {
		return st.Swap(ctx, rolesBucket, fmt.Sprintf(key, role), "", []byte("frames"), "video/mp4")
	})
}

func get(key string) func(*testing.T, *roles, string) error {
	return objects(func(ctx context.Context, st *store.Store, _ string) error {
		_, _, err := st.Read(ctx, rolesBucket, key, 100)
		return err
	})
}

func remove(key string) func(*testing.T, *roles, string) error {
	return objects(func(ctx context.Context, st *store.Store, _ string) error { return st.Remove(ctx, rolesBucket, key) })
}

// roleNames are the columns of the table.
var roleNames = [4]string{"uploader", "worker", "consumer", "operator"}

var deeds = []deed{
	{"submit a clip", [4]bool{yes, no, no, yes}, request("clips.submitted", "{}")},
	{"upload a clip", [4]bool{yes, no, no, no}, put("clips/fernhill/fh-017/%s/clip.mp4")},
	{"read a clip", [4]bool{no, yes, no, no}, get(clipKey)},
	{"take a job", [4]bool{no, yes, no, no}, request("$JS.API.CONSUMER.MSG.NEXT.CLIPS.measure", `{"batch":1,"no_wait":true}`)},
	{"heartbeat", [4]bool{no, yes, no, no}, say("+WPI")},
	{"acknowledge", [4]bool{no, yes, no, no}, say("+ACK")},
	{"hand a job back", [4]bool{no, yes, no, no}, request("clips.returned", "{}")},
	{"publish measured", [4]bool{no, yes, no, no}, request("swings.measured", "{}")},
	{"publish failed", [4]bool{no, yes, no, no}, request("swings.failed", "{}")},
	{"publish progress", [4]bool{no, yes, no, no}, publish("swings.progress", "{}")},
	{"write a bundle", [4]bool{no, yes, no, no}, put("swings/fernhill/fh-017/%s/manifest.json")},
	{"read a bundle", [4]bool{no, yes, yes, no}, get(bundleKey)},
	{"list objects", [4]bool{no, yes, no, yes}, objects(func(ctx context.Context, st *store.Store, _ string) error {
		return st.Under(ctx, rolesBucket, "clips/", func(string) error { return nil })
	})},
	{"consume events", [4]bool{no, no, yes, yes}, request("$JS.API.CONSUMER.MSG.NEXT.SWINGS.apps", `{"batch":1,"no_wait":true}`)},
	{"acknowledge an event", [4]bool{no, no, yes, no}, publish("$JS.ACK.SWINGS.apps.1.1.1.1.0", "+ACK")},
	{"make a consumer of jobs", [4]bool{no, no, no, no}, request("$JS.API.CONSUMER.CREATE.CLIPS.mine", `{"stream_name":"CLIPS","config":{"name":"mine","ack_policy":"explicit"}}`)},
	{"hear the worker's answers", [4]bool{no, yes, no, no}, listen("_INBOX_worker.>")},
	{"hear all answers", [4]bool{no, no, no, no}, listen("_INBOX.>")},
	{"hear jobs pass by", [4]bool{no, no, no, no}, listen("clips.submitted")},
	{"read a waiting job", [4]bool{no, yes, no, yes}, request("$JS.API.STREAM.MSG.GET.CLIPS", `{"next_by_subj":"clips.submitted","seq":1}`)},
	{"delete a job", [4]bool{no, yes, no, yes}, func(t *testing.T, r *roles, role string) error {
		return request("$JS.API.STREAM.MSG.DELETE.CLIPS", fmt.Sprintf(`{"seq":%d}`, r.submitted(t)))(t, r, role)
	}},
	{"delete an event", [4]bool{no, no, no, yes}, request("$JS.API.STREAM.MSG.DELETE.SWINGS", `{"seq":1}`)},
	{"purge events", [4]bool{no, no, no, yes}, request("$JS.API.STREAM.PURGE.SWINGS", "{}")},
	{"change a stream", [4]bool{no, no, no, yes}, func(t *testing.T, r *roles, role string) error {
		return request("$JS.API.STREAM.UPDATE.SWINGS", r.swingsConfig(t))(t, r, role)
	}},
	{"delete a stream", [4]bool{no, no, no, no}, request("$JS.API.STREAM.DELETE.SWINGS", "")},
	{"make another stream", [4]bool{no, no, no, no}, request("$JS.API.STREAM.CREATE.OTHER", `{"name":"OTHER","subjects":["other"]}`)},
	{"delete a clip", [4]bool{no, no, no, yes}, remove(spareClipKey)},
	{"delete a bundle", [4]bool{no, no, no, yes}, remove(spareBundleKey)},
	{"forget a hitter", [4]bool{no, no, no, yes}, func(t *testing.T, r *roles, role string) error {
		return r.forget(t, role)
	}},
	{"change the store's policy", [4]bool{no, no, no, no}, objects(func(ctx context.Context, st *store.Store, _ string) error {
		return st.SetPolicy(ctx, rolesBucket, "{}")
	})},
}

// Each of four roles tries each operation against live servers set up with the
// files that are shipped; what it may and what it may not is asserted alike.
func TestRoles(t *testing.T) {
	t.Parallel()
	r := startRoles(t)
	var table strings.Builder
	w := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "operation\t%s\n", strings.Join(roleNames[:], "\t"))
	for _, d := range deeds {
		fmt.Fprint(w, d.name)
		for i, role := range roleNames {
			err := d.do(t, r, role)
			got := "allowed"
			switch {
			case errors.Is(err, errRefused):
				got = "refused"
			case err != nil:
				got = "broken"
				t.Errorf("%s as %s: %v", d.name, role, err)
			}
			want := "refused"
			if d.may[i] {
				want = "allowed"
			}
			if got != want {
				t.Errorf("%s as %s: got %s, want %s", d.name, role, got, want)
			}
			fmt.Fprintf(w, "\t%s", got)
		}
		fmt.Fprintln(w)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	t.Logf("\n%s", table.String())
}

// With no more than the roles' rights a clip goes its whole way.
func TestRolesDoTheirWork(t *testing.T) {
	t.Parallel()
	r := startRoles(t)
	dir := t.TempDir()
	clip := filepath.Join(dir, "swing.mp4")
	for p, text := range map[string]string{clip: "frames", filepath.Join(dir, "session.card.yaml"): "academy: fernhill\nhitter: fh-017\n"} {
		if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	clips, err := submit.Find(dir)
	if err != nil {
		t.Fatal(err)
	}
	sub := submit.Submitter{Objects: r.store(t, "uploader"), Queue: r.queue(t, "uploader"), Bucket: rolesBucket}
	j, _, err := sub.Submit(t.Context(), clips[0])
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	q := r.queue(t, "worker")
	done := make(chan struct{})
	go func() {
		defer close(done)
		worker.New(q, r.store(t, "worker"), q, &fake.Analyst{}, nil, worker.Config{Bucket: rolesBucket, Room: 1, Scratch: t.TempDir()}).Run(ctx)
	}()
	defer func() {
		cancel()
		<-done
	}()
	conn := r.raw(t, "consumer")
	sub2, err := conn.SubscribeSync(conn.NewInbox())
	if err != nil {
		t.Fatal(err)
	}
	if err := conn.PublishRequest("$JS.API.CONSUMER.MSG.NEXT.SWINGS.apps", sub2.Subject, fmt.Appendf(nil, `{"batch":1,"expires":%d}`, conform.StartTime)); err != nil {
		t.Fatal(err)
	}
	msg, err := sub2.NextMsg(conform.StartTime + 5*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	var m event.Measured
	if _, err := event.Decode(msg.Data, event.SubjectMeasured, &m); err != nil || m.Job.ID != j.ID {
		t.Fatalf("got %s (%v), want the measured job %s", msg.Data, err, j.ID)
	}
	if _, _, err := r.store(t, "consumer").Read(t.Context(), m.Bucket, m.Metrics, 1<<20); err != nil {
		t.Error(err)
	}
}

// forget tries both halves: a refusal by either is one.
func (r *roles) forget(t *testing.T, role string) error {
	t.Helper()
	if role == "operator" {
		h := upkeep.Hitter{Bucket: rolesBucket, ID: "fh-099"}
		_, err := upkeep.Forget(t.Context(), r.queue(t, role), r.store(t, role), h)
		return err
	}
	// A refused request is silent until it times out, so the others' are raw.
	if err := request("$JS.API.STREAM.MSG.DELETE.SWINGS", `{"seq":1}`)(t, r, role); !errors.Is(err, errRefused) {
		return err
	}
	return remove(bundleKey)(t, r, role)
}

// Roles are told apart by what they hold, not by what they say.
func TestStrangersHaveNoRole(t *testing.T) {
	t.Parallel()
	r := startRoles(t)
	if _, err := queue.Open(t.Context(), queue.Config{URL: r.queueURL, CAFile: r.certs.Authority, Inbox: "_INBOX_operator"}); !errors.Is(err, job.ErrDenied) {
		t.Errorf("without a seed: got %v, want ErrDenied", err)
	}
	if _, err := queue.Open(t.Context(), queue.Config{URL: r.queueURL, CAFile: r.certs.Authority, SeedFile: r.seeds["worker"], Inbox: "a b.>"}); !errors.Is(err, job.ErrBadInput) {
		t.Errorf("inbox with a wildcard: got %v, want ErrBadInput", err)
	}
	short, cancel := context.WithTimeout(t.Context(), time.Second) // a refused request is silent
	defer cancel()
	if _, err := r.queue(t, "uploader").Survey(short, 1); !errors.Is(err, job.ErrDenied) {
		t.Errorf("what is not allowed: got %v, want ErrDenied", err)
	}
	st, err := store.New(store.Config{URL: r.storeURL, CAFile: r.certs.Authority, Access: "operator", Secret: "guess", Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	other := conform.NewCertificates(t).Authority
	for name, cfg := range map[string]queue.Config{
		"an authority unknown here": {URL: r.queueURL, SeedFile: r.seeds["worker"]},
		"another authority":         {URL: r.queueURL, SeedFile: r.seeds["worker"], CAFile: other},
	} {
		if _, err := queue.Open(t.Context(), cfg); !errors.Is(err, job.ErrUnreachable) || !strings.Contains(err.Error(), "certificate") {
			t.Errorf("queue, %s: got %v, want ErrUnreachable and why", name, err)
		}
	}
	for url, ca := range map[string]string{r.storeURL: other, strings.Replace(r.storeURL, "https", "http", 1): ""} {
		st, err := store.New(store.Config{URL: url, CAFile: ca, Access: "root", Secret: r.secrets["root"], Tries: 1})
		if err != nil {
			t.Fatal(err)
		}
		if err := st.Ready(t.Context(), rolesBucket); err == nil {
			t.Errorf("the store was spoken to at %s without its authority", url)
		}
		st.Close()
	}
	if err := st.Remove(t.Context(), rolesBucket, clipKey); !errors.Is(err, job.ErrDenied) {
		t.Errorf("wrong secret: got %v, want ErrDenied", err)
	}
}
