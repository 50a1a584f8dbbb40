package guide

import (
	"fmt"
	"math"

	"ashline/metrics/zone"
	"ashline/pipeline/svg"
)

func drawZone(c *svg.Canvas) {
	s := example
	z, l := s.zone(), s.line()
	w := window{originPx: svg.XY{330, 145}, pxPerM: 480}
	off := func(alongM, upM float64) svg.XY {
		p, u := onLine(l, alongM), l.Against()
		return w.at([2]float64{p[0] - upM*u[1], p[1] + upM*u[0]})
	}
	c.Lines(svg.Pen{Hue: svg.Band, Width: 1.5, Fill: svg.Band, Fade: 0.22}, off(-0.72, nearM), off(0.48, nearM), off(0.48, -nearM), off(-0.72, -nearM), off(-0.72, nearM))
	pitchIn(c, w, l, 0.48, -0.72)
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, -0.031, z.EnterS, pos(s))
	w.path(c, svg.Pen{Hue: svg.InZone, Width: 9}, z.EnterS, z.LeaveS, pos(s))
	w.path(c, svg.Pen{Hue: svg.OutZone, Width: 4}, z.LeaveS, 0.0172, pos(s))

	const under = 0.155 // m below the line
	along := func(t float64) float64 {
		a, _ := l.Place(pos(s)(t))
		return a
	}
	enter, at, leave := along(z.EnterS), along(0), along(z.LeaveS)
	for _, t := range []float64{z.EnterS, 0, z.LeaveS} {
		c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, w.at(pos(s)(t)), off(along(t), -under-0.015))
		c.Dot(w.at(pos(s)(t)), svg.Ink)
	}
	c.Span(svg.Pen{Width: 2}, off(enter, -under), off(at, -under))
	c.Span(svg.Pen{Width: 2}, off(at, -under), off(leave, -under))
	label := func(alongM, upM float64, line string) { c.Text(off(alongM, upM), svg.Middle, line) }
	c.Bold(off(enter, 0.10), svg.Middle, "enter")
	c.Bold(off(at-0.02, 0.10), svg.Middle, "contact")
	c.Bold(off(leave+0.03, 0.10), svg.Middle, "leave")
	label((enter+at)/2, -under-0.06, fmt.Sprintf("behind %.0f cm", 100*z.BehindM))
	label((at+leave)/2, -under-0.06, fmt.Sprintf("ahead %.0f cm", 100*z.AheadM))
	c.Text(svg.XY{595, 184}, svg.Right, "pitch line")
	c.Text(svg.XY{8, 24}, svg.Left, "shaded: within ball radius + barrel radius of the line")
	runsBelow(c, z)
}

// runsBelow draws the runs of a zone as bars over time.
func runsBelow(c *svg.Canvas, z zone.Zone) {
	const top, row, perMS = 302, 26, 10.5
	at := func(t float64) float64 { return 345 + perMS*1000*t }
	for i, bar := range []struct {
		name string
		run  zone.Span
		hue  string
		tall float64
	}{
		{"near the line", z.Near, svg.Band, 12},
		{"along it, within 10°", z.Along, svg.Band, 12},
		{"zone: both", z.Span, svg.InZone, 14},
	} {
		y := top + row*float64(i)
		c.Text(svg.XY{8, y + 5}, svg.Left, bar.name)
		c.Rect(svg.XY{at(bar.run.EnterS), y - bar.tall/2}, svg.XY{at(bar.run.LeaveS), y + bar.tall/2}, svg.Pen{Hue: svg.InZone, Fill: bar.hue})
		c.Text(svg.XY{at(bar.run.LeaveS) + 8, y + 5}, svg.Left, fmt.Sprintf("%.0f ms", 1000*bar.run.DurationS()))
	}
	axis := top + row*2.0 + 17
	c.Lines(svg.Pen{}, svg.XY{at(-0.015), axis}, svg.XY{at(0.02), axis})
	c.Lines(svg.Pen{Hue: svg.Grey, Dash: "4 5"}, svg.XY{at(0), top - 14}, svg.XY{at(0), axis})
	for _, t := range []float64{-0.01, 0, 0.01} {
		c.Lines(svg.Pen{}, svg.XY{at(t), axis}, svg.XY{at(t), axis + 5})
		c.Text(svg.XY{at(t), axis + 21}, svg.Middle, ms(t))
	}
}

