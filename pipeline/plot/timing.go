package plot

import (
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/svg"
)

// bar is one timing window of one swing.
type bar struct {
	name  string
	early metrics.Value
	late  metrics.Value
	swing Swing
	st    style
}

const (
	barRowPx  = 46.0
	barHalfPx = 9.0
	barLeftPx = 14.0
	mostMS    = 60.0 // a swing is slid no farther than this or so
)

func (b bar) known() bool { return b.early.Known() && b.late.Known() }

func drawTiming(swings []Swing) Plot {
	const file = "timing.svg"
	var rows []bar
	var why []string
	desc := descTiming
	for _, k := range []struct {
		name        string
		early, late catalogue.Metric
	}{
		{textSolid, catalogue.TimingSolidEarlyS, catalogue.TimingSolidLateS},
		{textAny, catalogue.TimingAnyEarlyS, catalogue.TimingAnyLateS},
	} {
		for i, s := range swings {
			b := bar{k.name, s.Measured.Metrics[k.early], s.Measured.Metrics[k.late], s, styles(len(swings))[i]}
			rows = append(rows, b)
			switch {
			case !b.known():
				name := k.name
				if s.Name != "" {
					name += ", " + s.Name
				}
				why = append(why, lacks(name, b.early.Why))
			case len(swings) > 1:
				desc += fmt.Sprintf(descWindowBoth, k.name, s.Name, places1(b.early.Float()), places1(b.late.Float()))
			default:
				desc += fmt.Sprintf(descWindow, k.name, places1(b.early.Float()), places1(b.late.Float()))
			}
		}
	}
	if len(why) == len(rows) {
		return lacking(file, textTiming, distinct(why))
	}
	desc = both(desc, swings)
	var notes []string
	for _, w := range distinct(why) {
		notes = append(notes, wrap(w, lineRunes)...)
		desc += " " + w
	}
	y0 := top(swings) + 6
	axis := y0 + barRowPx*float64(len(rows)) + 4
	height := int(axis) + 46 + 20*len(notes)
	return Plot{file, textTiming, desc, svg.Draw(widthPx, height, textTiming, desc, func(c *svg.Canvas) {
		frame(c, textTiming, swings)
		s := scaleOf(rows, y0, axis)
		s.axis(c)
		for i, b := range rows {
			s.bar(c, b, y0+barRowPx*(float64(i)+0.5))
		}
		for i, n := range notes {
			c.Text(svg.XY{10, axis + 58 + 20*float64(i)}, svg.Left, n)
		}
	})}
}

// shift is the axis of early and late.
type shift struct{ fromMS, toMS, top, low float64 }

func (s shift) at(ms float64) float64 {
	return barLeftPx + (ms-s.fromMS)/(s.toMS-s.fromMS)*(widthPx-marginR-barLeftPx)
}

func scaleOf(rows []bar, top, low float64) shift {
	s := shift{-6, 6, top, low}
	for _, b := range rows {
		if !b.known() {
			continue
		}
		for _, v := range []*float64{b.early.Value, b.early.High} {
			if v != nil {
				s.fromMS = math.Min(s.fromMS, -1000**v-2)
			}
		}
		for _, v := range []*float64{b.late.Value, b.late.High} {
			if v != nil {
				s.toMS = math.Max(s.toMS, 1000**v+2)
			}
		}
	}
	s.fromMS, s.toMS = math.Max(s.fromMS, -2*mostMS), math.Min(s.toMS, 2*mostMS)
	return s
}

func (s shift) axis(c *svg.Canvas) {
	at, _ := ticks(s.fromMS, s.toMS, 6)
	for _, v := range at {
		c.Lines(svg.Pen{Hue: gridHue, Width: 1}, svg.XY{s.at(v), s.top}, svg.XY{s.at(v), s.low})
		c.Text(svg.XY{s.at(v), s.low + 18}, svg.Middle, signed(v, 0))
	}
	c.Lines(svg.Pen{Hue: svg.Grey, Width: 1}, svg.XY{s.at(s.fromMS), s.low}, svg.XY{s.at(s.toMS), s.low})
	c.Text(svg.XY{barLeftPx, s.low + 37}, svg.Left, "← "+textEarlier)
	c.Text(svg.XY{widthPx - marginR, s.low + 37}, svg.Right, textLater+", "+axisShift+" →")
}

// bar draws a window with the intervals of its ends.
func (s shift) bar(c *svg.Canvas, b bar, y float64) {
	label := b.name
	if b.swing.Name != "" {
		label += ", " + b.swing.Name
	}
	if !b.known() {
		c.Bold(svg.XY{barLeftPx, y - 12}, svg.Left, label+": –")
		return
	}
	label += fmt.Sprintf(textFromTo, signed(-1000*b.early.Float(), 1), signed(1000*b.late.Float(), 1))
	c.Bold(svg.XY{barLeftPx, y - 12}, svg.Left, label)
	within := func(ms float64) float64 { return s.at(math.Max(s.fromMS, math.Min(s.toMS, ms))) }
	from, to := within(-1000*b.early.Float()), within(1000*b.late.Float())
	fill := svg.Pen{Hue: b.st.in.Hue, Width: 1.5, Fill: svg.Band, Fade: 0.85}
	if b.name == textSolid {
		fill.Fill, fill.Fade = svg.InZone, 0.85
	}
	if b.st.in.Dash != "" {
		fill.Fill, fill.Dash = svg.Paper, "6 4"
	}
	y += 6
	c.Rect(svg.XY{from, y - barHalfPx}, svg.XY{to, y + barHalfPx}, fill)
	// The swing as it was, over the bar but clear of the words.
	c.Lines(svg.Pen{Hue: svg.Paper, Width: 4}, svg.XY{s.at(0), y - barHalfPx}, svg.XY{s.at(0), y + barHalfPx})
	c.Lines(svg.Pen{Width: 2}, svg.XY{s.at(0), y - barHalfPx - 2}, svg.XY{s.at(0), y + barHalfPx + 2})
	for _, e := range []struct {
		v    metrics.Value
		sign float64
	}{{b.early, -1000}, {b.late, 1000}} {
		if e.v.Low == nil || e.v.High == nil {
			continue
		}
		lo, hi := within(e.sign**e.v.Low), within(e.sign**e.v.High)
		if math.Abs(hi-lo) > 1 {
			c.Span(svg.Pen{Width: 2}, svg.XY{lo, y}, svg.XY{hi, y})
		}
	}
}

// places1 writes a time as milliseconds with one place.
func places1(s float64) string { return number(1000*s, 1) + " ms" }

func distinct(in []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range in {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}
