package guide

// Words are what a page for coaches calls a metric.
type Words struct {
	Path  string // in metrics.json, within a swing
	Name  string
	Plain string // what it tells a coach
	Group string // the part of the page it stands in
}

// AllWords lists the words for every metric and key position of a swing, in the order
// of metrics/README.md.
func AllWords() []Words {
	var out []Words
	for _, g := range groups {
		for _, e := range g.entries {
			out = append(out, Words{Path: e.path, Name: e.name, Plain: e.plain, Group: g.title})
		}
	}
	return out
}
