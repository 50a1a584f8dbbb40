package plot

import (
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/svg"
)

// beyondS is how much of the path is shown before launch and after the finish, and
// aboutS around contact where those are not known.
const (
	beyondS = 0.01
	aboutS  = 0.15
)

// reach is the part of a path that is shown.
func reach(p metrics.PlanePath) (from, to float64) {
	from, to = -aboutS, aboutS
	for _, k := range p.Keys {
		switch k.Name {
		case "launch":
			from = k.TimeS - beyondS
		case "finish":
			to = k.TimeS + beyondS
		}
	}
	return from, to
}

func cut(p metrics.PlanePath, from, to float64) []metrics.PlanePoint {
	var out []metrics.PlanePoint
	for _, q := range p.Points {
		if q.TimeS >= from && q.TimeS <= to {
			out = append(out, q)
		}
	}
	return out
}

// plane is the part of the plane of the pitch that a plot shows, to one scale.
type plane struct {
	x0, x1, z0, z1 float64 // m
	left, top      float64 // px of x0 and z1
	pxPerM         float64
}

func (a plane) at(x, z float64) svg.XY {
	return svg.XY{a.left + (x-a.x0)*a.pxPerM, a.top + (a.z1-z)*a.pxPerM}
}

func (a plane) corners() (from, to svg.XY) { return a.at(a.x0, a.z1), a.at(a.x1, a.z0) }

// Bounds of the plot, m: never less than a swing's size, nor more than could be one.
const (
	padM, leastM, mostM = 0.10, 0.6, 4.0
	mostTallPx          = 460.0
)

func newPlane(swings []Swing) plane {
	a := plane{x0: -leastM / 2, x1: leastM / 2, z0: -leastM / 4, z1: leastM / 4, left: marginL, top: top(swings)}
	for _, s := range swings {
		from, to := reach(s.Path)
		for _, q := range cut(s.Path, from, to) {
			a.x0, a.x1 = math.Min(a.x0, q.XM-padM), math.Max(a.x1, q.XM+padM)
			a.z0, a.z1 = math.Min(a.z0, q.ZM-padM), math.Max(a.z1, q.ZM+padM)
		}
	}
	a.x0, a.x1, a.z0, a.z1 = math.Max(a.x0, -mostM), math.Min(a.x1, mostM), math.Max(a.z0, -mostM), math.Min(a.z1, mostM)
	a.pxPerM = (widthPx - marginL - marginR) / (a.x1 - a.x0)
	if tall := (a.z1 - a.z0) * a.pxPerM; tall > mostTallPx {
		// Too tall for the page: wider than the path needs, to the same scale.
		a.pxPerM *= mostTallPx / tall
		more := (widthPx-marginL-marginR)/a.pxPerM - (a.x1 - a.x0)
		a.x0, a.x1 = a.x0-more/2, a.x1+more/2
	}
	return a
}

func drawPath(swings []Swing) Plot {
	const file = "path.svg"
	var why []string
	for _, s := range swings {
		if len(s.Path.Points) == 0 {
			why = append(why, lacks(s.Name, unplaced(s.Measured)))
		}
	}
	if len(why) == len(swings) {
		return lacking(file, textPath, why)
	}
	desc := descPath
	for _, s := range swings {
		desc += inZone(s, len(swings) > 1)
		if !s.Path.Lined && len(s.Path.Points) > 0 {
			why = append(why, lacks(s.Name, noLine(s.Measured)))
		}
	}
	desc = both(desc, swings)
	a := newPlane(swings)
	_, low := a.corners()
	var notes []string
	for _, w := range why {
		notes = append(notes, wrap(w, lineRunes)...)
		desc += " " + w
	}
	height := int(low[1]) + 46 + 20*len(notes)
	return Plot{file, textPath, desc, svg.Draw(widthPx, height, textPath, desc, func(c *svg.Canvas) {
		frame(c, textPath, swings)
		a.axes(c)
		from, to := a.corners()
		c.Within(from, to, func() {
			for i, s := range swings {
				a.line(c, s.Path, i == len(swings)-1)
			}
			for i, s := range swings {
				a.path(c, s.Path, styles(len(swings))[i])
			}
		})
		a.keys(c, swings)
		for i, n := range notes {
			c.Text(svg.XY{10, low[1] + 58 + 20*float64(i)}, svg.Left, n)
		}
	})}
}

// unplaced is why a swing could not be put into the plane.
func unplaced(sw metrics.Swing) string {
	for _, v := range []metrics.Value{sw.Metrics[catalogue.PlaneAttackDeg], sw.Metrics[catalogue.SpeedBarrelContactMPS], sw.Metrics[catalogue.FinishHeightM]} {
		if v.Status == metrics.Missing && v.Why != "" {
			return v.Why
		}
	}
	return textNoPlace
}

// noLine is why there is no pitch line.
func noLine(sw metrics.Swing) string {
	if w := sw.Metrics[catalogue.PlaneGapDeg].Why; w != "" {
		return w
	}
	return textNoLine
}

func both(desc string, swings []Swing) string {
	if len(swings) == 2 {
		desc += fmt.Sprintf(descBoth, swings[0].Name, swings[1].Name)
	}
	return desc
}

