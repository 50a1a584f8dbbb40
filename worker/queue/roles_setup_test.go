package queue_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"ashline/worker/conform"
	"ashline/worker/queue"
	"ashline/worker/store"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"
)

const (
	rolesDir       = "../../deploy/roles"
	rolesBucket    = "ashline" // as the shipped policy has it
	clipKey        = "clips/fernhill/fh-017/base/clip.mp4"
	spareClipKey   = "clips/fernhill/fh-017/spare/clip.mp4"
	bundleKey      = "swings/fernhill/fh-017/base/metrics.json"
	spareBundleKey = "swings/fernhill/fh-017/spare/metrics.json"
)

// roles are a queue and a store set up with the files that are shipped, both
// behind TLS, and one account a role in each.
type roles struct {
	queueURL, storeURL string
	certs              conform.Certificates
	seeds              map[string]string // file of each role
	secrets            map[string]string
	jobs               int
}

func startRoles(t *testing.T) *roles {
	t.Helper()
	r := &roles{certs: conform.NewCertificates(t), seeds: map[string]string{}, secrets: map[string]string{}}
	r.startQueue(t)
	r.startStore(t)
	return r
}

func (r *roles) startQueue(t *testing.T) {
	t.Helper()
	port, dir := conform.FreePort(t), t.TempDir()
	cmd := exec.Command(conform.Program(t, "nats-server"), "-c", filepath.Join(rolesDir, "queue.conf"), "-a", "127.0.0.1", "-p", port, "-sd", t.TempDir(),
		"--tls", "--tlscert", r.certs.Server, "--tlskey", r.certs.Key)
	cmd.Env = os.Environ()
	for _, role := range roleNames {
		kp, err := nkeys.CreateUser()
		if err != nil {
			t.Fatal(err)
		}
		seed, err := kp.Seed()
		if err != nil {
			t.Fatal(err)
		}
		public, err := kp.PublicKey()
		if err != nil {
			t.Fatal(err)
		}
		r.seeds[role] = filepath.Join(dir, role+".seed")
		if err := os.WriteFile(r.seeds[role], seed, 0o600); err != nil {
			t.Fatal(err)
		}
		cmd.Env = append(cmd.Env, "ASHLINE_"+strings.ToUpper(role)+"_NKEY="+public)
	}
	conform.Process(t, cmd)
	r.queueURL = "tls://127.0.0.1:" + port
	conform.Await(t, "queue", func(ctx context.Context) error {
		q, err := queue.Open(ctx, queue.Config{URL: r.queueURL, CAFile: r.certs.Authority, SeedFile: r.seeds["operator"], Inbox: "_INBOX_operator"})
		if err != nil {
			return err
		}
		defer q.Close()
		return q.Setup(ctx)
	})
}

// startStore starts a store with an account a role and the shipped policy.
func (r *roles) startStore(t *testing.T) {
	t.Helper()
	type account struct {
		Access string `json:"access"`
		Secret string `json:"secret"`
		Role   string `json:"role"`
	}
	accounts := map[string]account{}
	for _, role := range roleNames {
		r.secrets[role] = "only-for-this-test-" + role
		accounts[role] = account{role, r.secrets[role], "user"}
	}
	raw, err := json.Marshal(map[string]any{"accessAccounts": accounts})
	if err != nil {
		t.Fatal(err)
	}
	iam := t.TempDir()
	if err := os.WriteFile(filepath.Join(iam, "users.json"), raw, 0o600); err != nil {
		t.Fatal(err)
	}
	port := conform.FreePort(t)
	cmd := exec.Command(conform.Program(t, "versitygw"), "--port", "127.0.0.1:"+port, "--quiet", "--cert", r.certs.Server, "--key", r.certs.Key, "--iam-dir", iam, "posix", t.TempDir())
	cmd.Env = append(os.Environ(), "ROOT_ACCESS_KEY=root", "ROOT_SECRET_KEY=only-for-this-test")
	conform.Process(t, cmd)
	r.storeURL, r.secrets["root"] = "https://127.0.0.1:"+port, "only-for-this-test"
	root := r.store(t, "root")
	conform.Await(t, "store", func(ctx context.Context) error { return root.EnsureBucket(ctx, rolesBucket) })
	policy, err := os.ReadFile(filepath.Join(rolesDir, "store-policy.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := root.SetPolicy(t.Context(), rolesBucket, string(policy)); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{clipKey, spareClipKey, bundleKey, spareBundleKey} {
		if err := root.Swap(t.Context(), rolesBucket, key, "", []byte("{}"), "application/json"); err != nil {
			t.Fatal(err)
		}
	}
}

// queue is a role's connection as the program makes it.
func (r *roles) queue(t *testing.T, role string) *queue.Queue {
	t.Helper()
	q, err := queue.Open(t.Context(), queue.Config{URL: r.queueURL, CAFile: r.certs.Authority, SeedFile: r.seeds[role], Inbox: "_INBOX_" + role})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	return q
}

func (r *roles) store(t *testing.T, role string) *store.Store {
	t.Helper()
	st, err := store.New(store.Config{URL: r.storeURL, CAFile: r.certs.Authority, Access: role, Secret: r.secrets[role], Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(st.Close)
	return st
}

// raw is a new connection that sends what the program never would.
func (r *roles) raw(t *testing.T, role string) *nats.Conn {
	t.Helper()
	seed, err := nats.NkeyOptionFromSeed(r.seeds[role])
	if err != nil {
		t.Fatal(err)
	}
	conn, err := nats.Connect(r.queueURL, seed, nats.RootCAs(r.certs.Authority), nats.CustomInboxPrefix("_INBOX_"+role), nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(conn.Close)
	return conn
}

// submitted puts a job in and returns its place in the stream.
func (r *roles) submitted(t *testing.T) uint64 {
	t.Helper()
	r.jobs++
	msg, err := r.raw(t, "uploader").Request("clips.submitted", fmt.Appendf(nil, `{"n":%d}`, r.jobs), conform.StartTime)
	if err != nil {
		t.Fatal(err)
	}
	var ack struct{ Seq uint64 }
	if err := json.Unmarshal(msg.Data, &ack); err != nil || ack.Seq == 0 {
		t.Fatalf("got %s (%v)", msg.Data, err)
	}
	return ack.Seq
}

// taken puts a job in, has the worker take one and returns the subject on
// which words about it are heard.
func (r *roles) taken(t *testing.T) string {
	t.Helper()
	r.submitted(t)
	msg, err := r.raw(t, "worker").Request("$JS.API.CONSUMER.MSG.NEXT.CLIPS.measure", []byte(`{"batch":1}`), conform.StartTime)
	if err != nil || !strings.HasPrefix(msg.Reply, "$JS.ACK.CLIPS.measure.") {
		t.Fatalf("got %+v, %v", msg, err)
	}
	return msg.Reply
}

// swingsConfig is the settings of the stream of results as they are.
func (r *roles) swingsConfig(t *testing.T) string {
	t.Helper()
	msg, err := r.raw(t, "operator").Request("$JS.API.STREAM.INFO.SWINGS", nil, conform.StartTime)
	if err != nil {
		t.Fatal(err)
	}
	var info struct{ Config json.RawMessage }
	if err := json.Unmarshal(msg.Data, &info); err != nil || info.Config == nil {
		t.Fatalf("got %s (%v)", msg.Data, err)
	}
	return string(info.Config)
}
