package finding

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"ashline/metrics"
)

func TestFires(t *testing.T) {
	t.Parallel()
	below := []Condition{{Metric: "finish.height_m", Below: num(0.6)}}
	between := []Condition{{Metric: "finish.height_m", Above: num(0.2), Below: num(0.6)}}
	guess := bounded(0.3, 0.01).As(metrics.Assumed, "a guess")
	for _, tc := range []struct {
		name  string
		when  []Condition
		show  []string
		value metrics.Value
		want  bool
	}{
		{"whole interval below", below, nil, bounded(0.5, 0.09), true},
		{"interval up to the bound", below, nil, bounded(0.5, 0.1), false},
		{"interval across the bound", below, nil, bounded(0.5, 0.2), false},
		{"above the bound", below, nil, bounded(0.7, 0.01), false},
		{"between", between, nil, bounded(0.4, 0.1), true},
		{"across the lower of two bounds", between, nil, bounded(0.25, 0.1), false},
		{"missing", below, nil, metrics.Lacking("m", "hidden"), false},
		{"not in the file", below, nil, metrics.Value{}, false},
		{"assumed", below, nil, guess, false},
		{"without an interval", below, nil, metrics.Got(0.3, math.NaN(), math.NaN(), "m"), false},
		{"what it shows is missing", below, []string{"finish.extension_m"}, bounded(0.3, 0.01), false},
		{"no condition", nil, []string{"finish.height_m"}, bounded(0.3, 0.01), false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			sw := swing(t, 0, map[string]metrics.Value{"finish.height_m": tc.value})
			if got := (Rule{When: tc.when, Show: tc.show}).Fires(values(sw)); got != tc.want {
				t.Errorf("got %v, want %v", got, tc.want)
			}
		})
	}
}

func TestHolds(t *testing.T) {
	t.Parallel()
	r := Rule{When: []Condition{{Metric: "a", Below: num(1)}, {Metric: "b", Above: num(2)}}}
	for _, tc := range []struct {
		a, b float64
		want bool
	}{{0, 3, true}, {1, 3, false}, {0, 2, false}, {math.NaN(), 3, false}, {0, math.NaN(), false}} {
		if got := r.Holds(func(n string) float64 { return map[string]float64{"a": tc.a, "b": tc.b}[n] }); got != tc.want {
			t.Errorf("%g and %g: got %v, want %v", tc.a, tc.b, got, tc.want)
		}
	}
}

// Findings come by topic whatever the order of the rules, and what to work on last.
func TestJudgeOrder(t *testing.T) {
	t.Parallel()
	sw := swing(t, 0, map[string]metrics.Value{
		"finish.height_m": bounded(0.3, 0.1), "zone.enter_s": bounded(-0.002, 0.001),
		"plane.attack_deg": bounded(-3, 1), "plane.gap_deg": bounded(1, 1),
	})
	got := two().Judge(metrics.Result{Swings: []metrics.Swing{sw}})
	want := "0 On the line 2 ms before, attack −3°.\n0 Matched.\n0 Low: 30 cm.\n0 next Sooner, not 2 ms before.\n0 next Higher."
	if s := texts(got); s != want {
		t.Errorf("got\n%s\nwant\n%s", s, want)
	}
	first, praise := got[0], got[1]
	if first.ID != "late_on" || first.Key != "contact" || first.Topic != "line" || first.Praise || !praise.Praise || praise.Next {
		t.Errorf("got %+v and %+v", first, praise)
	}
	lines := []string{"zone.enter_s -0.002 u [-0.003, -0.001], contact at frame 130.00", "plane.attack_deg -3 u [-4, -2], contact at frame 130.00"}
	if !slices.Equal(first.Evidence, lines) {
		t.Errorf("got evidence %q, want %q", first.Evidence, lines)
	}
}

