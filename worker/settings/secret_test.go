package settings

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/nkeys"
)

// owned is a file of some user's.
type owned struct {
	mode fs.FileMode
	user uint32
}

func (owned) Name() string        { return "secret" }
func (owned) Size() int64         { return 1 }
func (o owned) Mode() fs.FileMode { return o.mode }
func (owned) ModTime() time.Time  { return time.Time{} }
func (o owned) IsDir() bool       { return o.mode.IsDir() }
func (o owned) Sys() any          { return &syscall.Stat_t{Uid: o.user} }

func TestWhoMayReadSecrets(t *testing.T) {
	t.Parallel()
	const us, root = 10001, 0
	for _, c := range []struct {
		file owned
		want string // part of what is said; empty: it is taken
	}{
		{owned{0o600, us}, ""},
		{owned{0o400, us}, ""},
		{owned{0o640, us}, "chmod 0600"},
		{owned{0o604, us}, "chmod 0600"},
		{owned{0o660, us}, "chmod 0600"},
		{owned{0o440, root}, ""}, // as a cluster mounts it for a group of the worker's
		{owned{0o400, root}, ""},
		{owned{0o444, root}, "chmod 0440"},
		{owned{0o460, root}, "chmod 0440"},
		{owned{fs.ModeDir | 0o700, us}, "not a file"},
		{owned{fs.ModeNamedPipe | 0o600, us}, "not a file"},
	} {
		err := checkSecret(c.file, us)
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v of user %d: got %v, want %q", c.file.mode, c.file.user, err, c.want)
		}
	}
}

// Each secret is refused where its file is open to others, before anything is sent.
func TestOpenSecretsAreRefused(t *testing.T) {
	t.Parallel()
	pair, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	seed, err := pair.Seed()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "secret")
	if err := os.WriteFile(file, seed, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(file, 0o644); err != nil {
		t.Fatal(err)
	}
	const nowhere = "127.0.0.1:1"
	for flag, open := range map[string]func() error{
		"queue-seed-file": func() error {
			_, err := Settings{QueueURL: "nats://" + nowhere, QueueSeedFile: file}.DialQueue(t.Context(), "test", nil)
			return err
		},
		"queue-creds-file": func() error {
			_, err := Settings{QueueURL: "nats://" + nowhere, QueueCredsFile: file}.DialQueue(t.Context(), "test", nil)
			return err
		},
		"store-secret-file": func() error {
			_, err := Settings{StoreURL: "http://" + nowhere, StoreSecretFile: file}.OpenStore(t.Context())
			return err
		},
	} {
		err := open()
		if !errors.Is(err, ErrUsage) || !strings.Contains(err.Error(), "--"+flag) || !strings.Contains(err.Error(), "chmod 0600") || strings.Contains(err.Error(), string(seed)) {
			t.Errorf("%s: got %v", flag, err)
		}
	}
}
