package report

import (
	"cmp"
	"strings"

	"ashline/metrics"
	"ashline/metrics/page"
)

// row is one metric of a table.
type row struct {
	Path, Name, Plain string
	shown
	Status string // in words
	Class  string // measured, assumed, missing; empty for another status
	Why    string
}

// group is a part of a table.
type group struct {
	Title string
	Rows  []row
}

// table lists all metrics of a swing in the groups of metrics/README.md.
func table(sw metrics.Swing) []group {
	values := map[string]metrics.Value{}
	for _, m := range sw.Metrics() {
		values[m.Name] = m.Value
	}
	var out []group
	for _, w := range page.AllWords() {
		v, ok := values[w.Path]
		if !ok { // a key position; those stand in the strip
			continue
		}
		if len(out) == 0 || out[len(out)-1].Title != w.Group {
			out = append(out, group{Title: w.Group})
		}
		g := &out[len(out)-1]
		g.Rows = append(g.Rows, rowOf(w.Path, w.Name, w.Plain, v))
	}
	return out
}

func rowOf(path, name, plain string, v metrics.Value) row {
	r := row{Path: path, Name: name, Plain: plain, shown: show(v), Status: string(v.Status), Why: v.Why}
	if !v.Known() {
		r.Status = string(metrics.Missing)
	}
	switch metrics.Status(r.Status) {
	case metrics.Measured, metrics.Assumed, metrics.Missing:
		r.Class, r.Status = r.Status, words[r.Status]
	}
	return r
}

// tile is a main number.
type tile struct {
	Name string
	row
}

func tiles(sw metrics.Swing) []tile {
	var out []tile
	for _, k := range mainMetrics {
		for _, m := range sw.Metrics() {
			if k.path == m.Name {
				out = append(out, tile{k.name, rowOf(m.Name, k.name, "", m.Value)})
			}
		}
	}
	return out
}

// lack is a reason and what is missing for it.
type lack struct {
	Why   string
	Names []string
}

// missing lists the reasons for what is missing, each once.
func missing(sw metrics.Swing) []lack {
	var out []lack
	at := map[string]int{}
	add := func(name, why string) {
		why = cmp.Or(strings.TrimSpace(why), words["noReason"])
		i, ok := at[why]
		if !ok {
			i = len(out)
			at[why] = i
			out = append(out, lack{Why: why})
		}
		out[i].Names = append(out[i].Names, name)
	}
	for _, k := range sw.Keys.Named() {
		if k.TimeS == nil {
			add(words[k.Name], k.Why)
		}
	}
	for _, g := range table(sw) {
		for _, r := range g.Rows {
			if r.Class == string(metrics.Missing) {
				add(g.Title+": "+r.Name, r.Why)
			}
		}
	}
	return out
}

// names are the words for metrics by their path.
var names = func() map[string]page.Words {
	out := map[string]page.Words{}
	for _, w := range page.AllWords() {
		out[w.Path] = w
	}
	return out
}()

// finding is a finding as it is shown.
type finding struct {
	Text     string
	Evidence []string
}

// findingGroup holds findings about one thing.
type findingGroup struct {
	Title    string
	Findings []finding
}

// grouped puts findings about the same thing together, in the order in which the
// things first come up.
func grouped(r metrics.Result) []findingGroup {
	var out []findingGroup
	at := map[string]int{}
	for _, f := range r.Findings {
		title := about(f.Key)
		i, ok := at[title]
		if !ok {
			i = len(out)
			at[title] = i
			out = append(out, findingGroup{Title: title})
		}
		out[i].Findings = append(out[i].Findings, finding{f.Text, evidence(r, f.Evidence)})
	}
	return out
}

// about names what a key of a finding is about: a metric, a group of them, or a key
// position.
func about(key string) string {
	if w, ok := names[key]; ok {
		return w.Group
	}
	for _, k := range (metrics.Keys{}).Named() {
		if k.Name == key {
			return words[key]
		}
	}
	for _, w := range page.AllWords() {
		if head, _, _ := strings.Cut(w.Path, "."); head == key {
			return w.Group
		}
	}
	return cmp.Or(strings.TrimSpace(strings.ReplaceAll(key, "_", " ")), words["findingsOther"])
}

// evidence writes what a finding rests on: a metric by its name and value, anything
// else as it is.
func evidence(r metrics.Result, all []string) []string {
	var out []string
	for _, e := range all {
		path, i := e, 0
		if rest, ok := strings.CutPrefix(e, "swings["); ok {
			number, metric, _ := strings.Cut(rest, "].")
			if n, ok := index(number); ok && n < len(r.Swings) {
				path, i = metric, n
			}
		}
		w, ok := names[path]
		if !ok || i >= len(r.Swings) {
			out = append(out, e)
			continue
		}
		text := w.Group + ": " + w.Name
		for _, m := range r.Swings[i].Metrics() {
			if m.Name == path && m.Value.Known() {
				text += " " + show(m.Value).Value
			}
		}
		out = append(out, text)
	}
	return out
}

// index reads a short number without a sign.
func index(s string) (int, bool) {
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, s != "" && len(s) < 6
}
