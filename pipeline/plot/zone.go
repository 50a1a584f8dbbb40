package plot

import (
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/pipeline/svg"
)

// panel is one curve over time with its limits.
type panel struct {
	name     string
	of       func(q metrics.PlanePoint) float64 // in the panel's unit
	limit    func(p metrics.PlanePath) float64
	from, to svg.XY
	t0, t1   float64 // s
	most     float64 // of the axis, each way
}

func (a panel) at(t, v float64) svg.XY {
	return svg.XY{
		a.from[0] + (t-a.t0)/(a.t1-a.t0)*(a.to[0]-a.from[0]),
		(a.from[1]+a.to[1])/2 - v/a.most*(a.to[1]-a.from[1])/2,
	}
}

const (
	panelPx  = 130.0
	panelGap = 30.0
	runRowPx = 38.0
	// The axis runs to so many times the limit each way.
	limitsShown = 2.6
	// leastS is the least time shown each side of contact, marginS what is shown
	// beside the runs.
	leastS, marginS = 0.020, 0.006
)

// window is the time that the plot shows.
func window(swings []Swing) (t0, t1 float64) {
	t0, t1 = -leastS, leastS
	for _, s := range swings {
		p := s.Path
		for _, r := range []struct {
			from, to float64
			ok       bool
		}{{p.Zone.EnterS, p.Zone.LeaveS, p.Zone.OK}, {p.Zone.Near.EnterS, p.Zone.Near.LeaveS, p.Zone.Near.OK}, {p.Zone.Along.EnterS, p.Zone.Along.LeaveS, p.Zone.Along.OK}} {
			if r.ok {
				t0, t1 = math.Min(t0, r.from-marginS), math.Max(t1, r.to+marginS)
			}
		}
	}
	from, to := math.Inf(1), math.Inf(-1)
	for _, s := range swings {
		if s.Path.Lined {
			from, to = math.Min(from, s.Path.FromS), math.Max(to, s.Path.ToS)
		}
	}
	return math.Max(t0, from), math.Min(t1, to)
}

func drawZone(swings []Swing) Plot {
	const file = "zone.svg"
	var why []string
	var drawn []Swing
	for _, s := range swings {
		switch {
		case len(s.Path.Points) == 0:
			why = append(why, lacks(s.Name, unplaced(s.Measured)))
		case !s.Path.Lined:
			why = append(why, lacks(s.Name, noLine(s.Measured)))
		default:
			drawn = append(drawn, s)
		}
	}
	t0, t1 := window(drawn)
	if len(drawn) == 0 || !(t1-t0 > 0.001) {
		return lacking(file, textZone, append(why, notIf(len(why) == 0, lacks("", textNoPlace))...))
	}
	desc := descZone
	for _, s := range drawn {
		desc += inZone(s, len(swings) > 1)
	}
	desc = both(desc, swings)
	y := top(swings) + runRowPx*float64(len(drawn)) + 24
	off := panel{
		name: axisOff, of: func(q metrics.PlanePoint) float64 { return 100 * q.OffM }, limit: func(p metrics.PlanePath) float64 { return 100 * p.NearM },
		from: svg.XY{marginL, y}, to: svg.XY{widthPx - marginR, y + panelPx}, t0: t0, t1: t1,
	}
	y += panelPx + panelGap
	dir := panel{
		name: axisDirection, of: func(q metrics.PlanePoint) float64 { return q.OffDeg }, limit: func(p metrics.PlanePath) float64 { return p.AlongDeg },
		from: svg.XY{marginL, y}, to: svg.XY{widthPx - marginR, y + panelPx}, t0: t0, t1: t1,
	}
	var notes []string
	for _, w := range why {
		notes = append(notes, wrap(w, lineRunes)...)
		desc += " " + w
	}
	height := int(dir.to[1]) + 46 + 20*len(notes)
	return Plot{file, textZone, desc, svg.Draw(widthPx, height, textZone, desc, func(c *svg.Canvas) {
		frame(c, textZone, swings)
		// Each keeps the look that the legend gives it, drawn or not.
		look := map[string]style{}
		for i, s := range swings {
			look[s.Name] = styles(len(swings))[i]
		}
		off.draw(c, drawn, look)
		dir.draw(c, drawn, look)
		dir.times(c)
		runs(c, off, dir, drawn, look)
		for i, n := range notes {
			c.Text(svg.XY{10, dir.to[1] + 58 + 20*float64(i)}, svg.Left, n)
		}
	})}
}

func notIf(ok bool, s string) []string {
	if ok {
		return []string{s}
	}
	return nil
}

