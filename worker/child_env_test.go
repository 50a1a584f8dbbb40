package worker_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashline/worker"
)

// The child works in a folder of its own, so files that the environment names by a
// relative path are handed on by their whole one.
func TestChildIsToldOfRules(t *testing.T) {
	t.Setenv("ASHLINE_RULES", "own.yaml")
	t.Setenv("ASHLINE_WORDS", "")
	c, task := childSetup(t, "ok")
	if err := c.Analyse(t.Context(), task, func(worker.Step) {}); err != nil {
		t.Fatal(err)
	}
	seen, err := os.ReadFile(filepath.Join(task.Out, "seen.txt"))
	if err != nil {
		t.Fatal(err)
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	if want := "\nASHLINE_RULES=" + filepath.Join(here, "own.yaml"); !strings.Contains(string(seen), want) {
		t.Errorf("got %q, want %q in it", seen, want)
	}
	if strings.Contains(string(seen), "ASHLINE_WORDS") {
		t.Error("the child was given an empty name")
	}
}
