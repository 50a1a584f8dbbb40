package pipeline

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
	"ashline/pipeline/follow"
	"ashline/pipeline/steady"
)

// trace is everything that is drawn of one swing. Places are px of the screen on which
// the steadied picture stands; each frame moves them to where it was filmed.
type trace struct {
	cur      metrics.Curves
	screen   screen
	moments  moments
	frameS   float64
	path     barrelPath
	line     *pitchLine
	balls    []ballMark
	keys     []keyMark
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

// Seconds shown before launch and after finish, and around contact when those
// are not known.
const (
	leadInS    = 0.10
	leadOutS   = 0.10
	noLaunchS  = 0.25
	noFinishS  = 0.30
	afterPathS = 0.02 // of the path drawn beyond the finish
)

// newTrace collects what is known of swing i, for a canvas on which the picture stands
// as scr says.
func newTrace(c *draw.Canvas, s follow.Sightings, study metrics.Study, i int, scr screen) *trace {
	cur, sw := study.Swings[i], study.Result.Swings[i]
	t := &trace{cur: cur, screen: scr, frameS: 1 / s.FPS, widthPx: math.Max(2, textPx(c)*0.2)}
	t.times(sw, s.TimesS)
	scaled := study.Result.Quality.ScaleSource != "none"

	var seen []float64
	for _, b := range study.Samples("barrel") {
		if b.How == metrics.Seen || b.How == metrics.Flow {
			seen = append(seen, b.TimeS)
		}
	}
	enter, leave := cur.ContactS+sw.Zone.EnterS.Float(), cur.ContactS+sw.Zone.LeaveS.Float()
	from, to := math.Max(t.moments.launchS, cur.FirstS), math.Min(t.moments.finishS+afterPathS, cur.LastS)
	barrel := func(at float64) draw.Point { return scr.on(cur.Barrel(at)) }
	t.path = newBarrelPath(barrel, from, to, []float64{enter, leave, cur.ContactS}, kindsOf(enter, leave, seen, t.frameS))
	t.line = newPitchLine(cur, sw, scaled, scr)
	for _, b := range study.Samples("ball") {
		if b.TimeS < t.moments.startS || b.TimeS > t.moments.endS {
			continue
		}
		t.balls = append(t.balls, ballMark{b.TimeS, scr.on(geom.Point{b.XPx, b.YPx}), math.Min(math.Max(scr.size(b.SizePx)/2, 0.7*t.widthPx), 3*t.widthPx)})
	}
	t.place(c, sw, study.Samples("hands"))
	title := "from contact"
	if n := len(study.Swings); n > 1 {
		title = fmt.Sprintf("swing %d of %d", i+1, n)
	}
	t.panel = newPanel(c, title, readouts(sw), t.cost)
	return t
}

// times fills the moments of the swing.
func (t *trace) times(sw metrics.Swing, timesS []float64) {
	tc := t.cur.ContactS
	at := func(k metrics.Key, otherwise float64) float64 {
		if k.TimeS == nil {
			return tc + otherwise
		}
		return tc + *k.TimeS
	}
	m := moments{contactS: tc, launchS: at(sw.Keys.Launch, -noLaunchS), finishS: at(sw.Keys.Finish, noFinishS-leadOutS)}
	m.zoneFromS, m.zoneToS = tc+sw.Zone.EnterS.Float(), tc+sw.Zone.LeaveS.Float()
	for _, k := range []metrics.Key{sw.Keys.Launch, sw.Keys.Slot, sw.Keys.Lag, sw.Keys.Finish} {
		if k.TimeS != nil {
			m.keysS = append(m.keysS, tc+*k.TimeS)
		}
	}
	m.startS, m.endS = m.launchS-leadInS, m.finishS+leadOutS
	if sp := t.cur.Span; sp.From >= 0 && sp.From < sp.To && sp.To <= len(timesS) {
		m.startS, m.endS = math.Max(m.startS, timesS[sp.From]), math.Min(m.endS, timesS[sp.To-1])
	}
	t.moments = m
}

// place finds the key positions and puts their labels where they stay for the
// whole clip: beside the path, the line and each other.
func (t *trace) place(c *draw.Canvas, sw metrics.Swing, hands []metrics.Sample) {
	var labels []draw.Label
	avoid := t.busy()
	zone := t.line != nil && t.line.zone != nil
	if zone {
		labels = append(labels, draw.Label{Text: t.line.zone.text, At: t.line.zone.middle()})
	}
	for _, k := range []struct {
		name string
		key  metrics.Key
	}{{"contact", sw.Keys.Contact}, {"launch", sw.Keys.Launch}, {"finish", sw.Keys.Finish}, {"lag", sw.Keys.Lag}, {"slot", sw.Keys.Slot}} {
		if k.key.TimeS == nil {
			continue
		}
		at := t.cur.ContactS + *k.key.TimeS
		if at < t.cur.FirstS-t.frameS || at > t.cur.LastS+t.frameS {
			continue
		}
		p := t.cur.Barrel(math.Min(math.Max(at, t.cur.FirstS), t.cur.LastS))
		text := k.name
		if k.key.Status == metrics.Assumed {
			text = "≈ " + text
		}
		m := keyMark{name: k.name, timeS: at, at: t.screen.on(p)}
		t.keys = append(t.keys, m)
		avoid = append(avoid, t.bat(m, hands)...)
		labels = append(labels, draw.Label{Text: text, At: m.at})
	}
	gap, style := textPx(c)*0.9, labelStyle(c)
	placed := c.PlaceLabels(labels, gap, style, avoid)
	for _, l := range placed {
		s := style
		s.Anchor = l.Anchor
		b := c.Measure(l.Text, s)
		t.taken = append(t.taken, draw.Box{X0: b.X0 + l.At.X, Y0: b.Y0 + l.At.Y, X1: b.X1 + l.At.X, Y1: b.Y1 + l.At.Y})
	}
	if zone {
		t.zoneText, placed = placed[0], placed[1:]
	}
	for i := range t.keys {
		t.keys[i].label = placed[i]
	}
}

// bat are points of the bat at a key position. Without the hands' mark it is
// taken to come down from above at contact, as it nearly always does, and to be
// anywhere otherwise.
func (t *trace) bat(k keyMark, hands []metrics.Sample) []draw.Point {
	end, ok := draw.Point{}, false
	for _, h := range hands {
		if math.Abs(h.TimeS-k.timeS) <= 2*t.frameS {
			end, ok = t.screen.on(geom.Point{h.XPx, h.YPx}), true
		}
	}
	if !ok && k.name == "contact" {
		length := t.screen.size(0.5 / t.cur.View.MetresPerPixel(t.screen.off(k.at)))
		end, ok = draw.Point{X: k.at.X, Y: k.at.Y - length}, true
	}
	var out []draw.Point
	for i := 1; ok && i <= 60; i++ {
		out = append(out, mix(k.at, end, float64(i)/60))
	}
	return out
}

func labelStyle(c *draw.Canvas) draw.TextStyle {
	return draw.TextStyle{SizePx: textPx(c), Bold: true, Plate: draw.Plate, Inside: true}
}

// textPx is the size of the overlay's text: readable on a phone, and on an
// upright picture small enough to leave room for the hitter.
func textPx(c *draw.Canvas) float64 {
	w, h := c.Size()
	return math.Max(8, math.Min(draw.TextPx(w, h), float64(w)/24))
}

// busy are the places that text should leave free.
func (t *trace) busy() []draw.Point {
	out := append([]draw.Point(nil), t.path.at...)
	for _, b := range t.balls {
		out = append(out, b.at)
	}
	if l := t.line; l != nil {
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

// cost says how much a box would hide.
func (t *trace) cost(b draw.Box) float64 {
	n := 0.0
	for _, p := range t.busy() {
		if p.X >= b.X0 && p.X <= b.X1 && p.Y >= b.Y0 && p.Y <= b.Y1 {
			n++
		}
	}
	for _, l := range t.taken {
		if b.Grow(2 * t.widthPx).Overlaps(l) {
			n += 100
		}
	}
	return n
}

// draw puts the swing on a frame of time timeS whose camera had moved by move.
func (t *trace) draw(c *draw.Canvas, timeS float64, move steady.Transform) {
	back := move.Inverse()
	place := func(p draw.Point) draw.Point {
		at := t.screen.off(p)
		x, y := back.Apply(at[0], at[1])
		return t.screen.on(geom.Point{x, y})
	}
	w := t.widthPx
	t.drawBody(c, place, timeS, 0.7*w)
	if t.line != nil {
		t.line.draw(c, place, w)
	}
	for _, b := range t.balls {
		if b.timeS <= timeS+t.frameS/4 {
			col := draw.Ball
			if b.timeS > t.cur.ContactS {
				col = col.WithOpacity(0.55)
			}
			c.Ring(place(b.at), b.radiusPx, math.Max(1, w*0.35), col)
		}
	}
	until := timeS
	if t.reached(t.cur.ContactS, timeS) {
		// The frame that shows contact may lie a little before it.
		until = math.Max(until, t.cur.ContactS)
	}
	t.path.until(until).draw(c, place, w)
	if t.line != nil && t.line.zone != nil {
		t.line.zone.draw(c, place, timeS, w)
		if timeS >= t.line.zone.leaveS {
			s := labelStyle(c)
			s.Anchor, s.Colour = t.zoneText.Anchor, draw.PathInZone
			c.Text(t.zoneText.Text, place(t.zoneText.At), s)
		}
	}
	var labels []draw.PlacedLabel
	for _, k := range t.keys {
		if t.reached(k.timeS, timeS) {
			l := k.label
			l.Of, l.At = place(l.Of), place(l.At)
			labels = append(labels, l)
		}
	}
	c.DrawLabels(labels, 2.2*w, labelStyle(c))
	if t.bare {
		return
	}
	t.panel.draw(c, timeS-t.cur.ContactS, t.reached(t.cur.ContactS, timeS))
}

// reached reports whether the frame at timeS is the nearest one to at, or later.
func (t *trace) reached(at, timeS float64) bool { return timeS >= at-0.501*t.frameS }

// inOrder are the key positions in the order of time.
func (t *trace) inOrder() []keyMark {
	out := slices.Clone(t.keys)
	slices.SortStableFunc(out, func(a, b keyMark) int { return cmp.Compare(a.timeS, b.timeS) })
	return out
}

// caption writes a key position's name and time in the lower left corner.
func (t *trace) caption(c *draw.Canvas, k keyMark) {
	_, h := c.Size()
	s := labelStyle(c)
	s.Anchor = draw.BottomLeft
	edge := panelMargin * s.SizePx
	c.Text(k.name+"  "+clock(k.timeS-t.cur.ContactS), draw.Point{X: edge, Y: float64(h-1) - edge}, s)
}
