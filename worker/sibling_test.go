package worker_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"ashline/worker"
)

// What stands beside this program goes before what is on PATH, and a folder is no
// program.
func TestSibling(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	beside, path := filepath.Dir(self), t.TempDir()
	t.Setenv("PATH", path)
	program := func(file string) string {
		if err := os.WriteFile(file, []byte("#!/bin/sh\n"), 0o700); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Remove(file) })
		return file
	}
	if got, err := worker.Sibling("ashline-kin"); !errors.Is(err, worker.ErrNoSibling) {
		t.Errorf("nowhere: got %q, %v, want ErrNoSibling", got, err)
	}
	onPath := program(filepath.Join(path, "ashline-kin"))
	if got, err := worker.Sibling("ashline-kin"); got != onPath || err != nil {
		t.Errorf("on PATH: got %q, %v, want %q", got, err, onPath)
	}
	folder := filepath.Join(beside, "ashline-kin")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	got, err := worker.Sibling("ashline-kin")
	if err := os.Remove(folder); err != nil {
		t.Fatal(err)
	}
	if got != onPath || err != nil {
		t.Errorf("a folder beside: got %q, %v, want %q", got, err, onPath)
	}
	kin := program(folder)
	if got, err := worker.Sibling("ashline-kin"); got != kin || err != nil {
		t.Errorf("beside: got %q, %v, want %q", got, err, kin)
	}
}
