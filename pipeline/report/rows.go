package report

import (
	"cmp"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
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

// table lists all metrics of a swing in the groups of the catalogue.
func table(sw metrics.Swing) []group {
	var out []group
	for m := range catalogue.NumMetrics {
		if title := m.Group().Title; len(out) == 0 || out[len(out)-1].Title != title {
			out = append(out, group{Title: title})
		}
		g := &out[len(out)-1]
		g.Rows = append(g.Rows, rowOf(m, sw.Metrics[m]))
	}
	return out
}

func rowOf(m catalogue.Metric, v metrics.Value) row {
	w := m.Row()
	r := row{Path: w.Path, Name: w.Name, Plain: w.Plain, shown: show(v), Status: string(v.Status), Why: v.Why}
	if !v.Known() {
		r.Status = string(metrics.Missing)
	}
	switch metrics.Status(r.Status) {
	case metrics.Measured, metrics.Assumed, metrics.Missing:
		r.Class, r.Status = r.Status, words[r.Status]
	}
	return r
}

// tiles are the main numbers.
func tiles(sw metrics.Swing) []row {
	out := make([]row, len(mainMetrics))
	for i, m := range mainMetrics {
		out[i] = rowOf(m, sw.Metrics[m])
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
				add(r.Name, r.Why)
			}
		}
	}
	return out
}
