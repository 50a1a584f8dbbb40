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

// Page is what a report is made of.
type Page struct {
	Result metrics.Result
	// Swings belong to Result.Swings, one each; one that could not be measured is
	// the zero value.
	Swings []Swing
	// Video is the clip's overlay. Defaults to none.
	Video Video
}

// Swing is what a page knows of one swing beside its metrics.
type Swing struct {
	// Path is the swing in the plane of the pitch. Without points the plots say why.
	Path metrics.PlanePath
	// Marks are what the video shows of it, in the order in which it is shown.
	Marks []Mark
	// Stills are pictures of its key positions, in their order.
	Stills []Still
}

// Mark is a place in the video to go to.
type Mark struct {
	Name  string  // launch, slot, lag, contact, zone or finish
	TimeS float64 // from contact
	// Frame is the frame of the video that shows it first, Until one past the last
	// that does; for an instant it is not used.
	Frame, Until int
}

// Still is a picture of a key position.
type Still struct {
	Name  string
	TimeS float64 // from contact
	File  string  // relative to the page, with slashes
}

// Video is the video of a page.
type Video struct {
	File          string  // relative to the page, with slashes; empty for none
	FPS           float64 // frames shown a second
	Frames        int
	Width, Height int // px
}

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
	Tiles  []tile
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
		one.Plots = plotViews(plot.One(plot.Swing{Path: s.Path, Metrics: sw}))
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

func swingTitle(i, n int) string {
	if n == 1 {
		return words["theSwing"]
	}
	return fmt.Sprintf(words["swingOf"], i+1, n)
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
