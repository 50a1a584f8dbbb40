package fence_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"ashline/pipeline/fence"
	"ashline/pipeline/fence/fencetest"

	"go.uber.org/goleak"
	"golang.org/x/sys/unix"
)

func TestMain(m *testing.M) {
	if err := fencetest.Cap(); err != nil {
		panic(err)
	}
	if dir := os.Getenv("ASHLINE_TEST_FENCE"); dir != "" {
		_ = json.NewEncoder(os.Stdout).Encode(attempts(dir, os.Getppid()))
		return
	}
	goleak.VerifyTestMain(m)
}

// attempts does what a clip that took over its decoder would try, and tells how
// each went: "" when it could.
func attempts(dir string, parent int) map[string]string {
	in := func(name string) string { return filepath.Join(dir, name) }
	said := map[string]string{}
	try := func(name string, err error) {
		said[name] = ""
		if err != nil {
			said[name] = err.Error()
		}
	}
	read := func(path string) error { _, err := os.ReadFile(path); return err }
	write := func(path string) error { return os.WriteFile(path, []byte("x"), 0o600) }
	socket := func(family, kind int) error {
		fd, err := unix.Socket(family, kind, 0)
		if err == nil {
			_ = unix.Close(fd)
		}
		return err
	}
	try("read clip", read(in("job/clip")))
	try("write out", write(in("out/new")))
	try("make folder in out", os.Mkdir(in("out/folder"), 0o700))
	try("rename within out", os.Rename(in("out/new"), in("out/folder/new")))
	try("remove in out", os.RemoveAll(in("out/folder")))
	try("run program", exec.Command("/bin/true").Run())
	try("read kernel's words", read("/proc/cpuinfo"))

	try("write clip", write(in("job/clip")))
	try("write beside clip", write(in("job/new")))
	try("read neighbour", read(in("other/secret")))
	try("list neighbour", func() error { _, err := os.ReadDir(in("other")); return err }())
	try("cut neighbour", os.Truncate(in("other/secret"), 0))
	try("remove neighbour", os.Remove(in("other/secret")))
	try("link neighbour", os.Link(in("other/secret"), in("out/link")))
	try("read passwords", read("/etc/passwd"))
	try("write /tmp", write(in("../ashline-fence-"+filepath.Base(dir))))
	try("run from out", func() error {
		if err := os.WriteFile(in("out/tool"), []byte("#!/bin/sh\n"), 0o700); err != nil {
			return err
		}
		return exec.Command(in("out/tool")).Run()
	}())
	try("parent's environment", read(fmt.Sprintf("/proc/%d/environ", parent)))
	try("signal parent", syscall.Kill(parent, 0))
	try("tcp socket", socket(unix.AF_INET, unix.SOCK_STREAM))
	try("udp socket", socket(unix.AF_INET, unix.SOCK_DGRAM))
	try("tcp6 socket", socket(unix.AF_INET6, unix.SOCK_STREAM))
	try("unix socket", socket(unix.AF_UNIX, unix.SOCK_STREAM))
	try("netlink socket", socket(unix.AF_NETLINK, unix.SOCK_RAW))
	try("listen", func() error {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err == nil {
			_ = l.Close()
		}
		return err
	}())
	return said
}

// may are the attempts that a fence leaves alone.
var may = []string{
	"read clip", "write out", "make folder in out", "rename within out", "remove in out",
	"run program", "read kernel's words",
}

