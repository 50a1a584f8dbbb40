package plot

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/svg"
)

// Swing is what is plotted of one swing.
type Swing struct {
	// Name tells it from the other of two. Defaults to nothing.
	Name string
	// Path is the swing in the plane of the pitch; without points it is not known.
	Path metrics.PlanePath
	// Measured are the swing's values.
	Measured metrics.Swing
}

// Plot is one file.
type Plot struct {
	File  string
	Title string
	Desc  string // what it shows, in words
	SVG   []byte
}

// One plots a swing.
func One(s Swing) []Plot { return all([]Swing{s}) }

// Two plots two swings on the same axes.
func Two(before, after Swing) []Plot {
	before.Name, after.Name = cmp.Or(svg.Short(before.Name, nameRunes), "before"), cmp.Or(svg.Short(after.Name, nameRunes), "after")
	if before.Name == after.Name {
		before.Name, after.Name = "1: "+before.Name, "2: "+after.Name
	}
	return all([]Swing{before, after})
}

// nameRunes is how much of a name a legend has room for.
const nameRunes = 13

func all(swings []Swing) []Plot {
	return []Plot{drawPath(swings), drawZone(swings), drawTiming(swings)}
}

// Sizes, px. On a phone a plot is about 330 px wide: letters are then 12 px.
const (
	widthPx  = 420
	fontPx   = 15
	marginL  = 52.0
	marginR  = 14.0
	titlePx  = 24.0 // baseline of the title
	legendPx = 22.0 // height of the legend
	letterPx = 0.56 * fontPx
	// lineRunes is how many letters a line of the plot's width holds.
	lineRunes = 46
)

// style is how one of the swings is drawn.
type style struct {
	out, in svg.Pen // out of the zone and in it
	dot     string  // of key positions; paper for a hollow one
	dotEdge string
}

// styles tells swings apart: the last is in colour, one before it is grey, dashed
// and hollow.
func styles(n int) []style {
	last := style{svg.Pen{Hue: svg.OutZone, Width: 3}, svg.Pen{Hue: svg.InZone, Width: 6}, svg.Ink, svg.Paper}
	if n == 1 {
		return []style{last}
	}
	return []style{{svg.Pen{Hue: svg.Grey, Width: 2, Dash: "2 5"}, svg.Pen{Hue: svg.Grey, Width: 4.5, Dash: "9 7"}, svg.Paper, svg.Grey}, last}
}

// frame is a drawing in the making: title on top, and with two swings a legend.
func frame(c *svg.Canvas, title string, swings []Swing) {
	c.Bold(svg.XY{10, titlePx}, svg.Left, title)
	if len(swings) < 2 {
		return
	}
	x := 10.0
	for i, st := range styles(len(swings)) {
		y := titlePx + legendPx - 5
		c.Lines(st.in, svg.XY{x + 4, y}, svg.XY{x + 40, y})
		c.Text(svg.XY{x + 50, y + 5}, svg.Left, swings[i].Name)
		x += 50 + letterPx*float64(len([]rune(swings[i].Name))) + 22
	}
}

// top is the first free y below title and legend.
func top(swings []Swing) float64 {
	if len(swings) > 1 {
		return titlePx + legendPx + 12
	}
	return titlePx + 12
}

// lacking is a plot that says why there is none.
func lacking(file, title string, why []string) Plot {
	desc := strings.Join(why, " ")
	var lines []string
	for _, w := range why {
		lines = append(lines, wrap(w, lineRunes)...)
	}
	height := int(titlePx) + 16 + 20*len(lines)
	return Plot{file, title, desc, svg.Draw(widthPx, height, title, desc, func(c *svg.Canvas) {
		frame(c, title, nil)
		for i, l := range lines {
			c.Text(svg.XY{10, titlePx + 24 + 20*float64(i)}, svg.Left, l)
		}
	})}
}

// lacks is a sentence on why something is not drawn; name is that of the swing of
// two.
func lacks(name, why string) string {
	why = cmp.Or(svg.Short(why, 300), textNoReason)
	if name == "" {
		return fmt.Sprintf(textMissing, why)
	}
	return fmt.Sprintf(textMissingOf, name, why)
}

// wrap breaks a text into lines of at most so many characters.
func wrap(text string, most int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		for r := []rune(word); len(r) > most; r = []rune(word) {
			if line != "" {
				out, line = append(out, line), ""
			}
			out, word = append(out, string(r[:most])), string(r[most:])
		}
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			out, line = append(out, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// number writes a number with a true minus and without a sign before nothing.
func number(v float64, places int) string {
	s := fmt.Sprintf("%.*f", places, v)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// signed is a number that says when it is above nothing.
func signed(v float64, places int) string {
	if s := number(v, places); v > 0 && s != number(0, places) {
		return "+" + s
	}
	return number(v, places)
}

// ms writes a time as milliseconds.
func ms(s float64) string { return number(1000*s, 0) + " ms" }

// ticks are round numbers between two others, at most about so many.
func ticks(from, to float64, most int) (at []float64, places int) {
	raw := (to - from) / float64(most)
	step := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*step >= raw*(1-1e-9) {
			step *= k
			break
		}
	}
	places = max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	for i := int(math.Ceil(from/step - 1e-9)); float64(i)*step <= to+1e-9*step; i++ {
		at = append(at, float64(i)*step)
	}
	return at, places
}
