package finding

import (
	"fmt"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
)

func num(v float64) *float64 { return &v }

// bounded is a metric with an interval of a half width to either side.
func bounded(v, half float64) metrics.Value { return metrics.Got(v, v-half, v+half, "u") }

// swing is one of which nothing is known but the given metrics, with key positions at
// frames of their own.
func swing(t *testing.T, index int, values map[string]metrics.Value) metrics.Swing {
	t.Helper()
	sw := metrics.Swing{Index: index}
	for i, k := range []*metrics.Key{&sw.Keys.Launch, &sw.Keys.Slot, &sw.Keys.Lag, &sw.Keys.Contact, &sw.Keys.Finish} {
		k.Frame = num(float64(100 + 10*i))
	}
	for name, v := range values {
		put(t, &sw, name, v)
	}
	return sw
}

// put sets a metric by its path in metrics.json.
func put(t *testing.T, sw *metrics.Swing, path string, v metrics.Value) {
	t.Helper()
	m, ok := catalogue.Find(path)
	if !ok {
		t.Fatalf("no metric %q", path)
	}
	sw.Metrics[m] = v
}

// units are short phrases.
var units = Units{
	Time: "{n} ms", Before: "{n} ms before", After: "{n} ms after", Contact: "at contact",
	Length: "{n} cm", Angle: "{n}°", Speed: "{n} m/s", Share: "{n} %",
}

// two is a set of two faults and one praise.
func two() Set {
	return Set{
		Rules: []Rule{
			{ID: "finish_low", Topic: "finish", Key: "finish", Weight: 1, When: []Condition{{Metric: "finish.height_m", Below: num(0.6)}}},
			{
				ID: "late_on", Topic: "line", Key: "contact", Weight: 3, Show: []string{"plane.attack_deg"},
				When: []Condition{{Metric: "zone.enter_s", Above: num(-0.005)}},
			},
			{ID: "gap_small", Topic: "line", Key: "contact", Praise: true, When: []Condition{{Metric: "plane.gap_deg", Above: num(-4), Below: num(4)}}},
		},
		Wanted: []Want{{Metric: "zone.enter_s", Better: Lower}, {Metric: "plane.gap_deg", Better: Nearer}, {Metric: "zone.duration_s", Better: Higher}},
		Words: Words{
			Units: units,
			Say: map[string]string{
				"finish_low": "Low: {finish.height_m}.", "late_on": "On the line {zone.enter_s}, attack {plane.attack_deg}.", "gap_small": "Matched.",
			},
			Next: map[string]string{"finish_low": "Higher.", "late_on": "Sooner, not {zone.enter_s}."},
			Change: map[string]Turn{
				"zone.enter_s":    {"Sooner by {change}: {after}, was {before}.", "Later by {change}."},
				"plane.gap_deg":   {"Nearer: {after} from {before}.", "Further: {after} from {before}."},
				"zone.duration_s": {"Longer: {after}.", "Shorter: {after}."},
			},
			OneSwing: "These two only: {sentence}",
		},
	}
}

func texts(findings []metrics.Finding) string {
	var out []string
	for _, f := range findings {
		mark := ""
		if f.Next {
			mark = "next "
		}
		out = append(out, fmt.Sprintf("%d %s%s", f.Swing, mark, f.Text))
	}
	return strings.Join(out, "\n")
}
