package report

import (
	"cmp"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
)

// finding is a finding as it is shown.
type finding struct {
	Text     string
	Praise   bool
	Evidence []string
}

// findingGroup holds findings about one thing.
type findingGroup struct {
	Title    string
	Findings []finding
}

// grouped puts the findings on one topic, and of several swings of one swing, together
// in the order in which they first come up; what to work on next comes last.
func grouped(r metrics.Result) []findingGroup {
	var out []findingGroup
	next := findingGroup{Title: words["next"]}
	at := map[string]int{}
	for _, f := range r.Findings {
		one := finding{Text: f.Text, Praise: f.Praise}
		for _, e := range f.Evidence {
			one.Evidence = append(one.Evidence, evidence(e))
		}
		if f.Next {
			next.Findings = append(next.Findings, one)
			continue
		}
		title := topic(f)
		if len(r.Swings) > 1 {
			title = fmt.Sprintf(words["swingN"], f.Swing+1) + ": " + title
		}
		i, ok := at[title]
		if !ok {
			i = len(out)
			at[title] = i
			out = append(out, findingGroup{Title: title})
		}
		out[i].Findings = append(out[i].Findings, one)
	}
	if len(next.Findings) > 0 {
		out = append(out, next)
	}
	return out
}

// topic is what a finding is about, in words.
func topic(f metrics.Finding) string {
	if w, ok := words["topic_"+f.Topic]; ok {
		return w
	}
	return cmp.Or(strings.TrimSpace(strings.ReplaceAll(f.Topic, "_", " ")), words["findingsOther"])
}

// A line of evidence: a metric, its value, unit and interval, and where to look.
var evidenceLine = regexp.MustCompile(`^(\S+) (\S+) (\S+) \[(\S+), (\S+)\](, .*)?$`)

// evidence writes a line of evidence in a coach's words and units; one of another kind
// stays as it is, but a metric alone has its name.
func evidence(line string) string {
	if m, ok := catalogue.Find(line); ok {
		return m.Row().Name
	}
	m := evidenceLine.FindStringSubmatch(line)
	if m == nil {
		return line
	}
	of, ok := catalogue.Find(m[1])
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
	return of.Row().Name + " " + s.Value + " (" + s.Interval + ")"
}
