package overlay

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
	"ashline/pipeline/footage"
	"ashline/pipeline/steady"
)

// Drawing is everything that is drawn of one swing. Places are px of the screen on which
// the steadied picture stands; each frame moves them to where it was filmed.
type Drawing struct {
	cur      metrics.Curves
	screen   Screen
	moments  Moments
	frameS   float64
	path     barrelPath
	line     *pitchLine
	balls    []ballMark
	keys     []keyMark
	rows     []readout // all that the panel may show
	panel    panel
	zoneText draw.PlacedLabel
	taken    []draw.Box // of all labels
	bare     bool       // without the panel
	widthPx  float64
}

type ballMark struct {
	timeS    float64
	at       draw.Point
	radiusPx float64
}

// keyMark is a key position with its label.
type keyMark struct {
	name  string // of the still
	timeS float64
	at    draw.Point
	label draw.PlacedLabel
}

// NewDrawing collects what is known of swing i, for a canvas on which the picture stands
// as scr says.
func NewDrawing(c *draw.Canvas, clip footage.Footage, study metrics.Study, i int, scr Screen) *Drawing {
	cur, sw := study.Swings[i], study.Result.Swings[i]
	d := &Drawing{cur: cur, screen: scr, moments: MomentsOf(study, i, clip.TimesS), frameS: 1 / clip.FPS, widthPx: math.Max(leastLinePx, textPx(c)*lineShare)}

	var seen []float64
	for _, b := range study.Samples("barrel") {
		if b.How == metrics.Seen || b.How == metrics.Flow {
			seen = append(seen, b.TimeS)
		}
	}
	enter, leave := cur.ContactS+sw.Metrics[catalogue.ZoneEnterS].Float(), cur.ContactS+sw.Metrics[catalogue.ZoneLeaveS].Float()
	from, to := math.Max(d.moments.LaunchS, cur.FirstS), math.Min(d.moments.FinishS+afterPathS, cur.LastS)
	barrel := func(at float64) draw.Point { return scr.On(cur.Barrel(at)) }
	d.path = newBarrelPath(barrel, from, to, []float64{enter, leave, cur.ContactS}, kindsOf(enter, leave, seen, d.frameS))
	d.line = newPitchLine(cur, sw, Scaled(study), scr)
	for _, b := range study.Samples("ball") {
		if b.TimeS < d.moments.StartS || b.TimeS > d.moments.EndS {
			continue
		}
		d.balls = append(d.balls, ballMark{b.TimeS, scr.On(geom.Point{b.XPx, b.YPx}), math.Min(math.Max(scr.Size(b.SizePx)/2, 0.7*d.widthPx), 3*d.widthPx)})
	}
	d.place(c, sw, study.Samples("hands"))
	title := "from contact"
	if sw.Keys.Contact.Status == metrics.Missing { // a checked swing: the clock is that of its nearest to the line
		title = "from the check"
	}
	if n := len(study.Swings); n > 1 {
		title = fmt.Sprintf("swing %d of %d", i+1, n)
	}
	d.rows = readouts(sw)
	d.Panel(c, title, len(d.rows), d.Cost)
	return d
}

// place finds the key positions and puts their labels where they stay for the
// whole clip: beside the path, the line and each other.
func (d *Drawing) place(c *draw.Canvas, sw metrics.Swing, hands []metrics.Sample) {
	var labels []draw.Label
	avoid := d.busy()
	zone := d.line != nil && d.line.zone != nil
	if zone {
		labels = append(labels, draw.Label{Text: d.line.zone.text, At: d.line.zone.middle()})
	}
	for _, k := range []struct {
		name string
		key  metrics.Key
	}{{"contact", sw.Keys.Contact}, {"launch", sw.Keys.Launch}, {"finish", sw.Keys.Finish}, {"lag", sw.Keys.Lag}, {"slot", sw.Keys.Slot}} {
		if k.key.TimeS == nil {
			continue
		}
		at := d.cur.ContactS + *k.key.TimeS
		if at < d.cur.FirstS-d.frameS || at > d.cur.LastS+d.frameS {
			continue
		}
		p := d.cur.Barrel(math.Min(math.Max(at, d.cur.FirstS), d.cur.LastS))
		text := k.name
		if k.key.Status == metrics.Assumed {
			text = "≈ " + text
		}
		m := keyMark{name: k.name, timeS: at, at: d.screen.On(p)}
		d.keys = append(d.keys, m)
		avoid = append(avoid, d.bat(m, hands)...)
		labels = append(labels, draw.Label{Text: text, At: m.at})
	}
	gap, style := textPx(c)*0.9, labelStyle(c)
	placed := c.PlaceLabels(labels, gap, style, avoid)
	for _, l := range placed {
		s := style
		s.Anchor = l.Anchor
		b := c.Measure(l.Text, s)
		d.taken = append(d.taken, draw.Box{X0: b.X0 + l.At.X, Y0: b.Y0 + l.At.Y, X1: b.X1 + l.At.X, Y1: b.Y1 + l.At.Y})
	}
	if zone {
		d.zoneText, placed = placed[0], placed[1:]
	}
	for i := range d.keys {
		d.keys[i].label = placed[i]
	}
}