// draw puts the panel on the canvas.
func (a panel) draw(c *svg.Canvas, swings []Swing, look map[string]style) {
	for _, s := range swings {
		a.most = math.Max(a.most, limitsShown*a.limit(s.Path))
	}
	thin := svg.Pen{Hue: gridHue, Width: 1}
	limit := a.limit(swings[len(swings)-1].Path)
	c.Lines(svg.Pen{Hue: svg.Band, Width: 1.2, Fill: svg.Band, Fade: 0.22}, a.at(a.t0, limit), a.at(a.t1, limit), a.at(a.t1, -limit), a.at(a.t0, -limit), a.at(a.t0, limit))
	vs, places := ticks(-a.most, a.most, 5)
	for _, v := range vs {
		p := a.at(a.t0, v)
		c.Lines(thin, p, a.at(a.t1, v))
		c.Text(svg.XY{a.from[0] - 6, p[1] + 5}, svg.Right, number(v, places))
	}
	ts, _ := ticks(1000*a.t0, 1000*a.t1, 6)
	for _, t := range ts {
		p := a.at(t/1000, -a.most)
		c.Lines(thin, p, a.at(t/1000, a.most))
	}
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 2.5}, a.at(a.t0, 0), a.at(a.t1, 0))
	c.Rect(a.from, a.to, svg.Pen{Hue: svg.Grey, Width: 1})
	c.Lines(svg.Pen{Width: 1, Dash: "3 4"}, a.at(0, -a.most), a.at(0, a.most))
	c.Within(a.from, a.to, func() {
		for _, s := range swings {
			a.curve(c, s.Path, look[s.Name])
		}
	})
	c.Text(svg.XY{a.from[0], a.from[1] - 6}, svg.Left, a.name)
}

// times numbers the axis below the panel.
func (a panel) times(c *svg.Canvas) {
	ts, _ := ticks(1000*a.t0, 1000*a.t1, 6)
	for _, t := range ts {
		c.Text(svg.XY{a.from[0] + (t/1000-a.t0)/(a.t1-a.t0)*(a.to[0]-a.from[0]), a.to[1] + 18}, svg.Middle, number(t, 0))
	}
	c.Text(svg.XY{a.to[0], a.to[1] + 37}, svg.Right, axisTime+" →")
}

// curve draws one swing; its part in the zone is wider. At contact the impact may
// break it.
func (a panel) curve(c *svg.Canvas, p metrics.PlanePath, st style) {
	var part []svg.XY
	in := false
	flush := func() {
		pen := st.out
		if in {
			pen = st.in
		}
		if len(part) > 1 {
			c.Lines(pen, part...)
		}
	}
	last := math.NaN()
	for i, q := range p.Points {
		if q.TimeS < a.t0-0.002 || q.TimeS > a.t1+0.002 || math.IsNaN(a.of(q)) {
			continue
		}
		if now := i > 0 && q.InZone && p.Points[i-1].InZone; now != in {
			flush()
			in, part = now, part[max(0, len(part)-1):]
		}
		// A direction that passes straight back is no line across the panel.
		if math.Abs(a.of(q)-last) > 10*a.most {
			flush()
			part = nil
		}
		last = a.of(q)
		// Far outside the panel a place needs no more than to be outside.
		part = append(part, a.at(q.TimeS, math.Max(-3*a.most, math.Min(3*a.most, last))))
	}
	flush()
}

// runs marks when the barrel is in the zone: a bar above, its ends carried through
// both panels.
func runs(c *svg.Canvas, off, dir panel, swings []Swing, look map[string]style) {
	for i, s := range swings {
		y := off.from[1] - 14 - runRowPx*(float64(len(swings)-i)-0.5)
		st, z := look[s.Name], s.Path.Zone
		if !z.OK {
			c.Text(svg.XY{marginL, y + 5}, svg.Left, textNever)
			continue
		}
		from, to := off.at(z.EnterS, 0), off.at(z.LeaveS, 0)
		for _, x := range []float64{from[0], to[0]} {
			c.Lines(svg.Pen{Hue: st.in.Hue, Width: 1.2, Dash: "2 4"}, svg.XY{x, y}, svg.XY{x, dir.to[1]})
		}
		c.Span(st.in, svg.XY{from[0], y}, svg.XY{to[0], y})
		label := fmt.Sprintf(textInZone, ms(z.DurationS()))
		half := 0.6 * fontPx * float64(len([]rune(label))) / 2
		mid := math.Min(math.Max((from[0]+to[0])/2, half+4), widthPx-4-half)
		c.Text(svg.XY{mid, y - 9}, svg.Middle, label)
	}
}
