package results

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"ashline/metrics"
	"ashline/metrics/change"
)

// verdicts are the words for people.
var verdicts = map[change.Verdict]string{
	change.Real:       "real",
	change.NotTold:    "not told from noise",
	change.SwingsOnly: "one swing each: between these swings only",
}

// WriteChange prints a comparison: who was compared, a row a metric, and below
// it what rests on assumptions, what was left out, and why.
func WriteChange(w io.Writer, o change.Outcome) error {
	var b strings.Builder
	fmt.Fprintf(&b, "before  %s\nafter   %s\n\n", describe(o.Before), describe(o.After))
	if len(o.Changes) == 0 {
		b.WriteString("none of the metrics asked for is known on both sides\n")
	} else {
		rows := [][]string{{"metric", "before", "after", "change", "95 % interval", "unit", "detectable", ""}}
		for _, c := range o.Changes {
			rows = append(rows, row(c))
		}
		align(&b, rows)
	}
	section(&b, "* assumed", reasons(o, func(m change.Mean) bool { return m.Status == metrics.Assumed }))
	section(&b, "measured, with a remark", reasons(o, func(m change.Mean) bool {
		return m.Status == metrics.Measured && m.Missing == 0 && m.Why != ""
	}))
	section(&b, "known in part", reasons(o, func(m change.Mean) bool { return m.Missing > 0 }))
	section(&b, "left out", leftOut(o.LeftOut))
	if len(o.Notes) > 0 {
		b.WriteByte('\n')
	}
	for _, n := range o.Notes {
		fmt.Fprintf(&b, "note: %s\n", n)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// describe is a side in a line.
func describe(g change.Group) string {
	parts := []string{fmt.Sprintf("%s in %s", count(g.Swings, "swing"), count(len(g.Clips), "clip"))}
	for _, trait := range []struct {
		name string
		of   func(change.Clip) string
	}{
		{"hitter", func(c change.Clip) string { return c.Hitter }},
		{"session", func(c change.Clip) string { return c.Session }},
		{"kind", func(c change.Clip) string { return c.Kind }},
		{"side", func(c change.Clip) string { return "bats " + c.Bats }},
	} {
		var values []string
		for _, c := range g.Clips {
			if v := trait.of(c); v != "" {
				values = append(values, v)
			}
		}
		slices.Sort(values)
		values = slices.Compact(values)
		switch {
		case len(values) > maxListed:
			parts = append(parts, count(len(values), trait.name))
		case len(values) > 0:
			parts = append(parts, strings.Join(values, " and "))
		}
	}
	return strings.Join(parts, ", ")
}

// maxListed is how many values of a trait a line lists before it counts them.
const maxListed = 5

func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// row writes a metric's numbers with as many places as give its least detectable
// change two figures, and with one at least.
func row(c change.Change) []string {
	places := 1 - int(math.Floor(math.Log10(c.Detectable)))
	places = min(max(places, 1), 6)
	side := func(m change.Mean) string {
		if m.Status == metrics.Assumed {
			return "*" + number(m.Value, places)
		}
		return number(m.Value, places)
	}
	moved := number(c.Change.Float(), places)
	if !strings.HasPrefix(moved, "-") && strings.Trim(moved, "0.") != "" {
		moved = "+" + moved
	}
	return []string{
		c.Metric, side(c.Before), side(c.After), moved,
		fmt.Sprintf("[%s, %s]", number(*c.Change.Low, places), number(*c.Change.High, places)),
		c.Unit, number(c.Detectable, places), cmp.Or(verdicts[c.Verdict], string(c.Verdict)),
	}
}

func number(v float64, places int) string {
	if math.Abs(v) >= 1e7 {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-") // no minus before nothing
	}
	return s
}

// align sets names and words to the left and numbers to the right.
func align(b *strings.Builder, rows [][]string) {
	width := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, cell := range r {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	left := map[int]bool{0: true, 5: true, len(width) - 1: true}
	for _, r := range rows {
		var line strings.Builder
		for i, cell := range r {
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if left[i] {
				line.WriteString(cell + pad + "  ")
			} else {
				line.WriteString(pad + cell + "  ")
			}
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}

// named is a metric and what is to be said of it.
type named struct{ metric, text string }

// reasons says of which metrics' means something holds, and what they say.
func reasons(o change.Outcome, holds func(change.Mean) bool) []named {
	var out []named
	for _, c := range o.Changes {
		for _, s := range []struct {
			side string
			mean change.Mean
		}{{"before", c.Before}, {"after", c.After}} {
			if !holds(s.mean) {
				continue
			}
			text := s.side
			if s.mean.Missing > 0 {
				text += fmt.Sprintf(", %d of %d swings", s.mean.Swings, s.mean.Swings+s.mean.Missing)
			}
			out = append(out, named{c.Metric, text + ": " + cmp.Or(s.mean.Why, "no reason given")})
		}
	}
	return out
}

func leftOut(all []change.LeftOut) []named {
	var out []named
	for _, l := range all {
		side := l.Side
		if side == "both" {
			side = "both sides"
		}
		out = append(out, named{l.Metric, side + ": " + l.Why})
	}
	return out
}

// section lists the metrics of each text, so that one reason is read once.
func section(b *strings.Builder, title string, all []named) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", title)
	var texts []string
	of := map[string][]string{}
	for _, n := range all {
		if of[n.text] == nil {
			texts = append(texts, n.text)
		}
		of[n.text] = append(of[n.text], n.metric)
	}
	for _, t := range texts {
		fmt.Fprintf(b, "  %s\n    %s\n", t, strings.Join(of[t], ", "))
	}
}
