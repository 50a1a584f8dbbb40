package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The laboratory is told what the flags say, and its reason for not rendering is the
// program's.
func TestTryTellsTheLaboratory(t *testing.T) {
	t.Parallel()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := t.TempDir()
	script := `#!/bin/sh
[ "$4" != --list ] || exec echo '[{"clip":"a"}]'
echo "told $*" >&2
exit 1
`
	if err := os.WriteFile(filepath.Join(bin, "ashline-lab"), []byte(script), 0o700); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "out")
	cmd := exec.CommandContext(t.Context(), self, "try", "--workers", "3", "--seed", "7", "--out", out)
	cmd.Env = append(os.Environ(), asProgram+"=1", "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	said, err := cmd.CombinedOutput()
	want := "told academy --seed 7 --out " + filepath.Join(out, "clips") + " --workers 3"
	if err == nil || cmd.ProcessState.ExitCode() != exitFailed || !strings.Contains(string(said), want) {
		t.Errorf("got %v, %s, want code %d and %q", err, said, exitFailed, want)
	}
}
