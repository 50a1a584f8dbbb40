package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"ashline/pipeline/fence"
	"ashline/pipeline/fence/fencetest"
)

func TestMain(m *testing.M) {
	if err := fencetest.Cap(); err != nil {
		panic(err)
	}
	if len(os.Args) > 1 && !strings.HasPrefix(os.Args[1], "-test.") { // it stands in for ashline
		main()
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// Where the kernel has no Landlock, work and measure say so and do not begin, unless told to.
func TestPartialFenceIsRefused(t *testing.T) {
	if os.Getenv("ASHLINE_TEST_PARTIAL") == "" {
		t.Parallel()
		cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run", "^TestPartialFenceIsRefused$", "-test.v")
		cmd.Env = append(os.Environ(), fencetest.Capped(0), "ASHLINE_TEST_PARTIAL=1")
		if said, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(said), "--- PASS: TestPartialFenceIsRefused") {
			t.Errorf("%v:\n%s", err, said)
		}
		return
	}
	if s := fence.Probe(); s.Landlock != 0 || s.Whole() {
		t.Fatalf("got Landlock %d, whole %v", s.Landlock, s.Whole())
	}
	none := filepath.Join(t.TempDir(), "none.mp4")
	for name, c := range map[string]struct {
		args    []string
		refused bool
	}{
		"measure":         {[]string{"measure", none, "--out", t.TempDir()}, true},
		"work":            {[]string{"work", "--scratch", t.TempDir()}, true},
		"measure, partly": {[]string{"measure", none, "--out", t.TempDir(), "--allow-partial-fence"}, false},
	} {
		root := newRootCmd()
		root.SetOut(io.Discard)
		root.SetErr(io.Discard)
		root.SetArgs(c.args)
		err := root.ExecuteContext(t.Context())
		if err == nil || strings.Contains(err.Error(), "files outside of the job's folder") != c.refused {
			t.Errorf("%s: got %v, want refused %v", name, err, c.refused)
		}
		if c.refused && exitCode(err, false) != exitUsage {
			t.Errorf("%s: got code %d", name, exitCode(err, false))
		}
	}
}