// What shows in several swings weighs more, and brings the evidence of all of them.
func TestJudgeNextOverSwings(t *testing.T) {
	t.Parallel()
	low := map[string]metrics.Value{"finish.height_m": bounded(0.3, 0.1)}
	late := map[string]metrics.Value{"zone.enter_s": bounded(0, 0.0001), "plane.attack_deg": bounded(2, 1)}
	var r metrics.Result
	for i := range 4 {
		r.Swings = append(r.Swings, swing(t, i, low))
	}
	r.Swings = append(r.Swings, swing(t, 4, late))
	got := two().Judge(r)
	next := got[len(got)-2:]
	if s := texts(next); s != "0 next Higher.\n4 next Sooner, not at contact." {
		t.Errorf("got %s", s)
	}
	if len(next[0].Evidence) != 4 {
		t.Errorf("got evidence %q", next[0].Evidence)
	}
	if len(got) != 7 || len(got[0].Evidence) != 1 {
		t.Errorf("got %+v", got)
	}
}

func TestJudgeNextAtMostTwoOfUnlikeTopics(t *testing.T) {
	t.Parallel()
	s := two()
	for _, id := range []string{"b", "c", "d"} {
		topic := Topic("line")
		if id == "d" {
			topic = "arm"
		}
		s.Rules = append(s.Rules, Rule{ID: id, Topic: topic, Key: "contact", Weight: 2, When: []Condition{{Metric: "plane.gap_deg", Above: num(0)}}})
		s.Words.Say[id], s.Words.Next[id] = id, id
	}
	sw := swing(t, 0, map[string]metrics.Value{"plane.gap_deg": bounded(9, 1), "finish.height_m": bounded(0.3, 0.1)})
	var next []string
	for _, f := range s.Judge(metrics.Result{Swings: []metrics.Swing{sw}}) {
		if f.Next {
			next = append(next, f.ID)
		}
	}
	if want := []string{"b", "d"}; !slices.Equal(next, want) {
		t.Errorf("got %q, want %q", next, want)
	}
}

func TestJudgeUnless(t *testing.T) {
	t.Parallel()
	s := two()
	s.Rules = append(s.Rules, Rule{
		ID: "other", Topic: "finish", Key: "finish", Unless: []string{"finish_low"}, When: []Condition{{Metric: "plane.gap_deg", Above: num(5)}},
	})
	s.Words.Say["other"] = "Other."
	for height, want := range map[float64]string{0.3: "0 Low: 30 cm.\n0 next Higher.", 0.9: "0 Other."} {
		sw := swing(t, 0, map[string]metrics.Value{"plane.gap_deg": bounded(9, 1), "finish.height_m": bounded(height, 0.1)})
		if got := texts(s.Judge(metrics.Result{Swings: []metrics.Swing{sw}})); got != want {
			t.Errorf("%g m: got %q, want %q", height, got, want)
		}
	}
}

// Judging leaves its input as it is, and nothing known gives an empty list, not null.
func TestJudgeNothing(t *testing.T) {
	t.Parallel()
	r := metrics.Result{Swings: []metrics.Swing{{}}}
	got := two().Judge(r)
	if text, err := json.Marshal(got); err != nil || string(text) != "[]" {
		t.Errorf("got %s, %v", text, err)
	}
	if len(r.Findings) != 0 {
		t.Errorf("the input was changed: %+v", r)
	}
}

func TestNumbers(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		metric string
		value  float64
		want   string
	}{
		{"zone.enter_s", -0.0126, "13 ms before"},
		{"zone.near.leave_s", 0.0104, "10 ms after"},
		{"zone.leave_s", -0.0004, "at contact"},
		{"zone.duration_s", 0.0214, "21 ms"},
		{"timing.any.late_s", -0.003, "−3 ms"},
		{"plane.offset_m", -0.0004, "0 cm"},
		{"plane.offset_m", -0.024, "−2 cm"},
		{"plane.gap_deg", -9.6, "−10°"},
		{"speed.barrel_contact_mps", 30.6, "31 m/s"},
		{"body.hands_straightness", 0.913, "91 %"},
	} {
		if got := units.number(tc.metric, tc.value); got != tc.want {
			t.Errorf("%s %g: got %q, want %q", tc.metric, tc.value, got, tc.want)
		}
	}
}
