package inspect

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ashline/pipeline/draw"
	"ashline/pipeline/media"
)

// strip is what stands below the picture: the frame's number and time, one row of
// the whole clip's course a mark and one for the ball, and the legend. What does
// not change is drawn once.
type strip struct {
	in       *inspection
	every    int
	bottomPx int
	base     *media.Frame
	textPx   float64
	left     float64 // of all text
	right    float64
	headY    float64
	rowsY    []float64 // middles: the marks, then the ball
	x0, x1   float64   // of the course
	columns  []float64 // right ends of the counts, the last one of what the frame shows
	from, to int       // frames that the course spans
	mostPx   float64   // largest motion of the camera
}

func newStrip(c *draw.Canvas, in *inspection, frames []int, every, width, topPx int) *strip {
	t := min(max(float64(width)/85, 9), 30)
	st := &strip{
		in: in, every: every, textPx: t, left: t, right: float64(width) - t,
		from: frames[0], to: frames[len(frames)-1], mostPx: math.Max(leastDialPx, in.s.Drift()),
	}
	// Text is measured on any frame.
	c.On(media.NewFrame(width, topPx))
	y := float64(topPx) + 0.6*t
	row := stripRow * t
	st.headY = y + row
	y += 2 * row
	headsY := y + row/2
	for range len(in.marks) + 1 {
		y += row
		st.rowsY = append(st.rowsY, y+row/2)
	}
	axisY := y + row
	y = axisY + 1.3*row
	for k := range int(foundKinds) + 1 {
		st.columns = append(st.columns, st.right-float64(int(foundKinds)-k)*stripColumn*t)
	}
	st.x0 = st.left + stripName*t
	st.x1 = st.columns[0] - (stripColumn+0.6)*t
	causeY := y
	lines := st.wrap(c)
	y += float64(len(lines)) * row
	legend, y := placeLegend(c, t, st.left, st.right, y+0.2*row, row)
	st.bottomPx = int(math.Ceil((y+0.4*t)/2)) * 2

	st.base = media.NewFrame(width, st.bottomPx)
	c.On(st.base)
	c.Panel(draw.Box{X0: -1, Y0: -1, X1: float64(width), Y1: float64(st.bottomPx)}, 0, draw.Ink)
	for k, name := range append(foundNames[:], "now") {
		st.text(c, name, draw.Point{X: st.columns[k], Y: headsY}, draw.Right, 0.8, 0.7)
	}
	st.axis(c, headsY, axisY)
	for i := range in.marks {
		st.course(c, i)
	}
	st.ball(c)
	for i, line := range lines {
		c.Text(line, draw.Point{X: st.left, Y: causeY + (float64(i)+0.5)*row}, draw.TextStyle{SizePx: t, Bold: true, Colour: draw.PitchLine, Anchor: draw.Left})
	}
	legend.draw(c)
	return st
}

// wrap breaks the cause of a failure into lines.
func (st *strip) wrap(c *draw.Canvas) []string {
	if st.in.cause == nil {
		return nil
	}
	var out []string
	line := ""
	for word := range strings.FieldsSeq("not measured: " + st.in.cause.Error()) {
		longer := strings.TrimSpace(line + " " + word)
		if line != "" && c.Measure(longer, draw.TextStyle{SizePx: st.textPx, Bold: true}).W() > st.right-st.left {
			out, longer = append(out, line), word
		}
		line = longer
	}
	return append(out, line)
}

func (st *strip) text(c *draw.Canvas, text string, at draw.Point, a draw.Anchor, size, opacity float64) draw.Box {
	return c.Text(text, at, draw.TextStyle{SizePx: size * st.textPx, Colour: draw.Paper.WithOpacity(opacity), Anchor: a})
}

// x is where a frame lies on the course.
func (st *strip) x(frame float64) float64 {
	return st.x0 + (st.x1-st.x0)*(frame-float64(st.from))/math.Max(1, float64(st.to-st.from))
}

