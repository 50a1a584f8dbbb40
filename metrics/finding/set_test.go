package finding

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestCheck(t *testing.T) {
	t.Parallel()
	if err := two().Check(); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name string
		with func(s *Set)
		want string
	}{
		{"no id", func(s *Set) { s.Rules[0].ID = "" }, "rules[0]: no id"},
		{"an id twice", func(s *Set) { s.Rules[1].ID = "finish_low" }, `"finish_low" stands twice`},
		{"topic", func(s *Set) { s.Rules[0].Topic = "finnish" }, `topic: unknown name "finnish"; nearest is "finish"`},
		{"key", func(s *Set) { s.Rules[0].Key = "lanch" }, `key: unknown name "lanch"; nearest is "launch"`},
		{"metric", func(s *Set) { s.Rules[0].When[0].Metric = "finish.hight_m" }, `nearest is "finish.height_m"`},
		{"metric to show", func(s *Set) { s.Rules[0].Show = []string{"plane.atack_deg"} }, `nearest is "plane.attack_deg"`},
		{"no condition", func(s *Set) { s.Rules[0].When = nil }, "no condition"},
		{"no bound", func(s *Set) { s.Rules[0].When = []Condition{{Metric: "finish.height_m"}} }, "neither below nor above"},
		{"no number", func(s *Set) { s.Rules[0].When[0].Below = num(math.NaN()) }, "no number"},
		{"nothing between", func(s *Set) { s.Rules[2].When[0].Above = num(4) }, "nothing is above 4 and below 4"},
		{"unless unknown", func(s *Set) { s.Rules[1].Unless = []string{"finish_lo"} }, `nearest is "finish_low"`},
		{"unless one below", func(s *Set) { s.Rules[0].Unless = []string{"late_on"} }, "of the rules above it"},
		{"weight", func(s *Set) { s.Rules[0].Weight = -1 }, "weight -1"},
		{"praise with weight", func(s *Set) { s.Rules[2].Weight = 1 }, "praise is nothing to work on"},
		{"no sentence", func(s *Set) { s.Rules[0].Say = "late_of" }, `no say.late_of; nearest is "late_on"`},
		{"nothing to work on", func(s *Set) { delete(s.Words.Next, "late_on") }, "no next.late_on"},
		{"unknown number", func(s *Set) { s.Words.Say["late_on"] = "On {zone.entr_s}." }, "{zone.entr_s}; nearest is {zone.enter_s}"},
		{"another rule's number", func(s *Set) { s.Words.Next["finish_low"] = "{zone.enter_s}" }, "nearest is {finish.height_m}"},
		{"open brace", func(s *Set) { s.Words.Say["late_on"] = "On {zone.enter_s." }, "brace"},
		{"closing brace", func(s *Set) { s.Words.Say["late_on"] = "On }." }, "brace"},
		{"empty sentence", func(s *Set) { s.Words.Say["late_on"] = " " }, "is empty"},
		{"unit without number", func(s *Set) { s.Words.Units.Time = "{m} ms" }, "units.time: unknown number {m}; nearest is {n}"},
		{"number where none is", func(s *Set) { s.Words.Units.Contact = "{n}" }, "it can have none"},
		{"wanted metric", func(s *Set) { s.Wanted[0].Metric = "zone.ente_s" }, `nearest is "zone.enter_s"`},
		{"wanted twice", func(s *Set) { s.Wanted[1] = s.Wanted[0] }, "stands twice"},
		{"wanted direction", func(s *Set) { s.Wanted[0].Better = "low" }, `nearest is "lower"`},
		{"wanted without words", func(s *Set) { delete(s.Words.Change, "zone.enter_s") }, "no change.zone.enter_s"},
		{"number in a change", func(s *Set) { s.Words.Change["zone.enter_s"] = Turn{"{befor}", "x"} }, "nearest is {before}"},
		{"one swing", func(s *Set) { s.Words.OneSwing = "{text}" }, "one_swing"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			s := two()
			tc.with(&s)
			err := s.Check()
			if !errors.Is(err, ErrSet) || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("got %v, want %q in it", err, tc.want)
			}
		})
	}
}
