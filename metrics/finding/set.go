package finding

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"ashline/metrics/catalogue"
	"ashline/metrics/spell"
)

// ErrSet marks a rule set that cannot be used; the text says where and why. Normal for
// one that was changed by hand.
var ErrSet = errors.New("finding: rule set")

// Directions in which a metric can be wanted to go.
const (
	Lower  = "lower"
	Higher = "higher"
	Nearer = "nearer" // to a value
)

// Want is the direction in which a metric is wanted to change.
type Want struct {
	Metric string `json:"metric"`
	// Better is lower, higher or nearer.
	Better string `json:"better"`
	// To is what it should come nearer to. Defaults to 0.
	To float64 `json:"to"`
}

// Set is a rule set with its words.
type Set struct {
	Rules  []Rule `json:"rules"`
	Wanted []Want `json:"wanted"`
	Words  Words  `json:"-"`
}

// nextAtMost is how many things to work on are told at once; more than that nobody can
// keep in mind in a swing (common practice).
const nextAtMost = 2

// Check reports the first thing in a set that cannot be used.
func (s Set) Check() error {
	names := catalogue.Paths()
	var seen []string
	for i, r := range s.Rules {
		if r.ID == "" {
			return fmt.Errorf("%w: rules[%d]: no id", ErrSet, i)
		}
		if slices.Contains(seen, r.ID) {
			return fmt.Errorf("%w: rule %q stands twice", ErrSet, r.ID)
		}
		if err := s.checkRule(r, names, seen); err != nil {
			return fmt.Errorf("%w: rule %q: %w", ErrSet, r.ID, err)
		}
		seen = append(seen, r.ID)
	}
	wanted := map[string]bool{}
	for _, w := range s.Wanted {
		if wanted[w.Metric] {
			return fmt.Errorf("%w: wanted: %q stands twice", ErrSet, w.Metric)
		}
		wanted[w.Metric] = true
		if err := s.checkWant(w, names); err != nil {
			return fmt.Errorf("%w: wanted: %w", ErrSet, err)
		}
	}
	return s.checkUnits()
}

func (s Set) checkRule(r Rule, names, above []string) error {
	topics := make([]string, 0, len(Topics()))
	for _, t := range Topics() {
		topics = append(topics, string(t))
	}
	if err := errors.Join(among("topic", string(r.Topic), topics), among("key", r.Key, catalogue.KeyPaths())); err != nil {
		return err
	}
	if len(r.When) == 0 {
		return errors.New("when: no condition")
	}
	for _, n := range r.Metrics() {
		if err := among("metric", n, names); err != nil {
			return err
		}
	}
	for _, c := range r.When {
		if c.Below == nil && c.Above == nil {
			return fmt.Errorf("%s: neither below nor above", c.Metric)
		}
		for _, b := range []*float64{c.Below, c.Above} {
			if b != nil && (math.IsNaN(*b) || math.IsInf(*b, 0)) {
				return fmt.Errorf("%s: a bound that is no number", c.Metric)
			}
		}
		if c.Below != nil && c.Above != nil && *c.Below <= *c.Above {
			return fmt.Errorf("%s: nothing is above %g and below %g", c.Metric, *c.Above, *c.Below)
		}
	}
	for _, u := range r.Unless {
		if err := among("unless", u, above); err != nil {
			return fmt.Errorf("%w, of the rules above it", err)
		}
	}
	if !(r.Weight >= 0) || math.IsInf(r.Weight, 0) {
		return fmt.Errorf("weight %g is not 0 or more", r.Weight)
	}
	if r.Praise && r.Weight > 0 {
		return errors.New("praise is nothing to work on: leave its weight out")
	}
	if err := s.checkSay("say", s.Words.Say, r); err != nil {
		return err
	}
	if r.Weight == 0 {
		return nil
	}
	return s.checkSay("next", s.Words.Next, r)
}

func (s Set) checkSay(where string, in map[string]string, r Rule) error {
	name := r.sentence()
	text, ok := in[name]
	if !ok {
		return fmt.Errorf("the words have no %s.%s; nearest is %q", where, name, spell.Nearest(name, slices.Sorted(maps.Keys(in))))
	}
	if err := checkSentence(text, r.Metrics()); err != nil {
		return fmt.Errorf("words, %s.%s: %w", where, name, err)
	}
	return nil
}

func (s Set) checkWant(w Want, names []string) error {
	if err := errors.Join(among("metric", w.Metric, names), among("better", w.Better, []string{Lower, Higher, Nearer})); err != nil {
		return err
	}
	if math.IsNaN(w.To) || math.IsInf(w.To, 0) {
		return fmt.Errorf("%s: to is no number", w.Metric)
	}
	turn, ok := s.Words.Change[w.Metric]
	if !ok {
		return fmt.Errorf("the words have no change.%s", w.Metric)
	}
	for where, text := range map[string]string{"better": turn.Better, "worse": turn.Worse} {
		if err := checkSentence(text, []string{"before", "after", "change"}); err != nil {
			return fmt.Errorf("words, change.%s.%s: %w", w.Metric, where, err)
		}
	}
	return nil
}

func (s Set) checkUnits() error {
	phrases := s.Words.Units.phrases()
	for _, name := range slices.Sorted(maps.Keys(phrases)) {
		may := []string{"n"}
		if name == "contact" {
			may = nil
		}
		if err := checkSentence(phrases[name], may); err != nil {
			return fmt.Errorf("%w: words, units.%s: %w", ErrSet, name, err)
		}
	}
	if len(s.Wanted) == 0 {
		return nil
	}
	if err := checkSentence(s.Words.OneSwing, []string{"sentence"}); err != nil {
		return fmt.Errorf("%w: words, one_swing: %w", ErrSet, err)
	}
	return nil
}

// among refuses a name that is none of the known.
func among(what, name string, known []string) error {
	if slices.Contains(known, name) {
		return nil
	}
	return fmt.Errorf("%s: unknown name %.60q; nearest is %q", what, name, spell.Nearest(name, known))
}
