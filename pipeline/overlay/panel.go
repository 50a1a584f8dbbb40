package overlay

import (
	"fmt"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/draw"
)

// readout is one row of the panel.
type readout struct {
	name   string
	value  string
	small  string      // the same in other units, or its companion
	swatch draw.Colour // of the thing in the picture that the row speaks of
}

// readouts are the rows of one swing's panel.
func readouts(sw metrics.Swing) []readout {
	return []readout{
		{"attack", signed(sw.Metrics[catalogue.PlaneAttackDeg]), "", draw.PathOutOfZone},
		{"descent", number(sw.Metrics[catalogue.PitchDescentDeg], "%.1f°", 1), "", draw.PitchLine},
		{"gap", signed(sw.Metrics[catalogue.PlaneGapDeg]), "", draw.Colour{}},
		{"zone", number(sw.Metrics[catalogue.ZoneDurationS], "%.0f ms", 1000), bare(number(sw.Metrics[catalogue.ZoneLengthM], "%.2f m", 1)), draw.PathInZone},
		{"barrel", number(sw.Metrics[catalogue.SpeedBarrelContactMPS], "%.1f m/s", 1), bare(number(sw.Metrics[catalogue.SpeedBarrelContactMPS], "%.0f mph", mphPerMPS)), draw.Colour{}},
	}
}

// number writes a value times k; a missing one is a dash, one that rests on an
// assumption says so.
func number(v metrics.Value, format string, k float64) string {
	if !v.Known() {
		return "–"
	}
	s := strings.Replace(fmt.Sprintf(format, k*v.Float()), "-", "−", 1)
	if v.Status == metrics.Assumed {
		return "≈ " + s
	}
	return s
}

// bare is a companion of a value that is marked as assumed already.
func bare(s string) string {
	if s == "–" {
		return ""
	}
	return strings.TrimPrefix(s, "≈ ")
}

// signed writes an angle that may go either way.
func signed(v metrics.Value) string {
	if v.Known() && math.Round(v.Float()*10) > 0 {
		return number(v, "+%.1f°", 1)
	}
	return number(v, "%.1f°", 1)
}

// panel is the read-out in a corner of the frame. Its head with the clock is
// there from the start, its rows from contact on.
type panel struct {
	box     draw.Box
	headTop bool
	title   string
	rows    []readout
	sizePx  float64
}

// newPanel lays the panel out in the corner that costs least; cost is asked for
// the box of each.
func newPanel(c *draw.Canvas, title string, rows []readout, cost func(draw.Box) float64) panel {
	w, h := c.Size()
	p := panel{title: title, rows: rows, sizePx: textPx(c)}
	wide := c.Measure(title, p.smallStyle()).W() + c.Measure("   −000 ms", p.style(true)).W()
	for _, r := range rows {
		width := c.Measure(r.name, p.style(false)).W() + c.Measure(r.value, p.style(true)).W() + 2.2*p.sizePx
		if r.small != "" {
			width += c.Measure(r.small, p.smallStyle()).W() + 0.6*p.sizePx
		}
		wide = math.Max(wide, width)
	}
	wide += 2 * panelPad * p.sizePx
	high := (float64(len(rows)+1)*panelRow + panelPad) * p.sizePx
	edge := panelMargin * p.sizePx
	best := math.Inf(1)
	for i, top := range []bool{true, true, false, false} {
		b := draw.Box{X0: edge, Y0: edge}
		if i%2 == 1 {
			b.X0 = float64(w-1) - edge - wide
		}
		if !top {
			b.Y0 = float64(h-1) - edge - high
		}
		b.X1, b.Y1 = b.X0+wide, b.Y0+high
		if k := cost(b) + float64(i)/100; k < best {
			best, p.box, p.headTop = k, b, top
		}
	}
	return p
}

func (p panel) style(bold bool) draw.TextStyle { return draw.TextStyle{SizePx: p.sizePx, Bold: bold} }

func (p panel) smallStyle() draw.TextStyle {
	return draw.TextStyle{SizePx: p.sizePx * panelSmall, Colour: draw.Paper.WithOpacity(0.8)}
}

// draw shows the time from contact, s, and from contact on the rows.
func (p panel) draw(c *draw.Canvas, fromContactS float64, full bool) {
	row := panelRow * p.sizePx
	b := p.box
	headY := b.Y0 + panelPad/2*p.sizePx + row/2
	first := headY + row
	if !p.headTop {
		headY = b.Y1 - panelPad/2*p.sizePx - row/2
		first = b.Y0 + panelPad/2*p.sizePx + row/2
	}
	if !full {
		if p.headTop {
			b.Y1 = headY + row/2 + panelPad/2*p.sizePx
		} else {
			b.Y0 = headY - row/2 - panelPad/2*p.sizePx
		}
	}
	c.Panel(b, 0.4*p.sizePx, draw.Plate)
	left, right := b.X0+panelPad*p.sizePx, b.X1-panelPad*p.sizePx
	p.text(c, p.title, draw.Point{X: left, Y: headY}, draw.Left, p.smallStyle())
	p.text(c, clock(fromContactS), draw.Point{X: right, Y: headY}, draw.Right, p.style(true))
	if !full {
		return
	}
	ruleY := headY + row/2
	if !p.headTop {
		ruleY = headY - row/2
	}
	c.Line(draw.Point{X: left, Y: ruleY}, draw.Point{X: right, Y: ruleY}, math.Max(1, p.sizePx/16), draw.Paper.WithOpacity(0.35))
	for i, r := range p.rows {
		y := first + float64(i)*row
		if r.swatch.Opacity > 0 {
			c.Polyline([]draw.Point{{X: left + 0.1*p.sizePx, Y: y}, {X: left + 0.5*p.sizePx, Y: y}},
				draw.Stroke{WidthPx: 0.24 * p.sizePx, Colour: r.swatch})
		}
		p.text(c, r.name, draw.Point{X: left + 0.9*p.sizePx, Y: y}, draw.Left, p.style(false))
		x := right
		if r.small != "" {
			x = p.text(c, r.small, draw.Point{X: x, Y: y + 0.05*p.sizePx}, draw.Right, p.smallStyle()).X0 - 0.45*p.sizePx
		}
		p.text(c, r.value, draw.Point{X: x, Y: y}, draw.Right, p.style(true))
	}
}

// clock writes a time from contact, s.
func clock(s float64) string {
	ms := math.Round(1000 * s)
	if ms == 0 {
		return "0 ms"
	}
	return strings.Replace(fmt.Sprintf("%+.0f ms", ms), "-", "−", 1)
}

// text centres capitals and digits on the row, not the box of the font.
func (p panel) text(c *draw.Canvas, text string, at draw.Point, a draw.Anchor, s draw.TextStyle) draw.Box {
	s.Anchor = a
	at.Y += 0.1 * s.SizePx
	return c.Text(text, at, s)
}
