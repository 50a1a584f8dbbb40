package main

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"ashline/worker/hostile"
)

// asProgram makes this test program stand in for ashline itself.
const asProgram = "ASHLINE_TEST_AS_PROGRAM"

func init() {
	if os.Getenv(asProgram) != "" {
		main()
		os.Exit(0)
	}
}

// A clip that was cut off, or is none, is never measured, and no clip leaves a file, a
// socket or a hung child behind. The long form is "ashline-lab hostile --count 1000".
func TestHostileClips(t *testing.T) {
	if testing.Short() {
		t.Skip("runs whole analyses")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	const clips = 51
	rep, err := hostile.Run(t.Context(), hostile.Config{
		Program: exe, Env: []string{asProgram + "=1"}, Count: clips, Seed: 1000, Workers: 2,
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range rep.Bad() {
		t.Errorf("%+v", o)
	}
	if len(rep.Outcomes) != clips {
		t.Errorf("got %d outcomes, want %d", len(rep.Outcomes), clips)
	}
	if !slices.ContainsFunc(rep.Outcomes, func(o hostile.Outcome) bool { return o.Verdict == hostile.Measured }) {
		t.Error("not even the clip left whole was measured, so that the rest shows nothing")
	}
	var out bytes.Buffer
	if err := rep.Write(&out); err != nil || !strings.Contains(out.String(), "untouched") {
		t.Errorf("got %v, %q", err, out.String())
	}
	t.Log("\n" + out.String())
}
