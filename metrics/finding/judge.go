package finding

import (
	"cmp"
	"fmt"
	"slices"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
)

// Judge says what the rules find in a result: for each swing that was not checked, in the order of Topics and,
// within one, of the rules; then at most two things to work on next, of unlike topics,
// which may rest on several swings.
func (s Set) Judge(r metrics.Result) []metrics.Finding {
	out := []metrics.Finding{}
	faults := map[string][]metrics.Finding{}
	for _, sw := range r.Swings {
		if sw.Outcome == contact.Check {
			continue
		}
		fired := s.fired(sw)
		for _, topic := range Topics() {
			for _, rule := range fired {
				if rule.Topic != topic {
					continue
				}
				f := s.finding(rule, sw)
				out = append(out, f)
				if rule.Weight > 0 {
					faults[rule.ID] = append(faults[rule.ID], f)
				}
			}
		}
	}
	return append(out, s.next(faults, r)...)
}

// fired are the rules that speak of a swing, in the set's order.
func (s Set) fired(sw metrics.Swing) []Rule {
	of := values(sw)
	var out []Rule
	for _, rule := range s.Rules {
		silent := slices.ContainsFunc(out, func(o Rule) bool { return slices.Contains(rule.Unless, o.ID) })
		if !silent && rule.Fires(of) {
			out = append(out, rule)
		}
	}
	return out
}

// values finds a swing's metrics by name; one that is not there is the zero Value.
func values(sw metrics.Swing) func(string) metrics.Value {
	return func(name string) metrics.Value {
		if m, ok := catalogue.Find(name); ok {
			return sw.Metrics[m]
		}
		return metrics.Value{}
	}
}

func (s Set) finding(rule Rule, sw metrics.Swing) metrics.Finding {
	f := metrics.Finding{
		ID: rule.ID, Key: rule.Key, Swing: sw.Index, Topic: string(rule.Topic), Praise: rule.Praise,
		Text: s.text(s.Words.Say[rule.sentence()], sw),
	}
	of := values(sw)
	for _, name := range rule.Metrics() {
		f.Evidence = append(f.Evidence, evidence(name, of(name), rule.Key, sw.Keys))
	}
	return f
}

func (s Set) text(sentence string, sw metrics.Swing) string {
	of := values(sw)
	return fill(sentence, func(name string) string { return s.Words.Units.number(name, of(name).Float()) })
}

// evidence is a line with a metric, its interval, and the frame to look at.
func evidence(name string, v metrics.Value, key string, keys metrics.Keys) string {
	line := fmt.Sprintf("%s %.4g %s [%.4g, %.4g]", name, *v.Value, v.Unit, *v.Low, *v.High)
	if k := keys.Of(key); k.Frame != nil {
		line += fmt.Sprintf(", %s at frame %.2f", key, *k.Frame)
	}
	return line
}

// next chooses what to work on: the rules that weigh most over all swings in which they
// fired.
func (s Set) next(faults map[string][]metrics.Finding, r metrics.Result) []metrics.Finding {
	rules := slices.DeleteFunc(slices.Clone(s.Rules), func(rule Rule) bool { return len(faults[rule.ID]) == 0 })
	slices.SortStableFunc(rules, func(a, b Rule) int {
		return cmp.Compare(b.Weight*float64(len(faults[b.ID])), a.Weight*float64(len(faults[a.ID])))
	})
	var out []metrics.Finding
	for _, rule := range rules {
		taken := slices.ContainsFunc(out, func(f metrics.Finding) bool { return f.Topic == string(rule.Topic) })
		if taken || len(out) == nextAtMost {
			continue
		}
		f := faults[rule.ID][0]
		f.Next = true
		for _, more := range faults[rule.ID][1:] {
			f.Evidence = append(slices.Clone(f.Evidence), more.Evidence...)
		}
		for _, sw := range r.Swings {
			if sw.Index == f.Swing {
				f.Text = s.text(s.Words.Next[rule.sentence()], sw)
			}
		}
		out = append(out, f)
	}
	return out
}
