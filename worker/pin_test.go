package worker_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"ashline/worker"
	"ashline/worker/job"
)

// What a worker reads beside clips stays as it was at its start, though the file is
// edited and the process works in another folder.
func TestPin(t *testing.T) {
	dir, scratch := t.TempDir(), t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "rules.yaml"), []byte("one"), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	t.Setenv("ASHLINE_RULES", "rules.yaml")
	t.Setenv("ASHLINE_POSE", "pose")
	t.Setenv("ASHLINE_WORDS", "")
	unpin, err := worker.Pin(scratch)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("rules.yaml", []byte("two"), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if raw, err := os.ReadFile(os.Getenv("ASHLINE_RULES")); err != nil || string(raw) != "one" {
		t.Errorf("got rules %q, %v", raw, err)
	}
	if got := os.Getenv("ASHLINE_POSE"); got != filepath.Join(dir, "pose") {
		t.Errorf("got pose %q", got)
	}
	if got := os.Getenv("ASHLINE_WORDS"); got != "" {
		t.Errorf("got words %q", got)
	}
	if err := unpin(); err != nil {
		t.Error(err)
	}
	if left, _ := os.ReadDir(scratch); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestPinRefuses(t *testing.T) {
	scratch := t.TempDir()
	large := filepath.Join(t.TempDir(), "large")
	if err := os.WriteFile(large, make([]byte, 2<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{"/no/such/rules.yaml", t.TempDir(), large} {
		t.Setenv("ASHLINE_RULES", p)
		if _, err := worker.Pin(scratch); !errors.Is(err, job.ErrBadInput) {
			t.Errorf("%s: got %v, want ErrBadInput", p, err)
		}
	}
	if left, _ := os.ReadDir(scratch); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
