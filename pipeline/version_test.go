package pipeline

import (
	"errors"
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"

	"ashline/pipeline/fault"
	"ashline/pipeline/rules"
)

// Results made with other rules, other words or the pose network are other results, and
// the program's name tells them apart.
func TestProgramTellsRulesApart(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := func(name, text string) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return p
	}
	a, b := file("a.yaml", "rules: [1]"), file("b.yaml", "rules: [2]")
	seen := map[string]Job{}
	for _, job := range []Job{{}, {PoseDir: "net"}, {Rules: a}, {Rules: b}, {Words: a}, {Rules: a, Words: a}, {Rules: a, PoseDir: "net"}} {
		p, err := job.Program()
		if err != nil {
			t.Fatal(err)
		}
		if other, ok := seen[p]; ok {
			t.Errorf("%+v and %+v are both %q", other, job, p)
		}
		seen[p] = job
	}
	if p, err := (Job{}).Program(); err != nil || p != Version() {
		t.Errorf("built-in rules: got %q, %v", p, err)
	}
	if _, err := (Job{Rules: filepath.Join(dir, "none")}).Program(); !errors.Is(err, rules.ErrBad) || fault.Of(err) == fault.BadInput {
		t.Errorf("no such rules: got %v, which is not the clip's fault", err)
	}
}

// Two builds of two commits have two names, whether or not the build saw the history.
func TestVersionNamesTheCommit(t *testing.T) {
	t.Parallel()
	const one, two = "0123456789abcdef0123456789abcdef01234567", "89abcdef0123456789abcdef0123456789abcdef"
	seen := []debug.BuildSetting{{Key: "vcs", Value: "git"}, {Key: "vcs.revision", Value: two}}
	for name, c := range map[string]struct {
		linked   string
		settings []debug.BuildSetting
		want     string
	}{
		"neither":   {"", nil, version},
		"seen":      {"", seen, version + "+89abcdef0123"},
		"linked":    {one, nil, version + "+0123456789ab"},
		"both":      {one, seen, version + "+0123456789ab"},
		"too short": {"main", nil, version},
	} {
		if got := versionOf(c.linked, c.settings); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}
