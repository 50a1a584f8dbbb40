package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
	"ashline/pipeline/plot"
	"ashline/pipeline/svg"
)

// Side is one of two swings that are compared.
type Side struct {
	// Name is what the plots call it. Defaults to the card's label, or before and
	// after.
	Name   string
	Result metrics.Result
	// Swing is which of the result's swings it is. Defaults to the first.
	Swing int
	// Path is that swing in the plane of the pitch. Without points the plots say why.
	Path metrics.PlanePath
	// Stills are pictures of its key positions. Defaults to none.
	Stills []Still
}

// swing is the swing that is compared; a number that is not there is none.
func (s Side) swing() metrics.Swing {
	if s.Swing >= 0 && s.Swing < len(s.Result.Swings) {
		return s.Result.Swings[s.Swing]
	}
	return metrics.Swing{}
}

// Comparison is what a page of two swings is made of.
type Comparison struct {
	Before, After Side
	Outcome       change.Outcome
	// Sentences say what changed, most telling first.
	Sentences []string
	// Video shows both side by side. Defaults to none.
	Video Video
	// Marks are places in it, in the order in which they are shown.
	Marks []Mark
}

type compareView struct {
	head
	Sides     []sideView
	Sentences []string
	Player    *player
	Plots     []plotView
	Groups    []changeGroup
	LeftOut   []lack
	Notes     []string
	Outcome   change.Outcome
}

type sideView struct {
	Title string // before or after
	Name  string
	Card  metrics.Card
	Clip  metrics.Clip
	Strip []stillView
}

type changeGroup struct {
	Title string
	Rows  []changeRow
}

type changeRow struct {
	Name, Before, After    string
	BeforeNote, AfterNote  string
	Moved, Beside          string
	Interval               string
	Verdict, Class, Assume string
}

// WriteCompare writes a page of two swings.
func WriteCompare(w io.Writer, c Comparison) error {
	title := words["titleCompare"]
	if h := svg.Short(c.After.Result.Card.Hitter, 60); h != "" {
		title += " · " + h
	}
	v := compareView{
		head: newHead(title), Sentences: c.Sentences, Groups: changeGroups(c.Outcome), LeftOut: leftOut(c.Outcome.LeftOut),
		Notes: c.Outcome.Notes, Outcome: c.Outcome,
	}
	sides := []struct {
		title string
		side  Side
	}{{words["beforeSide"], c.Before}, {words["afterSide"], c.After}}
	var drawn [2]plot.Swing
	for i, s := range sides {
		name := cmp.Or(s.side.Name, s.side.Result.Card.Label, strings.ToLower(s.title))
		v.Sides = append(v.Sides, sideView{s.title, name, s.side.Result.Card, s.side.Result.Clip, strip(s.side.Stills)})
		drawn[i] = plot.Swing{Name: name, Path: s.side.Path, Measured: s.side.swing()}
	}
	v.Plots = plotViews(plot.Two(drawn[0], drawn[1]))
	if c.Video.File != "" {
		cues := Cues(metrics.Result{Swings: []metrics.Swing{c.After.swing()}}, c.Video, []Swing{{Marks: namesOnly(c.Marks)}})
		v.Player = &player{Video: c.Video, Src: fileURL(c.Video.File), FPS: c.Video.FPS, Captions: captionsURL(vtt("", c.Video.FPS, cues))}
		if len(c.Marks) > 0 {
			v.Player.Jumps = []jumpGroup{{"", jumps(c.Marks)}}
		}
	}
	return render(w, "compare.html", v)
}

// namesOnly leaves out what is a run of one swing alone.
func namesOnly(marks []Mark) []Mark {
	var out []Mark
	for _, m := range marks {
		if m.Name != "zone" {
			out = append(out, m)
		}
	}
	return out
}

// changeGroups are the rows of the table of differences, in the order of
// metrics.json.
func changeGroups(o change.Outcome) []changeGroup {
	var out []changeGroup
	for _, c := range o.Changes {
		name, title := c.Metric, ""
		if m, ok := catalogue.Find(c.Metric); ok {
			name, title = m.Row().Name, m.Group().Title
		}
		if len(out) == 0 || out[len(out)-1].Title != title {
			out = append(out, changeGroup{Title: title})
		}
		g := &out[len(out)-1]
		g.Rows = append(g.Rows, rowOfChange(name, c))
	}
	return out
}

func rowOfChange(name string, c change.Change) changeRow {
	size := math.Max(math.Abs(c.Before.Value), math.Abs(c.After.Value))
	u, beside, usual := unitsOf(c.Unit, size)
	n := places(c.Detectable * u.scale)
	if u == ratio {
		n = 2
	}
	r := changeRow{
		Name: name, Before: u.text(c.Before.Value, n), After: u.text(c.After.Value, n),
		BeforeNote: meanNote(c.Before), AfterNote: meanNote(c.After),
		Verdict: string(c.Verdict), Moved: "–", Interval: "–",
	}
	switch c.Verdict {
	case change.Real, change.NotTold, change.SwingsOnly:
		r.Class, r.Verdict = r.Verdict, words[r.Verdict]
	}
	if c.Change.Known() {
		r.Moved = u.signed(c.Change.Float(), n)
		if usual {
			r.Beside = beside.signed(c.Change.Float(), min(1, places(c.Detectable*beside.scale)))
		}
	}
	if c.Change.Low != nil && c.Change.High != nil {
		r.Interval = fmt.Sprintf("%s %s %s", u.bare(*c.Change.Low, n), words["to"], u.text(*c.Change.High, n))
	}
	if c.Change.Status == metrics.Assumed {
		r.Assume = words["assumed"]
	}
	return r
}

// meanNote says what a mean rests on, where that is less than one whole swing each.
func meanNote(m change.Mean) string {
	var parts []string
	if m.Missing > 0 {
		parts = append(parts, fmt.Sprintf(words["swingsCount"], m.Swings, m.Swings+m.Missing))
	}
	if m.Status == metrics.Assumed {
		parts = append(parts, words["assumed"])
	}
	return strings.Join(parts, ", ")
}

// leftOut lists the reasons for what could not be compared, each once.
func leftOut(all []change.LeftOut) []lack {
	var out []lack
	at := map[string]int{}
	for _, l := range all {
		side := map[string]string{"before": strings.ToLower(words["beforeSide"]), "after": strings.ToLower(words["afterSide"]), "both": words["bothSides"]}[l.Side]
		why := cmp.Or(side, l.Side) + ": " + cmp.Or(l.Why, words["noReason"])
		i, ok := at[why]
		if !ok {
			i = len(out)
			at[why] = i
			out = append(out, lack{Why: why})
		}
		name := l.Metric
		if m, ok := catalogue.Find(l.Metric); ok {
			name = m.Row().Name
		}
		out[i].Names = append(out[i].Names, name)
	}
	return out
}