// bat are points of the bat at a key position. Without the hands' mark it is
// taken to come down from above at contact, as it nearly always does, and to be
// anywhere otherwise.
func (d *Drawing) bat(k keyMark, hands []metrics.Sample) []draw.Point {
	end, ok := draw.Point{}, false
	for _, h := range hands {
		if math.Abs(h.TimeS-k.timeS) <= 2*d.frameS {
			end, ok = d.screen.On(geom.Point{h.XPx, h.YPx}), true
		}
	}
	if !ok && k.name == "contact" {
		length := d.screen.Size(0.5 / d.cur.View.MetresPerPixel(d.screen.Off(k.at)))
		end, ok = draw.Point{X: k.at.X, Y: k.at.Y - length}, true
	}
	var out []draw.Point
	for i := 1; ok && i <= 60; i++ {
		out = append(out, mix(k.at, end, float64(i)/60))
	}
	return out
}

// busy are the places that text should leave free.
func (d *Drawing) busy() []draw.Point {
	out := append([]draw.Point(nil), d.path.at...)
	for _, b := range d.balls {
		out = append(out, b.at)
	}
	if l := d.line; l != nil {
		for k := 0.0; k <= 1; k += 0.02 {
			out = append(out, mix(l.contact, l.to, k), mix(l.from, l.contact, k))
		}
		if l.zone != nil {
			for k := 0.0; k <= 1; k += 0.1 {
				out = append(out, mix(l.zone.behind, l.zone.ahead, k))
			}
		}
	}
	return out
}

func mix(a, b draw.Point, k float64) draw.Point {
	return draw.Point{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y)}
}

// Panel gives the drawing a read-out of the first rows of its swing, in the corner that
// costs least.
func (d *Drawing) Panel(c *draw.Canvas, title string, rows int, cost func(draw.Box) float64) {
	d.panel = newPanel(c, title, d.rows[:rows], cost)
}

// Cost says how much a box would hide.
func (d *Drawing) Cost(b draw.Box) float64 {
	n := 0.0
	for _, p := range d.busy() {
		if p.X >= b.X0 && p.X <= b.X1 && p.Y >= b.Y0 && p.Y <= b.Y1 {
			n++
		}
	}
	for _, l := range d.taken {
		if b.Grow(2 * d.widthPx).Overlaps(l) {
			n += 100
		}
	}
	return n
}

// Draw puts the swing on a frame of time timeS whose camera had moved by move.
func (d *Drawing) Draw(c *draw.Canvas, timeS float64, move steady.Transform) {
	back := move.Inverse()
	place := func(p draw.Point) draw.Point {
		at := d.screen.Off(p)
		x, y := back.Apply(at[0], at[1])
		return d.screen.On(geom.Point{x, y})
	}
	w := d.widthPx
	drawBody(c, d.cur, func(p geom.Point) draw.Point { return place(d.screen.On(p)) }, timeS, bodyWidth*w)
	if d.line != nil {
		d.line.draw(c, place, w)
	}
	for _, b := range d.balls {
		if b.timeS <= timeS+d.frameS/4 {
			col := draw.Ball
			if b.timeS > d.cur.ContactS {
				col = col.WithOpacity(0.55)
			}
			c.Ring(place(b.at), b.radiusPx, math.Max(1, w*0.35), col)
		}
	}
	until := timeS
	if reached(d.cur.ContactS, timeS, d.frameS) {
		// The frame that shows contact may lie a little before it.
		until = math.Max(until, d.cur.ContactS)
	}
	d.path.until(until).draw(c, place, w)
	if d.line != nil && d.line.zone != nil {
		d.line.zone.draw(c, place, timeS, w)
		if timeS >= d.line.zone.leaveS {
			s := labelStyle(c)
			s.Anchor, s.Colour = d.zoneText.Anchor, draw.PathInZone
			c.Text(d.zoneText.Text, place(d.zoneText.At), s)
		}
	}
	var labels []draw.PlacedLabel
	for _, k := range d.keys {
		if reached(k.timeS, timeS, d.frameS) {
			l := k.label
			l.Of, l.At = place(l.Of), place(l.At)
			labels = append(labels, l)
		}
	}
	c.DrawLabels(labels, 2.2*w, labelStyle(c))
	if d.bare {
		return
	}
	d.panel.draw(c, timeS-d.cur.ContactS, reached(d.cur.ContactS, timeS, d.frameS))
}

// inOrder are the key positions in the order of time.
func (d *Drawing) inOrder() []keyMark {
	out := slices.Clone(d.keys)
	slices.SortStableFunc(out, func(a, b keyMark) int { return cmp.Compare(a.timeS, b.timeS) })
	return out
}
