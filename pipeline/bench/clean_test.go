package bench

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"ashline/metrics/catalogue"
	"ashline/pipeline/scene"
)

// What a clean clip (240 fps, 1/1000 s, tripod, good light) must come to, in at
// least 18 scenes of 20. The limits are the project's first promise to coaches.
const (
	cleanScenes    = 20
	cleanGood      = 18
	cleanAttackDeg = 1.5
	cleanDescent   = 1.0
	cleanContactS  = 0.003
)

// What the barrel's path must come to over all frames of these scenes, of twenty or
// of five: the median error of a frame in which the band was seen, and the root mean
// square of those in which the path was carried on. No scene may take another thing
// for the barrel.
const (
	cleanSeenPx    = 0.5
	cleanCarriedPx = 2.0
)

// TestCleanScenes renders scenes whose truth the measuring code had no part in
// and measures the files as any clip. -short renders five.
func TestCleanScenes(t *testing.T) {
	t.Parallel()
	n, good := cleanScenes, cleanGood
	if testing.Short() {
		n, good = 5, 4
	}
	var cases []Case
	for i := range n {
		cases = append(cases, Case{Family: scene.Clean, Seed: 1000 + uint64(i)})
	}
	outs, err := Run(t.Context(), Options{Cases: cases, Dir: t.TempDir(), Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	var table strings.Builder
	for _, o := range outs {
		ok := within(o)
		if ok {
			held++
		}
		fmt.Fprintf(&table, "%-5v %s\n", ok, o.Line())
	}
	Table(&table, "clean", outs)
	fmt.Fprintf(os.Stdout, "%s\n", table.String())
	var seen, carried []float64
	for _, o := range outs {
		seen, carried = append(seen, o.SeenPx...), append(carried, o.BridgedPx...)
		if o.Wrong > 0 {
			t.Errorf("clean %d: %d frames have another thing for the barrel", o.Seed, o.Wrong)
		}
	}
	if m := quantile(seen, 0.5); !(m <= cleanSeenPx) {
		t.Errorf("the barrel is %.2f px off in the middle of %d frames that saw it, want at most %.1f", m, len(seen), cleanSeenPx)
	}
	if m := rms(carried); len(carried) > 0 && !(m <= cleanCarriedPx) {
		t.Errorf("the barrel is %.2f px off (r.m.s.) in %d frames that carried it on, want at most %.1f", m, len(carried), cleanCarriedPx)
	}
	if held < good {
		t.Errorf("%d of %d scenes within the limits, want %d\n%s", held, n, good, table.String())
	}
}

func within(o Outcome) bool {
	if o.Err != nil || len(o.Result.Swings) != 1 {
		return false
	}
	s, t := o.Result.Swings[0], o.Truth.Swings[0]
	contact, ok := o.Contact()
	return ok && math.Abs(contact) <= cleanContactS && o.Wrong == 0 &&
		math.Abs(s.Metrics[catalogue.PlaneAttackDeg].Float()-t.Metrics["plane.attack_deg"]) <= cleanAttackDeg &&
		math.Abs(s.Metrics[catalogue.PitchDescentDeg].Float()-t.Metrics["pitch.descent_deg"]) <= cleanDescent
}
