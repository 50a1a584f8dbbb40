package settings_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"ashline/worker/settings"

	"github.com/spf13/pflag"
)

func resolve(t *testing.T, args []string, env map[string]string) (settings.Settings, error) {
	t.Helper()
	set := pflag.NewFlagSet("x", pflag.ContinueOnError)
	f := settings.Bind(set)
	if err := set.Parse(args); err != nil {
		t.Fatal(err)
	}
	return f.Resolve(func(k string) (string, bool) { v, ok := env[k]; return v, ok })
}

func write(t *testing.T, text string) string {
	t.Helper()
	p := filepath.Join(t.TempDir(), "c.yaml")
	if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPrecedence(t *testing.T) {
	t.Parallel()
	file := write(t, "queue: nats://file\nstore: http://file\nbucket: from-file\n")
	got, err := resolve(t, []string{"--config", file, "--queue", "nats://flag"},
		map[string]string{"ASHLINE_QUEUE_URL": "nats://env", "ASHLINE_STORE_URL": "http://env"})
	if err != nil {
		t.Fatal(err)
	}
	want := settings.Settings{QueueURL: "nats://flag", StoreURL: "http://env", Bucket: "from-file"}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if got, err := resolve(t, nil, nil); err != nil || got.Bucket != settings.DefaultBucket {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestSaveAndRead(t *testing.T) {
	t.Parallel()
	want := settings.Settings{QueueURL: "nats://a", QueueSeedFile: "/s", StoreURL: "http://b", StoreAccess: "x", StoreSecretFile: "/t", Bucket: "abc"}
	file, err := want.Save(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	got, err := resolve(t, nil, map[string]string{"ASHLINE_CONFIG": file})
	if err != nil || got != want {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
}

func TestMistakesAreUsage(t *testing.T) {
	t.Parallel()
	for name, args := range map[string][]string{
		"bucket":      {"--bucket", "No/Bucket"},
		"no file":     {"--config", "/does/not/exist"},
		"unknown key": {"--config", write(t, "queue_url: x\n")},
		"not YAML":    {"--config", write(t, "{{{")},
	} {
		if _, err := resolve(t, args, nil); !errors.Is(err, settings.ErrUsage) {
			t.Errorf("%s: got %v, want ErrUsage", name, err)
		}
	}
	var s settings.Settings
	if _, err := s.OpenQueue(t.Context(), "x", nil); !errors.Is(err, settings.ErrUsage) {
		t.Errorf("no queue: got %v", err)
	}
	if _, err := s.OpenStore(t.Context()); !errors.Is(err, settings.ErrUsage) {
		t.Errorf("no store: got %v", err)
	}
	s = settings.Settings{StoreURL: "http://127.0.0.1:1", StoreSecretFile: "/does/not/exist"}
	if _, err := s.OpenStore(t.Context()); !errors.Is(err, settings.ErrUsage) {
		t.Errorf("no secret: got %v", err)
	}
}
