package bench

import (
	"bytes"
	"errors"
	"maps"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/rules"
	"ashline/pipeline/scene"
)

// finished is a scene whose barrel finishes at one height and was measured at another.
func finished(seed uint64, fault string, trueM, measuredM float64) Outcome {
	o := Outcome{Case: Case{Family: scene.Clean, Seed: seed, Fault: fault}}
	o.Truth.Swings = []scene.SwingTruth{{Metrics: scene.Numbers{"finish.height_m": trueM}}}
	var sw metrics.Swing
	sw.Metrics[catalogue.FinishHeightM] = metrics.Got(measuredM, measuredM-0.01, measuredM+0.01, "m")
	o.Result.Swings = []metrics.Swing{sw}
	return o
}

func TestReportFindings(t *testing.T) {
	t.Parallel()
	set, err := rules.Load("", "")
	if err != nil {
		t.Fatal(err)
	}
	broken := Outcome{Case: Case{Family: scene.Clean, Seed: 5, Fault: scene.LowFinish}, Err: errors.New("no clip")}
	r := ReportFindings([]Outcome{
		finished(1, scene.LowFinish, 0.3, 0.31), // named
		finished(2, scene.LowFinish, 0.5, 0.70), // not named
		finished(3, "", 0.70, 0.5),              // a false finding
		finished(4, "", 0.70, 0.70),             // nothing said
		finished(6, scene.TooLate, 0.3, 0.31),   // a true finding, another fault
		broken,
	}, set)
	want := []FaultScore{{"none", 2, 0, 0, 1, 1}, {"low_finish", 3, 1, 1, 1, 0}, {"late", 1, 0, 0, 1, 0}}
	if len(r.Faults) != len(want) {
		t.Fatalf("got %+v", r.Faults)
	}
	for i, w := range want {
		if r.Faults[i] != w {
			t.Errorf("got %+v, want %+v", r.Faults[i], w)
		}
	}
	if len(r.Unnamed) != 2 || !strings.Contains(r.Unnamed[0], "clean 2: low_finish not named: finish.height_m 0.7 m  [0.69, 0.71], in truth 0.5") {
		t.Errorf("got %q", r.Unnamed)
	}
	if len(r.False) != 1 || !strings.Contains(r.False[0], "clean 3: low_finish: ") {
		t.Errorf("got %q", r.False)
	}
	var out bytes.Buffer
	if err := r.Write(&out); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "planted faults named: 25.0 % (1 of 4); false findings: 33.3 % (1 of 3)") {
		t.Errorf("got %s", out.String())
	}
}

// A result made of the truth knows each metric that the truth has, and no other.
func TestTruthResult(t *testing.T) {
	t.Parallel()
	truth := scene.Numbers{"zone.enter_s": -0.01, "zone.near.enter_s": -0.02, "body.head_drift_m": 2}
	sw := TruthResult(scene.SwingTruth{Metrics: truth}).Swings[0]
	for m := range catalogue.NumMetrics {
		want, ok := truth[m.Path()]
		if v := sw.Metrics[m]; v.Known() != ok || ok && v.Float() != want {
			t.Errorf("%s: got %s, want %g", m.Path(), v, want)
		}
	}
}

// Every metric has a truth in some scene, by its own path, and no truth is of a metric
// that there is not.
func TestEveryMetricHasItsTruth(t *testing.T) {
	t.Parallel()
	truth := scene.Numbers{}
	// A hitter whose hands are under way before the launch has no slot, and only a miss is late.
	for seed := uint64(7); seed < 12; seed++ {
		family := scene.Clean
		if seed == 11 {
			family = scene.Late
		}
		s, err := scene.New(scene.Random(seed, family))
		if err != nil {
			t.Fatal(err)
		}
		maps.Copy(truth, s.Swing().Metrics)
	}
	for m := range catalogue.NumMetrics {
		if _, ok := truth[m.Path()]; !ok && m != catalogue.BodyLeadElbowStraightS {
			t.Errorf("%s has no truth", m.Path())
		}
	}
	for path := range truth {
		if _, ok := catalogue.Find(path); !ok {
			t.Errorf("%s is the truth of no metric", path)
		}
	}
}

// Judged by their truth, planted faults are named and nothing is false.
func TestTruthNamesPlantedFaults(t *testing.T) {
	t.Parallel()
	set, err := rules.Load("", "")
	if err != nil {
		t.Fatal(err)
	}
	var cases []Case
	for seed := uint64(21); seed < 28; seed++ {
		cases = append(cases, Case{Family: scene.Clean, Seed: seed, Bands: "all", Fault: Planted(seed)})
	}
	outs, err := RunTruth(t.Context(), Options{Cases: cases, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	r := ReportFindings(outs, set)
	if len(r.Faults) != 7 || len(r.Unnamed) > 0 || len(r.False) > 0 {
		t.Errorf("got %+v", r)
	}
}
