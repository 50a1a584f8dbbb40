package pipeline

import (
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
)

// screen is where the steadied picture stands on what is drawn on: a place (x, y) of
// the picture is drawn at (atX + kx·x, atY + ky·y), px both. A mirrored screen has a
// negative kx.
type screen struct{ kx, ky, atX, atY float64 }

// wholeScreen draws where the picture is.
var wholeScreen = screen{kx: 1, ky: 1}

// on is where a place of the picture is drawn.
func (s screen) on(p geom.Point) draw.Point {
	return draw.Point{X: s.atX + s.kx*p[0], Y: s.atY + s.ky*p[1]}
}

// off is the place of the picture that is drawn at p.
func (s screen) off(p draw.Point) geom.Point {
	return geom.Point{(p.X - s.atX) / s.kx, (p.Y - s.atY) / s.ky}
}

// size is how large a length of the picture is drawn.
func (s screen) size(px float64) float64 { return s.ky * px }
