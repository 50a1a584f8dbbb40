package report

import (
	"cmp"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/guide"
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
	for _, w := range guide.AllWords() {
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
var names = func() map[string]guide.Words {
	out := map[string]guide.Words{}
	for _, w := range guide.AllWords() {
		out[w.Path] = w
	}
	return out
}()
