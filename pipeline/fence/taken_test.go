package fence_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"ashline/pipeline/fence"
	"ashline/pipeline/fence/fencetest"
)

// nobody is an account that the kernel gives files of nobody's; any ordinary one would do.
const nobody = 65534

// A decoder that a clip has taken over can do none of what it tries, nor leave anything
// behind: on this kernel, on one that knows no more of Landlock than Linux 6.1 does, and
// without a superuser's powers to give it an account of its own.
func TestTakenOverDecoder(t *testing.T) {
	if s := fence.Probe(); !s.Whole() {
		t.Skipf("this kernel's fence is not whole: %s", s)
	}
	program := fencetest.Program(t, t.TempDir(), "decoder")
	clip, target := fencetest.Clip(t, program, fencetest.Target{Parent: os.Getpid(), Outlive: true, Bomb: fence.Probe().Account})
	cmd := exec.CommandContext(t.Context(), program, "file:"+clip)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	cmd.Env = []string{}
	release, err := fence.Start(cmd, fence.Rules{Read: []string{clip}, Limits: fence.Limits{MemoryBytes: 4 << 30, Files: 64, NoFile: true}})
	if err != nil {
		t.Fatal(err)
	}
	err = cmd.Wait()
	release()
	var r fencetest.Report
	if jerr := json.Unmarshal(out.Bytes(), &r); jerr != nil {
		t.Fatalf("%v, %v: %s", err, jerr, &said)
	}
	if r.Tried < 100 || len(r.Could) > 0 {
		t.Errorf("of %d attempts it could %q", r.Tried, r.Could)
	}
	for what, why := range r.Why {
		t.Logf("%s: %s", what, why)
	}
	if r.Left == 0 {
		t.Error("it left no process behind, so none shows that it is ended")
	} else if err := syscall.Kill(r.Left, 0); !errors.Is(err, syscall.ESRCH) {
		t.Errorf("the process that it left behind: %v", err)
	}
	fencetest.Untouched(t, clip, target)
}

func TestTakenOverDecoderElsewhere(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		env  []string
		user bool
	}{
		"Linux 6.1":                      {env: []string{fencetest.Capped(2)}},
		"ordinary account":               {user: true},
		"ordinary account and Linux 6.1": {env: []string{fencetest.Capped(2)}, user: true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run", "^TestTakenOverDecoder$", "-test.v")
			cmd.Env = append(os.Environ(), c.env...)
			if c.user {
				if os.Getuid() != 0 {
					t.Skip("this is one")
				}
				dir := openFolder(t)
				cmd.Path = copied(t, os.Args[0], filepath.Join(dir, "test"))
				cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
				cmd.Dir = dir
				cmd.Env = append(cmd.Env, "TMPDIR="+dir, "HOME="+dir, "ROGUE="+copied(t, fencetest.Program(t, t.TempDir(), "rogue"), filepath.Join(dir, "rogue")))
			}
			said, err := cmd.CombinedOutput()
			if err != nil || !strings.Contains(string(said), "--- PASS: TestTakenOverDecoder") {
				t.Errorf("%v:\n%s", err, said)
			}
		})
	}
}

// Without a fence the program can do most of it, so what holds it above is the fence.
// What it cannot hangs on the system.
func TestTakenOverDecoderWithoutFence(t *testing.T) {
	t.Parallel()
	program := fencetest.Program(t, t.TempDir(), "decoder")
	clip, _ := fencetest.Clip(t, program, fencetest.Target{Parent: os.Getpid()})
	out, err := exec.CommandContext(t.Context(), program, "file:"+clip).Output()
	var r fencetest.Report
	if jerr := json.Unmarshal(out, &r); jerr != nil {
		t.Fatalf("%v, %v", err, jerr)
	}
	t.Logf("could not: %q", r.Why)
	if len(r.Could) < 70 {
		t.Errorf("of %d attempts it could %d, %q", r.Tried, len(r.Could), r.Could)
	}
}

// BenchmarkStart starts a program that does nothing and waits for its end: what the
// fence costs beside "bare".
func BenchmarkStart(b *testing.B) {
	for name, start := range map[string]func(cmd *exec.Cmd) (func(), error){
		"bare":   func(cmd *exec.Cmd) (func(), error) { return func() {}, cmd.Start() },
		"fenced": func(cmd *exec.Cmd) (func(), error) { return fence.Start(cmd, fence.Rules{}) },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				cmd := exec.CommandContext(b.Context(), "/bin/true")
				release, err := start(cmd)
				if err != nil {
					b.Fatal(err)
				}
				if err := cmd.Wait(); err != nil {
					b.Fatal(err)
				}
				release()
			}
		})
	}
}

// openFolder is a folder that every account may use.
func openFolder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "ashline-fence-*") //nolint:usetesting // whose folder other accounts may not enter
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	return dir
}

func copied(t *testing.T, from, to string) string {
	t.Helper()
	in, err := os.Open(from)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE, 0o755)
	if err == nil {
		_, err = io.Copy(out, in)
	}
	if err = errors.Join(err, out.Close()); err != nil {
		t.Fatal(fmt.Errorf("copy %s: %w", from, err))
	}
	return to
}