func drawTiming(c *svg.Canvas) {
	s := example
	tm := s.timing()
	for i, p := range []struct {
		lateS float64
		name  string
	}{
		{-tm.Solid.EarlyS, fmt.Sprintf("%.1f ms earlier", 1000*tm.Solid.EarlyS)},
		{0, "as it was"},
		{tm.Solid.LateS, fmt.Sprintf("%.1f ms later", 1000*tm.Solid.LateS)},
	} {
		mid := 105 + 195*float64(i)
		c.Bold(svg.XY{mid, 26}, svg.Middle, p.name)
		touching(c, s, p.lateS, svg.XY{mid, 125})
	}
	for _, x := range []float64{202, 398} {
		c.Lines(svg.Pen{Hue: svg.Grey, Width: 1}, svg.XY{x, 12}, svg.XY{x, 255})
	}
	windows(c, tm)
}

// touching draws barrel and ball as they first touch when the swing is late.
func touching(c *svg.Canvas, s swing, lateS float64, middlePx svg.XY) {
	const pxPerM = 1100
	moved := late{s, lateS}
	touch := s.meet(moved).Touch
	b, v := moved.At(touch.TimeS)
	ball, vb := s.line().Ball(s.ballMPS).At(touch.TimeS)
	// The middle of the two circles goes to the middle of the panel.
	w := window{pxPerM: pxPerM}
	m := w.at([2]float64{(b[0] + ball[0]) / 2, (b[1] + ball[1]) / 2})
	w.originPx = svg.XY{middlePx[0] - m[0], middlePx[1] - m[1]}

	rel := svg.Unit(svg.XY{vb[0], vb[1]}, svg.XY{v[0], v[1]})
	through := func(k float64) svg.XY { return w.at([2]float64{ball[0] + k*rel[0], ball[1] + k*rel[1]}) }
	side := (b[0]-ball[0])*rel[0] + (b[1]-ball[1])*rel[1]
	c.Circle(w.at(b), barrelR*pxPerM, svg.Pen{Hue: svg.InZone, Width: 3, Fill: svg.Band, Fade: 0.25})
	c.Circle(w.at(ball), ballR*pxPerM, svg.Pen{Width: 2})
	c.Lines(svg.Pen{Hue: svg.Pitch, Width: 2.5, Dash: "7 6"}, through(-0.09), through(0.052))
	c.Span(svg.Pen{Width: 2.5}, w.at(b), through(side))
	c.Dot(w.at(b), svg.Ink)
	c.Dot(w.at(ball), svg.Ink)
	where := "at contact"
	if cm := 100 * b[0]; math.Abs(cm) > 0.5 {
		where = fmt.Sprintf("%.0f cm ahead", cm)
		if cm < 0 {
			where = fmt.Sprintf("%.0f cm behind", -cm)
		}
	}
	c.Text(svg.XY{middlePx[0], 220}, svg.Middle, fmt.Sprintf("impact offset %.1f mm", 1000*touch.OffsetM))
	c.Text(svg.XY{middlePx[0], 242}, svg.Middle, where)
}

// windows draws both timing windows over the shift of the swing.
func windows(c *svg.Canvas, tm zone.Timing) {
	const perMS = 7.2
	at := func(t float64) float64 { return 255 + perMS*1000*t }
	for i, bar := range []struct {
		name string
		w    zone.Window
		hue  string
	}{{"solid", tm.Solid, svg.InZone}, {"any", tm.Any, svg.Band}} {
		y := 290 + 28*float64(i)
		c.Bold(svg.XY{8, y + 5}, svg.Left, bar.name)
		c.Rect(svg.XY{at(-bar.w.EarlyS), y - 8}, svg.XY{at(bar.w.LateS), y + 8}, svg.Pen{Hue: svg.InZone, Fill: bar.hue})
		c.Text(svg.XY{at(-bar.w.EarlyS) - 8, y + 5}, svg.Right, fmt.Sprintf("%.1f ms", 1000*bar.w.EarlyS))
		c.Text(svg.XY{at(bar.w.LateS) + 8, y + 5}, svg.Left, fmt.Sprintf("%.1f ms", 1000*bar.w.LateS))
	}
	c.Lines(svg.Pen{}, svg.XY{at(-0.022), 342}, svg.XY{at(0.036), 342})
	for _, t := range []float64{-0.02, -0.01, 0, 0.01, 0.02, 0.03} {
		c.Lines(svg.Pen{}, svg.XY{at(t), 342}, svg.XY{at(t), 347})
		c.Text(svg.XY{at(t), 363}, svg.Middle, ms(t))
	}
	c.Lines(svg.Pen{Hue: svg.Paper, Width: 2.5}, svg.XY{at(0), 278}, svg.XY{at(0), 330})
	c.Text(svg.XY{at(-0.01), 383}, svg.Middle, "swing begun earlier")
	c.Text(svg.XY{at(0.015), 383}, svg.Middle, "begun later")
}
