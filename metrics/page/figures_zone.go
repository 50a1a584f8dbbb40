package page

import (
	"fmt"
	"math"

	"ashline/metrics/zone"
)

func drawZone(c *canvas) {
	s := example
	z, l := s.zone(), s.line()
	w := window{originPx: xy{330, 145}, pxPerM: 480}
	off := func(alongM, upM float64) xy {
		p, u := onLine(l, alongM), l.Against()
		return w.at([2]float64{p[0] - upM*u[1], p[1] + upM*u[0]})
	}
	c.lines(pen{hue: band, width: 1.5, fill: band, fade: 0.22}, off(-0.72, nearM), off(0.48, nearM), off(0.48, -nearM), off(-0.72, -nearM), off(-0.72, nearM))
	pitchIn(c, w, l, 0.48, -0.72)
	w.path(c, pen{hue: outZone, width: 4}, -0.031, z.EnterS, pos(s))
	w.path(c, pen{hue: inZone, width: 9}, z.EnterS, z.LeaveS, pos(s))
	w.path(c, pen{hue: outZone, width: 4}, z.LeaveS, 0.0172, pos(s))

	const under = 0.155 // m below the line
	along := func(t float64) float64 {
		a, _ := l.Place(pos(s)(t))
		return a
	}
	enter, at, leave := along(z.EnterS), along(0), along(z.LeaveS)
	for _, t := range []float64{z.EnterS, 0, z.LeaveS} {
		c.lines(pen{hue: grey, dash: "4 5"}, w.at(pos(s)(t)), off(along(t), -under-0.015))
		c.dot(w.at(pos(s)(t)), ink)
	}
	c.span(pen{width: 2}, off(enter, -under), off(at, -under))
	c.span(pen{width: 2}, off(at, -under), off(leave, -under))
	label := func(alongM, upM float64, line string) { c.text(off(alongM, upM), middle, line) }
	c.bold(off(enter, 0.10), middle, "enter")
	c.bold(off(at-0.02, 0.10), middle, "contact")
	c.bold(off(leave+0.03, 0.10), middle, "leave")
	label((enter+at)/2, -under-0.06, fmt.Sprintf("behind %.0f cm", 100*z.BehindM))
	label((at+leave)/2, -under-0.06, fmt.Sprintf("ahead %.0f cm", 100*z.AheadM))
	c.text(xy{595, 184}, right, "pitch line")
	c.text(xy{8, 24}, left, "shaded: within ball radius + barrel radius of the line")
	runsBelow(c, z)
}

// runsBelow draws the runs of a zone as bars over time.
func runsBelow(c *canvas, z zone.Zone) {
	const top, row, perMS = 302, 26, 10.5
	at := func(t float64) float64 { return 345 + perMS*1000*t }
	for i, bar := range []struct {
		name string
		run  zone.Span
		hue  string
		tall float64
	}{
		{"near the line", z.Near, band, 12},
		{"along it, within 10°", z.Along, band, 12},
		{"zone: both", z.Span, inZone, 14},
	} {
		y := top + row*float64(i)
		c.text(xy{8, y + 5}, left, bar.name)
		c.rect(xy{at(bar.run.EnterS), y - bar.tall/2}, xy{at(bar.run.LeaveS), y + bar.tall/2}, pen{hue: inZone, fill: bar.hue})
		c.text(xy{at(bar.run.LeaveS) + 8, y + 5}, left, fmt.Sprintf("%.0f ms", 1000*bar.run.DurationS()))
	}
	axis := top + row*2.0 + 17
	c.lines(pen{}, xy{at(-0.015), axis}, xy{at(0.02), axis})
	c.lines(pen{hue: grey, dash: "4 5"}, xy{at(0), top - 14}, xy{at(0), axis})
	for _, t := range []float64{-0.01, 0, 0.01} {
		c.lines(pen{}, xy{at(t), axis}, xy{at(t), axis + 5})
		c.text(xy{at(t), axis + 21}, middle, ms(t))
	}
}

