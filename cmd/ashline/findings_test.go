package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"ashline/metrics"
)

// Rules that cannot be used are a mistake of whoever names them, never of the clip, and
// are found before the clip is looked at.
func TestRulesThatCannotBeUsed(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	put(t, at("clip.mp4"), "no clip")
	put(t, at("clip.card.yaml"), `marks: {barrel: {colour: "#ff2d95"}}`)
	put(t, at("rules.yaml"), "rules:\n  - {id: low_finish, topic: finish, key: finish, when: [{metric: finish.hight_m, below: 0.4}]}\n")
	put(t, at("words.yaml"), "say: {low_finish: 'Low: {finish.hight_m}'}\n")
	put(t, at("own.yaml"), "rules:\n  - {id: low_finish, topic: finish, key: finish, when: [{metric: finish.height_m, below: 0.4}]}\n")
	for _, tc := range []struct {
		name  string
		flags []string
		code  int
		want  string
	}{
		{"unknown metric", []string{"--rules", at("rules.yaml")}, exitUsage, `nearest is "finish.height_m"`},
		{"unknown number", []string{"--words", at("words.yaml")}, exitUsage, "nearest is {finish.height_m}"},
		{"no such file", []string{"--rules", at("none.yaml")}, exitUsage, "no such file"},
		{"good rules, no clip", []string{"--rules", at("own.yaml")}, exitBadInput, "clip.mp4"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			_, line, code := invoke(t, append([]string{"measure", at("clip.mp4"), "--out", t.TempDir()}, tc.flags...)...)
			if code != tc.code || !strings.Contains(line, tc.want) {
				t.Errorf("got %d %q, want %d with %q", code, line, tc.code, tc.want)
			}
		})
	}
}

func TestPrintFindings(t *testing.T) {
	t.Parallel()
	r := metrics.Result{Swings: make([]metrics.Swing, 2), Findings: []metrics.Finding{
		{Text: "Early on the line.", Praise: true}, {Text: "Low finish.", Swing: 1}, {Text: "Finish higher.", Swing: 1, Next: true},
	}}
	var out bytes.Buffer
	printFindings(&out, r)
	if want := "findings\n  + swing 0: Early on the line.\n  - swing 1: Low finish.\n  next: Finish higher.\n"; out.String() != want {
		t.Errorf("got %q, want %q", out.String(), want)
	}
	out.Reset()
	printFindings(&out, metrics.Result{})
	if out.Len() > 0 {
		t.Errorf("nothing found: got %q", out.String())
	}
}
