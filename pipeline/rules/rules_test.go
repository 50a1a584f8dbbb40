package rules

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/metrics"
	"ashline/metrics/finding"
	"ashline/pipeline/bounds"
	"ashline/pipeline/scene"
)

func builtIn(t testing.TB) finding.Set {
	t.Helper()
	s, err := Load("", "")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// swing is one with these metrics and no others.
func swing(t *testing.T, values map[string]metrics.Value) metrics.Swing {
	t.Helper()
	tree := roundTrip[map[string]any](t, metrics.Swing{})
	for name, v := range values {
		at := tree
		parts := strings.Split(name, ".")
		for _, p := range parts[:len(parts)-1] {
			at = at[p].(map[string]any)
		}
		if _, ok := at[parts[len(parts)-1]]; !ok {
			t.Fatalf("no metric %q", name)
		}
		at[parts[len(parts)-1]] = v
	}
	return roundTrip[metrics.Swing](t, tree)
}

func roundTrip[T any](t *testing.T, v any) T {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var out T
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// beyond gives each metric of a rule a value past its bounds, with a half interval that
// is a share of the way to the nearest bound.
func beyond(r finding.Rule, share float64) map[string]metrics.Value {
	out := map[string]metrics.Value{}
	for _, name := range r.Metrics() {
		out[name] = metrics.Got(0.01, 0.009, 0.011, "")
	}
	for _, c := range r.When {
		var v, way float64
		switch {
		case c.Above == nil:
			way = 0.1 + 0.5*abs(*c.Below)
			v = *c.Below - way
		case c.Below == nil:
			way = 0.1 + 0.5*abs(*c.Above)
			v = *c.Above + way
		default:
			v, way = (*c.Above+*c.Below)/2, (*c.Below-*c.Above)/2
		}
		out[c.Metric] = metrics.Got(v, v-share*way, v+share*way, "")
	}
	return out
}

func abs(v float64) float64 { return max(v, -v) }

// Each rule speaks of a swing that is plainly so, and neither of one that may be so nor of
// one in which a metric is missing or assumed.
func TestEveryRule(t *testing.T) {
	t.Parallel()
	set := builtIn(t)
	for _, r := range set.Rules {
		t.Run(r.ID, func(t *testing.T) {
			t.Parallel()
			says := func(values map[string]metrics.Value) (said, next string) {
				for _, f := range set.Judge(metrics.Result{Swings: []metrics.Swing{swing(t, values)}}) {
					if f.ID == r.ID && f.Next {
						next = f.Text
					} else if f.ID == r.ID {
						said = f.Text
						if len(f.Evidence) != len(r.Metrics()) || f.Key != r.Key || f.Topic != string(r.Topic) || f.Praise != r.Praise {
							t.Errorf("got %+v", f)
						}
					}
				}
				return said, next
			}
			said, next := says(beyond(r, 0.9))
			if said == "" || strings.ContainsAny(said+next, "{}") || (next != "") != (r.Weight > 0) {
				t.Errorf("plainly so: got %q and %q", said, next)
			}
			if said, _ := says(beyond(r, 1.1)); said != "" {
				t.Errorf("uncertain: got %q", said)
			}
			for _, name := range r.Metrics() {
				values := beyond(r, 0.9)
				values[name] = values[name].As(metrics.Assumed, "a guess")
				if said, _ := says(values); said != "" {
					t.Errorf("%s assumed: got %q", name, said)
				}
				values[name] = metrics.Lacking("", "hidden")
				if said, _ := says(values); said != "" {
					t.Errorf("%s missing: got %q", name, said)
				}
			}
			if r.Why == "" {
				t.Error("it gives no reason for its bounds")
			}
		})
	}
}

// The bench looks for the rule of a planted fault by the fault's name.
func TestEveryPlantedFaultHasARule(t *testing.T) {
	t.Parallel()
	have := map[string]bool{}
	for _, r := range builtIn(t).Rules {
		have[r.ID] = r.Weight > 0
	}
	for _, f := range scene.Faults() {
		if !have[f] {
			t.Errorf("no rule %q that can be worked on", f)
		}
	}
}

// Hitters are often minors, and a tool that measures is no clinician.
func TestWordsAreKind(t *testing.T) {
	t.Parallel()
	text := strings.ToLower(string(builtInWords))
	_, text, _ = strings.Cut(text, "\nunits:") // past the advice to translators
	for _, w := range []string{"bad", "wrong", "poor", "weak", "lazy", "fail", "injur", "pain", "strain", "health", "hurt", "should", "must", "you "} {
		if strings.Contains(strings.ReplaceAll(text, "shoulder", ""), w) {
			t.Errorf("the words have %q in them", w)
		}
	}
}

const ownRules = `
rules:
  - {id: low_finish, topic: finish, key: finish, weight: 2, when: [{metric: finish.height_m, below: 0.4}]}
`

func TestParse(t *testing.T) {
	t.Parallel()
	src := func(text string) Source { return Source{"own.yaml", []byte(text)} }
	own, err := Parse(src(ownRules), Source{"words.yaml", []byte("say: {low_finish: 'Tief: {finish.height_m}.'}\nunits: {length: '{n} Zentimeter'}")})
	if err != nil {
		t.Fatal(err)
	}
	sw := swing(t, map[string]metrics.Value{"finish.height_m": metrics.Got(0.3, 0.29, 0.31, "m")})
	got := own.Judge(metrics.Result{Swings: []metrics.Swing{sw}})
	if len(got) != 2 || got[0].Text != "Tief: 30 Zentimeter." || got[1].Text != builtIn(t).Words.Next["low_finish"] {
		t.Errorf("got %+v", got)
	}
	if _, err := Parse(src(`{"rules": [{"id": "late", "topic": "timing", "key": "contact", "when": [{"metric": "timing.any.late_s", "below": 0.01}, {"metric": "timing.any.early_s", "above": 0}]}]}`), Source{}); err != nil {
		t.Errorf("JSON: %v", err)
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	swap := func(old, with string) string { return strings.Replace(ownRules, old, with, 1) }
	words := func(text string) [2]string { return [2]string{ownRules, text} }
	for name, tc := range map[string]struct {
		texts [2]string
		want  string
	}{
		"unknown key":           {[2]string{swap("weight", "wieght")}, `rules[0].wieght: unknown key; nearest is "weight"`},
		"unknown key at top":    {[2]string{swap("rules", "rule")}, `rule: unknown key; nearest is "rules"`},
		"unknown key of a test": {[2]string{swap("below", "belwo")}, `rules[0].when[0].belwo: unknown key; nearest is "below"`},
		"unknown metric":        {[2]string{swap("finish.height_m", "finish.hight_m")}, `nearest is "finish.height_m"`},
		"unknown sentence":      {[2]string{swap("id: low_finish", "id: low_finnish")}, `no say.low_finnish; nearest is "low_finish"`},
		"text for a number":     {[2]string{swap("0.4", "low")}, "does not fit here"},
		"number for a list":     {[2]string{"rules: 3"}, "does not fit here"},
		"list for a word":       {[2]string{swap("topic: finish", "topic: [finish]")}, "a list does not fit here"},
		"group for a word":      {[2]string{swap("topic: finish", "topic: {finish: 1}")}, "takes no fields"},
		"not a number":          {[2]string{swap("0.4", ".nan")}, ""},
		"infinite":              {[2]string{swap("0.4", ".inf")}, ""},
		"no rules":              {[2]string{"rules: []"}, "no rules"},
		"empty":                 {[2]string{" "}, "nothing in it"},
		"not YAML":              {[2]string{"rules: [{"}, ""},
		"a control character":   {[2]string{swap("finish,", "fin\x1bish,")}, `control character '\x1b'`},
		"an escaped one":        {words("say: {low_finish: \"\\e[31mred\"}"), `say.low_finish: control character '\x1b'`},
		"a new line":            {words("say: {low_finish: \"a\\nb\"}"), "control character"},
		"text turned round":     {words("say: {low_finish: \"\u202eabc\"}"), "control character"},
		"not UTF-8":             {[2]string{"rules: \xff"}, "not UTF-8"},
		"too large":             {[2]string{"#" + strings.Repeat("x", MaxBytes)}, "more than"},
		"a long sentence":       {words("say: {low_finish: " + strings.Repeat("x", 601) + "}"), "601 characters"},
		"unknown number":        {words("say: {low_finish: 'Low: {finish.heigth_m}'}"), "unknown number {finish.heigth_m}; nearest is {finish.height_m}"},
		"another's number":      {words("say: {low_finish: 'Low: {zone.enter_s}'}"), "unknown number {zone.enter_s}"},
		"unknown part of words": {words("sya: {}"), `sya: unknown key; nearest is "say"`},
		"unknown unit":          {words("units: {lengt: '{n} cm'}"), `units.lengt: unknown key; nearest is "length"`},
		"alias bomb":            {[2]string{"a: &a [x,x]\nb: &b [*a,*a]\nrules: [*b,*b]"}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var w Source
			if tc.texts[1] != "" {
				w = Source{"words.yaml", []byte(tc.texts[1])}
			}
			_, err := Parse(Source{"own.yaml", []byte(tc.texts[0])}, w)
			if !errors.Is(err, ErrBad) || !strings.Contains(err.Error(), tc.want) {
				t.Fatalf("got %v, want %q in it", err, tc.want)
			}
			if strings.ContainsAny(err.Error(), "\n\x1b") || len(err.Error()) > 500 {
				t.Errorf("got an error of %d bytes or with control characters: %q", len(err.Error()), err)
			}
		})
	}
}

func TestLoadAndMark(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := func(name, text string) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return p
	}
	own := file("own.yaml", ownRules)
	if s, err := Load(own, ""); err != nil || len(s.Rules) != 1 {
		t.Errorf("got %+v, %v", s.Rules, err)
	}
	for name, path := range map[string]string{"no such file": filepath.Join(dir, "none"), "a folder": dir, "large": file("large", strings.Repeat("#", MaxBytes+1))} {
		if _, err := Load(path, ""); !errors.Is(err, ErrBad) {
			t.Errorf("%s: got %v", name, err)
		}
		if _, err := Load("", path); !errors.Is(err, ErrBad) {
			t.Errorf("%s for words: got %v", name, err)
		}
	}
	marks := map[string]bool{}
	for _, p := range [][2]string{{"", ""}, {own, ""}, {"", own}, {file("other.yaml", ownRules+"#"), ""}} {
		m, err := Mark(p[0], p[1])
		if err != nil || marks[m] || (m == "") != (p[0]+p[1] == "") {
			t.Errorf("%q: got %q, %v", p, m, err)
		}
		marks[m] = true
	}
	if a, err := Mark(file("same.yaml", ownRules), ""); err != nil || !marks[a] {
		t.Errorf("the same text elsewhere: got %q, %v", a, err)
	}
}

func FuzzParse(f *testing.F) {
	f.Add(string(builtInRules), string(builtInWords))
	f.Add(ownRules, "say: {low_finish: 'Low: {finish.height_m}'}")
	f.Add(`{"rules":[{"id":"a","when":[{"metric":"zone.enter_s","below":1e999}]}]}`, "units: {time: '{n'}")
	f.Add("rules: [*a]", "say: {a: \"\\x00\"}")
	f.Fuzz(func(t *testing.T, rules, words string) {
		var s finding.Set
		var err error
		bounds.Limit{Bytes: 64 << 20, CPU: 10 * time.Second}.Call(t, func() {
			s, err = Parse(Source{"rules", []byte(rules)}, Source{"words", []byte(words)})
		})
		if err != nil {
			if !errors.Is(err, ErrBad) || strings.ContainsRune(err.Error(), '\n') {
				t.Fatalf("got %q", err)
			}
			return
		}
		if err := s.Check(); err != nil {
			t.Fatalf("a set that was let in: %v", err)
		}
		s.Judge(metrics.Result{Swings: []metrics.Swing{{}}})
	})
}