func inZone(s Swing, named bool) string {
	z := s.Path.Zone
	switch {
	case !s.Path.Lined:
		return ""
	case z.OK && named:
		return fmt.Sprintf(descInZoneOf, s.Name, ms(z.EnterS), ms(z.LeaveS))
	case z.OK:
		return fmt.Sprintf(descInZone, ms(z.EnterS), ms(z.LeaveS))
	case named:
		return fmt.Sprintf(descNeverOf, s.Name)
	}
	return descNeverZone
}

// axes draws a grid with numbers.
func (a plane) axes(c *svg.Canvas) {
	from, to := a.corners()
	thin := svg.Pen{Hue: gridHue, Width: 1}
	xs, places := ticks(a.x0, a.x1, 5)
	for _, x := range xs {
		p := a.at(x, 0)
		c.Lines(thin, svg.XY{p[0], from[1]}, svg.XY{p[0], to[1]})
		c.Text(svg.XY{p[0], to[1] + 18}, svg.Middle, number(x, places))
	}
	zs, places := ticks(a.z0, a.z1, max(2, int((to[1]-from[1])/60)))
	for _, z := range zs {
		p := a.at(0, z)
		c.Lines(thin, svg.XY{from[0], p[1]}, svg.XY{to[0], p[1]})
		c.Text(svg.XY{from[0] - 6, p[1] + 5}, svg.Right, number(z, places))
	}
	c.Rect(from, to, svg.Pen{Hue: svg.Grey, Width: 1})
	c.Text(svg.XY{to[0], to[1] + 37}, svg.Right, axisX+" →")
	c.Text(svg.XY{8, to[1] + 37}, svg.Left, "↑ "+axisZ)
}

const gridHue = "#d8dce2"

// line draws the pitch line and, of the last swing, the band of the zone.
func (a plane) line(c *svg.Canvas, p metrics.PlanePath, last bool) {
	if !p.Lined {
		return
	}
	u := p.Line.Against()
	at := func(along, off float64) svg.XY {
		return a.at(p.Line.PointM[0]+along*u[0]-off*u[1], p.Line.PointM[1]+along*u[1]+off*u[0])
	}
	far := 3 * mostM
	if !last {
		c.Lines(svg.Pen{Hue: svg.Grey, Width: 1.5, Dash: "6 5"}, at(far, 0), at(-far, 0))
		return
	}
	c.Lines(svg.Pen{Hue: svg.Band, Width: 1.5, Fill: svg.Band, Fade: 0.22}, at(far, p.NearM), at(-far, p.NearM), at(-far, -p.NearM), at(far, -p.NearM), at(far, p.NearM))
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 2.5}, at(far, 0), at(0, 0))
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 2.5, Dash: "9 7"}, at(0, 0), at(-far, 0))
	edge := (a.x1 - p.Line.PointM[0]) / u[0]
	c.Arrow(svg.Pen{Hue: svg.Pitch, Width: 2.5}, at(edge-0.02, 0), at(edge-0.02-30/a.pxPerM, 0))
}

// path draws the barrel's path; its part in the zone is wider.
func (a plane) path(c *svg.Canvas, p metrics.PlanePath, st style) {
	from, to := reach(p)
	points := cut(p, from, to)
	var part []svg.XY
	var in bool
	flush := func() {
		pen := st.out
		if in {
			pen = st.in
		}
		if len(part) > 1 {
			c.Lines(pen, part...)
		}
	}
	for i, q := range points {
		// A step is in the zone when both its ends are: the zone's own ends are points.
		if now := i > 0 && q.InZone && points[i-1].InZone; i > 0 && now != in {
			flush()
			in, part = now, part[max(0, len(part)-1):]
		}
		part = append(part, a.at(q.XM, q.ZM))
	}
	flush()
}

// keys marks the key positions; those of the last swing have names.
func (a plane) keys(c *svg.Canvas, swings []Swing) {
	from, to := a.corners()
	taken := labels{from: from, to: to}
	for _, s := range swings {
		lo, hi := reach(s.Path)
		for _, q := range cut(s.Path, lo, hi) {
			taken.points = append(taken.points, a.at(q.XM, q.ZM))
		}
	}
	for i, s := range swings {
		st := styles(len(swings))[i]
		for _, k := range s.Path.Keys {
			p := a.at(k.XM, k.ZM)
			if p[0] < from[0] || p[0] > to[0] || p[1] < from[1] || p[1] > to[1] {
				continue
			}
			c.Circle(p, 5, svg.Pen{Hue: st.dotEdge, Width: 1.5, Fill: st.dot})
			if i == len(swings)-1 {
				name := k.Name
				if k.Assumed {
					name = "≈ " + name
				}
				taken.put(c, p, name)
			}
		}
	}
	if s := swings[len(swings)-1]; s.Path.Lined {
		u := s.Path.Line.Against()
		along := (a.x1-s.Path.Line.PointM[0])/u[0] - 0.02 - 16/a.pxPerM
		p := a.at(s.Path.Line.PointM[0]+along*u[0], s.Path.Line.PointM[1]+along*u[1])
		if p[1] > from[1] && p[1] < to[1] {
			taken.put(c, p, textPitch)
		}
	}
}