func stage(t *testing.T) (dir string, cmd *exec.Cmd, out *strings.Builder, r fence.Rules) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	for _, d := range []string{"job", "out", "other"} {
		if err := os.Mkdir(filepath.Join(dir, d), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range []string{"job/clip", "other/secret"} {
		if err := os.WriteFile(filepath.Join(dir, f), []byte(f), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd = exec.CommandContext(t.Context(), exe)
	cmd.Env = append(os.Environ(), "ASHLINE_TEST_FENCE="+dir)
	out = &strings.Builder{}
	cmd.Stdout, cmd.Stderr = out, out
	return dir, cmd, out, fence.Rules{
		Read:  []string{filepath.Join(dir, "job"), filepath.Join(dir, "not-there")},
		Write: []string{filepath.Join(dir, "out")}, Run: []string{"/bin/true"}, Kind: fence.Analysis,
	}
}

func answers(t *testing.T, out string) map[string]string {
	t.Helper()
	var said map[string]string
	if err := json.Unmarshal([]byte(out), &said); err != nil {
		t.Fatalf("%v: %q", err, out)
	}
	return said
}

// A program that names itself as the kernel does is started itself, not the limiter that
// stands between.
func TestStartsItself(t *testing.T) {
	t.Parallel()
	_, cmd, out, r := stage(t)
	cmd.Path = "/proc/self/exe"
	release, err := fence.Start(cmd, r)
	if err != nil {
		t.Fatal(err)
	}
	defer release()
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if said := answers(t, out.String()); said["read clip"] != "" {
		t.Errorf("it says %v", said)
	}
}

func TestFenceRefuses(t *testing.T) {
	t.Parallel()
	if s := fence.Probe(); !s.Whole() {
		t.Skipf("this kernel's fence is not whole: %s", s)
	}
	dir, cmd, out, r := stage(t)
	release, err := fence.Start(cmd, r)
	if err != nil {
		t.Fatal(err)
	}
	defer release()
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for name, got := range answers(t, out.String()) {
		if want := slices.Contains(may, name); (got == "") != want {
			t.Errorf("%s: got %q, want allowed %v", name, got, want)
		}
	}
	if text, err := os.ReadFile(filepath.Join(dir, "other", "secret")); err != nil || string(text) != "other/secret" {
		t.Errorf("the neighbour's file: %q, %v", text, err)
	}
	// This process is as free as before.
	if fd, err := unix.Socket(unix.AF_INET, unix.SOCK_STREAM, 0); err != nil {
		t.Errorf("own socket: %v", err)
	} else {
		_ = unix.Close(fd)
	}
	if err := os.WriteFile(filepath.Join(dir, "other", "new"), nil, 0o600); err != nil {
		t.Errorf("own file: %v", err)
	}
}

// Without a fence every attempt succeeds: what refuses them above is the fence.
func TestWithoutFence(t *testing.T) {
	t.Parallel()
	_, cmd, out, _ := stage(t)
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for name, got := range answers(t, out.String()) {
		if got != "" && name != "link neighbour" { // removed just before
			t.Errorf("%s: got %q, want it to succeed", name, got)
		}
	}
}

func TestStartOfNothing(t *testing.T) {
	t.Parallel()
	cmd := exec.Command(filepath.Join(t.TempDir(), "none"))
	release, err := fence.Start(cmd, fence.Rules{})
	release()
	if !errors.Is(err, os.ErrNotExist) && !errors.Is(err, os.ErrPermission) {
		t.Errorf("got %v, want not there or not permitted", err)
	}
}

func TestSupportSaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		s    fence.Support
		want string
		not  string
	}{
		{fence.Support{Landlock: 2, Seccomp: true}, "whole", "not held back"},
		{fence.Support{Landlock: 7, Seccomp: true, Account: true, Superuser: true}, "whole", "not held back"},
		{fence.Support{Landlock: 1, Seccomp: true}, "job's folder", "network"},
		{fence.Support{Seccomp: true}, "job's folder", "network"},
		{fence.Support{Landlock: 7}, "network", "job's folder"},
		{fence.Support{Landlock: 7, Seccomp: true, Superuser: true}, "superuser", "network"},
	} {
		if got := c.s.String(); !strings.Contains(got, c.want) || strings.Contains(got, c.not) {
			t.Errorf("%+v: got %q, want %q in it and not %q", c.s, got, c.want, c.not)
		}
	}
}
