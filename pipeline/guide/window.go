package guide

import "ashline/pipeline/svg"

// widthPx is the width of every drawing, px.
const widthPx = 600

// window puts a part of the plane of the pitch on the canvas.
type window struct {
	originPx svg.XY // where x = 0, z = 0 is drawn
	pxPerM   float64
}

func (w window) at(p [2]float64) svg.XY {
	return svg.XY{w.originPx[0] + w.pxPerM*p[0], w.originPx[1] - w.pxPerM*p[1]}
}

// path draws a motion from one time to another.
func (w window) path(c *svg.Canvas, p svg.Pen, from, to float64, at func(t float64) [2]float64) {
	const steps = 60
	var points []svg.XY
	for i := range steps + 1 {
		points = append(points, w.at(at(from+(to-from)*float64(i)/steps)))
	}
	c.Lines(p, points...)
}
