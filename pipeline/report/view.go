package report

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/plot"
	"ashline/pipeline/svg"
)

// view is what the template of a report sees.
type view struct {
	head
	Card     metrics.Card
	Result   metrics.Result
	Scale    string
	Findings []findingGroup
	Player   *player
	Swings   []swingView
}

type swingView struct {
	Title  string
	Tiles  []row
	Strip  []stillView
	Plots  []plotView
	Groups []group
	Lacks  []lack
}

type stillView struct {
	Name, When, Alt string
	Src             template.URL
}

type plotView struct {
	Name string // of the file, path say
	SVG  template.HTML
}

// Write writes a page.
func Write(w io.Writer, p Page) error {
	v := view{
		head: newHead(titleOf(words["title"], p.Result.Card)), Card: p.Result.Card, Result: p.Result,
		Scale: cmp.Or(scales[p.Result.Quality.ScaleSource], p.Result.Quality.ScaleSource), Findings: grouped(p.Result),
	}
	if p.Video.File != "" {
		v.Player = newPlayer(p)
	}
	for i, sw := range p.Result.Swings {
		var s Swing
		if i < len(p.Swings) {
			s = p.Swings[i]
		}
		one := swingView{Title: swingTitle(i, len(p.Result.Swings)), Tiles: tiles(sw), Groups: table(sw), Lacks: missing(sw)}
		one.Plots = plotViews(plot.One(plot.Swing{Path: s.Path, Measured: sw}))
		one.Strip = strip(s.Stills)
		v.Swings = append(v.Swings, one)
	}
	return render(w, "report.html", v)
}

// titleOf is the page's title: no element of a title keeps the direction of writing
// of its parts apart, so what turns it is left out.
func titleOf(title string, c metrics.Card) string {
	for _, part := range []string{c.Hitter, c.Session, c.Label} {
		if part = svg.Short(part, 60); part != "" {
			title += " · " + part
		}
	}
	return title
}

func strip(stills []Still) []stillView {
	var out []stillView
	for _, s := range stills {
		name, when := cmp.Or(words[s.Name], s.Name), fromContact(s.TimeS)
		out = append(out, stillView{
			Name: name, When: when, Src: fileURL(s.File),
			Alt: fmt.Sprintf(words["stillAlt"], strings.ToLower(name), when),
		})
	}
	return out
}

func plotViews(plots []plot.Plot) []plotView {
	var out []plotView
	for _, p := range plots {
		// The figure escapes what it writes and holds neither script nor style.
		out = append(out, plotView{strings.TrimSuffix(p.File, ".svg"), template.HTML(p.SVG)})
	}
	return out
}