// axis draws the swings' spans, contacts, and a scale of seconds.
func (st *strip) axis(c *draw.Canvas, headsY, axisY float64) {
	half := stripRow * st.textPx / 2
	top, bottom := st.rowsY[0]-half, st.rowsY[len(st.rowsY)-1]+half
	for i, sp := range st.in.spans {
		a, b := st.x(math.Max(float64(sp.From), float64(st.from))), st.x(math.Min(float64(sp.To-1), float64(st.to)))
		c.Panel(draw.Box{X0: a, Y0: top, X1: b, Y1: bottom}, 0, draw.Paper.WithOpacity(0.10))
		name := "swing"
		if len(st.in.spans) > 1 {
			name = fmt.Sprintf("swing %d", i+1)
		}
		st.text(c, name, draw.Point{X: a, Y: headsY}, draw.Left, 0.8, 0.7)
	}
	for _, ct := range st.in.contacts {
		x := st.x(st.in.s.FrameAt(ct.timeS))
		c.Polyline([]draw.Point{{X: x, Y: top}, {X: x, Y: bottom}}, draw.Stroke{WidthPx: st.textPx / 8, Colour: draw.Paper.WithOpacity(0.8), DashPx: st.textPx / 3, GapPx: st.textPx / 3})
		p := pen{c: c, unit: st.textPx / 12}
		p.saltire(draw.Point{X: x, Y: headsY}, st.textPx*0.3)
	}
	t := st.in.s.TimesS
	stepS := niceStep((t[st.to] - t[st.from]) / math.Max(1, (st.x1-st.x0)/(6*st.textPx)))
	y := axisY + 0.45*stripRow*st.textPx
	decimals := max(0, int(math.Ceil(-math.Log10(stepS)-1e-9)))
	for k := int(math.Ceil(t[st.from]/stepS - 1e-9)); float64(k)*stepS <= t[st.to]; k++ {
		x := st.x(st.in.s.FrameAt(float64(k) * stepS))
		c.Line(draw.Point{X: x, Y: bottom}, draw.Point{X: x, Y: bottom + st.textPx*0.3}, 1, draw.Paper.WithOpacity(0.6))
		st.text(c, strconv.FormatFloat(float64(k)*stepS, 'f', decimals, 64)+" s", draw.Point{X: x, Y: y + 0.2*st.textPx}, draw.Centre, 0.8, 0.7)
	}
}

// niceStep is the least of 1, 2 and 5 times a power of ten that is not less than s.
func niceStep(s float64) float64 {
	ten := math.Pow(10, math.Floor(math.Log10(math.Max(s, 1e-4))))
	for _, k := range []float64{1, 2, 5, 10} {
		// Rounded to the digits that are meant.
		if v := math.Round(k*ten*1e6) / 1e6; v >= s {
			return v
		}
	}
	return 10 * ten
}

// course draws a mark's row: a bar a frame, the taller the surer, and the counts
// over the frames that are shown.
func (st *strip) course(c *draw.Canvas, i int) {
	m := &st.in.marks[i]
	y, row := st.rowsY[i], stripRow*st.textPx
	c.Text(spoken(m.name), draw.Point{X: st.left, Y: y}, draw.TextStyle{SizePx: st.textPx, Bold: true, Colour: m.colour, Anchor: draw.Left})
	var count [foundKinds]int
	for f := st.from; f <= st.to; f++ {
		count[m.found[f]]++
	}
	st.bars(c, y+0.4*row, row, m.colour, func(f int) float64 { return barTall[m.found[f]] })
	for k, n := range count {
		st.text(c, strconv.Itoa(n), draw.Point{X: st.columns[k], Y: y}, draw.Right, 1, 0.9)
	}
}

// bars draws runs of equal height above a base line.
func (st *strip) bars(c *draw.Canvas, baseY, row float64, col draw.Colour, height func(f int) float64) {
	c.Line(draw.Point{X: st.x0, Y: baseY}, draw.Point{X: st.x1, Y: baseY}, 1, draw.Paper.WithOpacity(0.3))
	for f := st.from; f <= st.to; {
		h, first := height(f), f
		for f <= st.to && height(f) == h {
			f++
		}
		if h > 0 {
			a, b := st.x(float64(first)-0.5), st.x(float64(f)-0.5)
			c.Panel(draw.Box{X0: math.Max(a, st.x0), Y0: baseY - h*row, X1: math.Min(b, st.x1), Y1: baseY}, 0, col)
		}
	}
}

// ball draws the ball's row: frames with moving blobs low, frames of a chosen
// flight tall; one away from the hitter only half as tall.
func (st *strip) ball(c *draw.Canvas) {
	y, row := st.rowsY[len(st.rowsY)-1], stripRow*st.textPx
	c.Text("ball", draw.Point{X: st.left, Y: y}, draw.TextStyle{SizePx: st.textPx, Bold: true, Colour: draw.Ball, Anchor: draw.Left})
	heights := map[int]float64{}
	seen := 0
	for _, f := range st.in.flights {
		for _, s := range f.samples {
			if s.Frame < st.from || s.Frame > st.to {
				continue
			}
			seen++
			heights[s.Frame] = barTall[foundSeen]
			if f.out {
				heights[s.Frame] = barTall[foundSeen] / 2
			}
		}
	}
	count := [foundKinds]int{foundSeen: seen}
	for f := st.from; f <= st.to; f++ {
		switch {
		case heights[f] > 0:
		case len(st.in.s.Blobs[f]) > 0:
			count[foundRefused]++
		default:
			count[foundNothing]++
		}
	}
	st.bars(c, y+0.4*row, row, draw.Ball, func(f int) float64 {
		if h := heights[f]; h > 0 || len(st.in.s.Blobs[f]) == 0 {
			return h
		}
		return barTall[foundRefused]
	})
	for k, n := range count {
		text := strconv.Itoa(n)
		if found(k) == foundFilled || found(k) == foundFlow {
			text = "–"
		}
		st.text(c, text, draw.Point{X: st.columns[k], Y: y}, draw.Right, 1, 0.9)
	}
}

