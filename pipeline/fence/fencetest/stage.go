package fencetest

import (
	"encoding/binary"
	"encoding/json"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
)

// Target is what a clip tells the program that it takes over.
type Target struct {
	Secret  string // a file outside, in a folder of its own
	Socket  string // path of a UNIX socket that listens
	Port    int    // of a TCP socket that listens on 127.0.0.1
	Victim  int    // a process outside
	Parent  int    // the process that puts up the fence
	Bomb    bool   // start processes until one is refused
	Outlive bool   // leave one behind
}

// Report is what the program tells.
type Report struct {
	Tried int
	Could []string
	Why   map[string]string // of what it could not
	Left  int               // number of the process that it left behind
}

// Program builds the program into a folder under a name, such as that of a decoder. A
// test that runs where nothing can be built is given its path in ROGUE.
func Program(t *testing.T, dir, name string) string {
	t.Helper()
	out := filepath.Join(dir, name)
	if made := os.Getenv("ROGUE"); made != "" {
		return made
	}
	_, here, _, _ := runtime.Caller(0)
	cmd := exec.CommandContext(t.Context(), "go", "build", "-o", out, ".")
	cmd.Dir = filepath.Join(filepath.Dir(here), "..", "testdata", "rogue")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	return out
}

// Clip stages everything that is attacked and writes a clip that tells of it: a box of
// an MP4 file, and a line behind it.
func Clip(t *testing.T, program string, target Target) (path string, told Target) {
	t.Helper()
	dir := t.TempDir()
	for _, d := range []string{"in", "outside"} {
		if err := os.Mkdir(filepath.Join(dir, d), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	target.Secret, target.Socket = filepath.Join(dir, "outside", "secret"), filepath.Join(dir, "outside", "s")
	if err := os.WriteFile(target.Secret, []byte("secret"), 0o600); err != nil {
		t.Fatal(err)
	}
	for network, address := range map[string]string{"tcp": "127.0.0.1:0", "unix": target.Socket} {
		l, err := net.Listen(network, address)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = l.Close() })
		if a, ok := l.Addr().(*net.TCPAddr); ok {
			target.Port = a.Port
		}
	}
	victim := exec.Command(program, "idle")
	if err := victim.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = victim.Process.Kill()
		_ = victim.Wait()
	})
	target.Victim = victim.Process.Pid

	head := []byte("....ftypisom\x00\x00\x02\x00isom\n")
	binary.BigEndian.PutUint32(head, uint32(len(head)))
	line, err := json.Marshal(target)
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(dir, "in", "clip.mp4")
	if err := os.WriteFile(path, append(head, line...), 0o666); err != nil {
		t.Fatal(err)
	}
	return path, target
}

// Untouched fails the test if anything of what was staged has changed.
func Untouched(t *testing.T, clip string, target Target) {
	t.Helper()
	for dir, want := range map[string]string{filepath.Dir(clip): "clip.mp4", filepath.Dir(target.Secret): "s secret"} {
		list, err := os.ReadDir(dir)
		got := ""
		for _, e := range list {
			if got != "" {
				got += " "
			}
			got += e.Name()
		}
		if err != nil || got != want {
			t.Errorf("%s holds %q, %v, want %q", filepath.Base(dir), got, err, want)
		}
	}
	if text, err := os.ReadFile(target.Secret); err != nil || string(text) != "secret" {
		t.Errorf("the secret: %q, %v", text, err)
	}
}