func drawTiming(c *canvas) {
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
		c.bold(xy{mid, 26}, middle, p.name)
		touching(c, s, p.lateS, xy{mid, 125})
	}
	for _, x := range []float64{202, 398} {
		c.lines(pen{hue: grey, width: 1}, xy{x, 12}, xy{x, 255})
	}
	windows(c, tm)
}

// touching draws barrel and ball as they first touch when the swing is late.
func touching(c *canvas, s swing, lateS float64, middlePx xy) {
	const pxPerM = 1100
	moved := late{s, lateS}
	touch := s.meet(moved).Touch
	b, v := moved.At(touch.TimeS)
	ball, vb := s.line().Ball(s.ballMPS).At(touch.TimeS)
	// The middle of the two circles goes to the middle of the panel.
	w := window{pxPerM: pxPerM}
	m := w.at([2]float64{(b[0] + ball[0]) / 2, (b[1] + ball[1]) / 2})
	w.originPx = xy{middlePx[0] - m[0], middlePx[1] - m[1]}

	rel := unit(xy{vb[0], vb[1]}, xy{v[0], v[1]})
	through := func(k float64) xy { return w.at([2]float64{ball[0] + k*rel[0], ball[1] + k*rel[1]}) }
	side := (b[0]-ball[0])*rel[0] + (b[1]-ball[1])*rel[1]
	c.circle(w.at(b), barrelR*pxPerM, pen{hue: inZone, width: 3, fill: band, fade: 0.25})
	c.circle(w.at(ball), ballR*pxPerM, pen{width: 2})
	c.lines(pen{hue: pitch, width: 2.5, dash: "7 6"}, through(-0.09), through(0.052))
	c.span(pen{width: 2.5}, w.at(b), through(side))
	c.dot(w.at(b), ink)
	c.dot(w.at(ball), ink)
	where := "at contact"
	if cm := 100 * b[0]; math.Abs(cm) > 0.5 {
		where = fmt.Sprintf("%.0f cm ahead", cm)
		if cm < 0 {
			where = fmt.Sprintf("%.0f cm behind", -cm)
		}
	}
	c.text(xy{middlePx[0], 220}, middle, fmt.Sprintf("impact offset %.1f mm", 1000*touch.OffsetM))
	c.text(xy{middlePx[0], 242}, middle, where)
}

// windows draws both timing windows over the shift of the swing.
func windows(c *canvas, tm zone.Timing) {
	const perMS = 7.2
	at := func(t float64) float64 { return 255 + perMS*1000*t }
	for i, bar := range []struct {
		name string
		w    zone.Window
		hue  string
	}{{"solid", tm.Solid, inZone}, {"any", tm.Any, band}} {
		y := 290 + 28*float64(i)
		c.bold(xy{8, y + 5}, left, bar.name)
		c.rect(xy{at(-bar.w.EarlyS), y - 8}, xy{at(bar.w.LateS), y + 8}, pen{hue: inZone, fill: bar.hue})
		c.text(xy{at(-bar.w.EarlyS) - 8, y + 5}, right, fmt.Sprintf("%.1f ms", 1000*bar.w.EarlyS))
		c.text(xy{at(bar.w.LateS) + 8, y + 5}, left, fmt.Sprintf("%.1f ms", 1000*bar.w.LateS))
	}
	c.lines(pen{}, xy{at(-0.022), 342}, xy{at(0.036), 342})
	for _, t := range []float64{-0.02, -0.01, 0, 0.01, 0.02, 0.03} {
		c.lines(pen{}, xy{at(t), 342}, xy{at(t), 347})
		c.text(xy{at(t), 363}, middle, ms(t))
	}
	c.lines(pen{hue: paper, width: 2.5}, xy{at(0), 278}, xy{at(0), 330})
	c.text(xy{at(-0.01), 383}, middle, "swing begun earlier")
	c.text(xy{at(0.015), 383}, middle, "begun later")
}
