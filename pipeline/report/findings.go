package report

import (
	"cmp"
	"regexp"
	"strconv"
	"strings"

	"ashline/metrics"
	"ashline/metrics/page"
)

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
		one := finding{Text: f.Text}
		for _, e := range f.Evidence {
			one.Evidence = append(one.Evidence, evidence(e))
		}
		out[i].Findings = append(out[i].Findings, one)
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

// A line of evidence: a metric, its value, unit and interval, and where to look.
var evidenceLine = regexp.MustCompile(`^(\S+) (\S+) (\S+) \[(\S+), (\S+)\](, .*)?$`)

// evidence writes a line of evidence in a coach's words and units; one of another kind
// stays as it is, but a metric alone has its name.
func evidence(line string) string {
	if w, ok := names[line]; ok {
		return w.Group + ": " + w.Name
	}
	m := evidenceLine.FindStringSubmatch(line)
	if m == nil {
		return line
	}
	w, ok := names[m[1]]
	var n [3]float64
	for i, k := range []int{2, 4, 5} {
		x, err := strconv.ParseFloat(m[k], 64)
		ok = ok && err == nil
		n[i] = x
	}
	v := metrics.Got(n[0], n[1], n[2], m[3])
	if !ok || v.Low == nil {
		return line
	}
	s := show(v)
	return w.Group + ": " + w.Name + " " + s.Value + " (" + s.Interval + ")"
}
