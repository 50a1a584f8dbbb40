package pipeline

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

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
	if _, err := (Job{Rules: filepath.Join(dir, "none")}).Program(); !errors.Is(err, rules.ErrBad) || BadInput(err) {
		t.Errorf("no such rules: got %v, which is not the clip's fault", err)
	}
}
