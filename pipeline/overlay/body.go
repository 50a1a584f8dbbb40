package overlay

import (
	"math"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
)

// bodyLines are the lines of the body that a coach looks at: from joint to joint, in
// the order drawn.
var bodyLines = [][2]string{
	{"back_shoulder", metrics.ShoulderEnd},
	{"lead_shoulder", "lead_elbow"},
	{"lead_elbow", "lead_wrist"},
	{"back_elbow", "back_hip"},
}

// drawBody draws the lines whose joints are known at timeS.
func drawBody(c *draw.Canvas, cur metrics.Curves, place func(geom.Point) draw.Point, timeS, widthPx float64) {
	at := func(name string) (draw.Point, bool) {
		p, ok := cur.Joint(name, timeS)
		return place(p), ok
	}
	for _, l := range bodyLines {
		a, known := at(l[0])
		b, too := at(l[1])
		if !known || !too {
			continue
		}
		c.Polyline([]draw.Point{a, b}, draw.Stroke{WidthPx: widthPx, Colour: draw.Hands, CasingPx: widthPx * 0.35})
		for _, p := range []draw.Point{a, b} {
			c.Ring(p, 1.4*widthPx, math.Max(1, 0.5*widthPx), draw.Hands)
		}
	}
}
