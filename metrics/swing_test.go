package metrics

import (
	"encoding/json"
	"errors"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
)

// The order of metrics.json is a contract for readers, and the whole of a swing comes
// back from it.
func TestSwingJSON(t *testing.T) {
	t.Parallel()
	sw := Swing{Index: 2, Line: "drawn"}
	for m := range catalogue.NumMetrics {
		sw.Metrics[m] = Got(float64(m), float64(m)-1, float64(m)+1, m.Row().Unit)
	}
	x := 0.25
	sw.Outcome, sw.OutcomeProbability = contact.Tip, 0.75
	sw.Keys.Lag = Key{TimeS: &x, Frame: &x, Confidence: 0.5, Status: Assumed, Why: "so"}
	text, err := json.Marshal(sw)
	if err != nil {
		t.Fatal(err)
	}
	var back Swing
	if err := json.Unmarshal(text, &back); err != nil || !reflect.DeepEqual(back, sw) {
		t.Errorf("got %+v, %v", back, err)
	}
	names := regexp.MustCompile(`\{"value":[^}]*\}|\{"t_s":[^}]*\}|"drawn"|[:"]`).ReplaceAllString(string(text), "")
	for _, want := range []string{
		"{index2,outcometip,outcome_probability0.75,keys{launch,slot,lag,contact,finish},pitch{line,descent_deg,speed_mps},plane{attack_deg,gap_deg,offset_m},",
		"zone{enter_s,leave_s,duration_s,length_m,behind_m,ahead_m,near{enter_s,leave_s,duration_s},along{enter_s,leave_s,duration_s}},",
		"timing{late_s,solid{early_s,late_s,window_s},any{early_s,late_s,window_s}},speed{",
	} {
		if !strings.Contains(names, want) {
			t.Errorf("got %s, want %s in it", names, want)
		}
	}
}

// A swing of an older version lacks metrics; one with a word for a number names it.
func TestSwingFromOtherJSON(t *testing.T) {
	t.Parallel()
	var sw Swing
	if err := json.Unmarshal([]byte(`{"index":1,"plane":{"gap_deg":{"value":3,"unit":"deg","low":null,"high":null,"status":"measured"}},"later":{}}`), &sw); err != nil {
		t.Fatal(err)
	}
	if sw.Index != 1 || sw.Metrics[catalogue.PlaneGapDeg].Float() != 3 || sw.Metrics[catalogue.PlaneAttackDeg] != (Value{}) {
		t.Errorf("got %+v", sw)
	}
	var unfit *json.UnmarshalTypeError
	if err := json.Unmarshal([]byte(`{"zone":{"near":{"enter_s":{"low":"x"}}}}`), &sw); !errors.As(err, &unfit) || unfit.Field != "zone.near.enter_s.low" {
		t.Errorf("got %v", err)
	}
}