// draw adds what holds for one frame.
func (st *strip) draw(c *draw.Canvas, frame int) {
	s, t := st.in.s, st.textPx
	bold := draw.TextStyle{SizePx: 1.25 * t, Bold: true, Anchor: draw.Left}
	c.Text(fmt.Sprintf("frame %d", frame), draw.Point{X: st.left, Y: st.headY}, bold)
	rest := fmt.Sprintf("of %d", len(s.TimesS))
	if st.every > 1 {
		rest += fmt.Sprintf(", 1 in %d", st.every)
	}
	st.text(c, rest, draw.Point{X: st.left + 7.2*t, Y: st.headY}, draw.Left, 1, 0.75)
	c.Text(fmt.Sprintf("%.4f s", s.TimesS[frame]), draw.Point{X: st.left + 19*t, Y: st.headY}, bold)
	if ct, ok := st.in.nearestContact(s.TimesS[frame]); ok {
		c.Text(strings.Replace(fmt.Sprintf("%+.1f ms", 1000*(s.TimesS[frame]-ct.timeS)), "-", "−", 1), draw.Point{X: st.left + 34*t, Y: st.headY}, draw.TextStyle{SizePx: 1.25 * t, Bold: true, Anchor: draw.Right})
		st.text(c, "from contact", draw.Point{X: st.left + 34.7*t, Y: st.headY}, draw.Left, 1, 0.75)
	} else {
		st.text(c, "no contact", draw.Point{X: st.left + 28*t, Y: st.headY}, draw.Left, 1, 0.75)
	}
	st.camera(c, frame)
	half := stripRow * t / 2
	x := st.x(float64(frame))
	top, bottom := st.rowsY[0]-half, st.rowsY[len(st.rowsY)-1]+half
	c.Polyline([]draw.Point{{X: x, Y: top}, {X: x, Y: bottom}}, draw.Stroke{WidthPx: t / 7, Colour: draw.PitchLine})
	c.FillPolygon([]draw.Point{{X: x - 0.4*t, Y: top - 0.5*t}, {X: x + 0.4*t, Y: top - 0.5*t}, {X: x, Y: top + 0.1*t}}, draw.PitchLine)
	for i := range st.in.marks {
		m := &st.in.marks[i]
		st.now(c, i, len(m.candidates[frame]))
	}
	st.now(c, len(st.in.marks), len(s.Blobs[frame]))
}

func (st *strip) now(c *draw.Canvas, row, n int) {
	c.Text(strconv.Itoa(n), draw.Point{X: st.columns[foundKinds], Y: st.rowsY[row]}, draw.TextStyle{SizePx: st.textPx, Bold: true, Colour: draw.PitchLine, Anchor: draw.Right})
}

// camera shows how far the middle of the picture has moved since the first frame.
// The dial's radius is the largest such motion in the clip, at least 1 px.
func (st *strip) camera(c *draw.Canvas, frame int) {
	t := st.textPx
	dx, dy := st.in.s.MiddleMoved(frame)
	text := fmt.Sprintf("camera moved %.1f px", math.Hypot(dx, dy))
	mid := draw.Point{X: st.right - dialRadius*t, Y: st.headY}
	c.Ring(mid, dialRadius*t, t/12, draw.Paper.WithOpacity(0.5))
	c.Disc(mid, t/8, draw.Paper)
	k := dialRadius * t / st.mostPx
	c.Arrow(mid, draw.Point{X: mid.X + k*dx, Y: mid.Y + k*dy}, t/6, t*0.6, draw.PitchLine)
	b := st.text(c, fmt.Sprintf("dial %.1f px", st.mostPx), draw.Point{X: mid.X - (dialRadius+0.6)*t, Y: mid.Y}, draw.Right, 0.8, 0.6)
	c.Text(text, draw.Point{X: b.X0 - 0.8*t, Y: mid.Y}, draw.TextStyle{SizePx: t, Anchor: draw.Right})
}
