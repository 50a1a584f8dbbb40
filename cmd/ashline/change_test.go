package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
)

// invoke runs the program on arguments and returns what it printed, its error
// line and its exit code.
func invoke(t *testing.T, args ...string) (out, line string, code int) {
	t.Helper()
	var b bytes.Buffer
	root := newRootCmd()
	root.SetArgs(args)
	root.SetOut(&b)
	root.SetErr(&b)
	if err := root.ExecuteContext(t.Context()); err != nil {
		return b.String(), errorLine(err), exitCode(err, false)
	}
	return b.String(), "", 0
}

// resultFolders writes folders of results into a new folder, each of one swing with
// its attack angle, and returns a function that gives their paths.
func resultFolders(t *testing.T) func(name string) string {
	t.Helper()
	dir := t.TempDir()
	for i, f := range []struct {
		name, kind string
		attack     float64
	}{{"before-1", "live", 3}, {"before-2", "live", 4}, {"before-3", "live", 5}, {"after-1", "live", 8}, {"after-2", "live", 9}, {"after-3", "live", 10}, {"tee", "tee", 12}} {
		s := metrics.Swing{}
		s.Metrics[catalogue.PlaneAttackDeg] = metrics.Got(f.attack, f.attack-1, f.attack+1, "deg")
		s.Metrics[catalogue.PlaneGapDeg] = metrics.Lacking("deg", "no pitch line")
		text, err := json.Marshal(metrics.Result{
			Schema: metrics.SchemaVersion, Clip: metrics.Clip{SHA256: fmt.Sprintf("%064d", i)},
			Card: metrics.Card{Kind: f.kind}, Swings: []metrics.Swing{s},
		})
		if err != nil {
			t.Fatal(err)
		}
		put(t, filepath.Join(dir, f.name, "metrics.json"), string(text))
	}
	put(t, filepath.Join(dir, "empty.json"), "")
	put(t, filepath.Join(dir, "next.json"), `{"schema":"ashline.metrics/2.0"}`)
	put(t, filepath.Join(dir, "none.json"), `{"schema":"ashline.metrics/1.0","swings":[]}`)
	put(t, filepath.Join(dir, "folder", "track.csv"), "frame\n")
	return func(name string) string {
		if strings.HasPrefix(name, "-") || strings.HasPrefix(name, "=") {
			return strings.TrimPrefix(name, "=") // a flag, or a word that is no path
		}
		return filepath.Join(dir, name)
	}
}

func put(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestChangeExitCodes(t *testing.T) {
	t.Parallel()
	path := resultFolders(t)
	for _, tc := range []struct {
		name, args string
		code       int
		want       string // part of what is printed, or of the error
	}{
		{"single swings", "before-1 --after after-1", 0, "one swing each: between these swings only"},
		{"groups", "before-1 before-2 before-3 --after after-1 after-2 after-3", 0, "plane.attack_deg     4.0    9.0    +5.0     [2.7, 7.3]  deg          2.3  real"},
		{"the same, split by other flags", "--only =plane before-1 before-2 --after after-1 after-2 --mix after-3", 0, "after   3 swings"},
		{"a flag for each", "before-1 before-2 --after after-1 --after after-2", 0, "after   2 swings"},
		{"after two dashes", "before-1 --after after-1 -- after-2", 0, "after   2 swings"},
		{"files", "before-1/metrics.json --after after-1/metrics.json", 0, "+5.0"},
		{"mixed", "before-1 --after tee --mix", 0, "kind is unlike: before live; after tee"},
		{"missing on a side", "before-1 --after after-1 --only =gap_deg", 0, "both sides: no pitch line"},

		{"no arguments", "", exitUsage, "two groups are needed"},
		{"no after", "before-1 after-1", exitUsage, "two groups are needed"},
		{"no before", "--after after-1 before-1", exitUsage, "two groups are needed"},
		{"after without a path", "before-1 --after", exitUsage, "after"},
		{"empty path", "before-1 --after=", exitUsage, "wants a path"},
		{"unlike kinds", "before-1 --after tee", exitUsage, "before live; after tee; --mix"},
		{"unlike kinds in a group", "before-1 tee --after after-1", exitUsage, "before live, tee; after live; --mix"},
		{"unknown metric", "before-1 --after after-1 --only =plane,atack_deg", exitUsage, `"atack_deg" is no metric and no group of metrics; nearest is "attack_deg"`},
		{"unknown metric and no file", "nowhere --after after-1 --only =atack_deg", exitUsage, "nearest is"},
		{"no metric", "before-1 --after after-1 --only=", exitUsage, "--only names nothing"},
		{"unknown flag", "before-1 --afer after-1", exitUsage, "afer"},
		{"the same clip twice", "before-1 before-1/metrics.json --after after-1", exitUsage, "the same clip twice"},

		{"no such file", "before-1 --after nowhere", exitBadInput, "no such file or folder"},
		{"no results in the folder", "before-1 --after folder", exitBadInput, "no metrics.json in this folder"},
		{"not JSON", "folder/track.csv --after after-1", exitBadInput, "not JSON"},
		{"empty file", "before-1 --after after-1 empty.json", exitBadInput, "the file is empty"},
		{"another version", "before-1 --after next.json", exitBadInput, "this program reads"},
		{"no swings", "none.json --after after-1", exitBadInput, "no swings in it"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			args := []string{"change"}
			for _, a := range strings.Fields(tc.args) {
				args = append(args, path(a))
			}
			out, line, code := invoke(t, args...)
			if code != tc.code || !strings.Contains(out+line, tc.want) {
				t.Fatalf("got %d, want %d with %q:\n%s%s", code, tc.code, tc.want, out, line)
			}
			if code != 0 && (out != "" || line == "" || strings.Contains(line, "\n")) {
				t.Errorf("not one line of error: %q after %q", line, out)
			}
		})
	}
}

// What is printed as JSON is what the comparison found, with the program named.
func TestChangeJSON(t *testing.T) {
	t.Parallel()
	path := resultFolders(t)
	out, line, code := invoke(t, "change", path("before-1"), path("before-2"), "--after", path("after-1"), path("after-2"), "--only", "plane", "--json")
	if code != 0 {
		t.Fatalf("got %d, %s", code, line)
	}
	dec := json.NewDecoder(strings.NewReader(out))
	dec.DisallowUnknownFields()
	var o change.Outcome
	if err := dec.Decode(&o); err != nil {
		t.Fatal(err)
	}
	if dec.More() {
		t.Error("more than one object")
	}
	if o.Schema != change.SchemaVersion || o.Program == "" || o.Before.Swings != 2 || o.After.Swings != 2 || len(o.Changes) != 1 || len(o.LeftOut) != 2 {
		t.Fatalf("got %+v", o)
	}
	if c := o.Changes[0]; c.Metric != "plane.attack_deg" || c.Change.Float() != 5 || c.Verdict != change.Real {
		t.Errorf("got %+v", c)
	}
}
