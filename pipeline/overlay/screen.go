package overlay

import (
	"ashline/metrics/geom"
	"ashline/pipeline/draw"
)

// Screen is where the steadied picture stands on what is drawn on: a place (x, y) of
// the picture is drawn at (atX + kx·x, atY + ky·y), px both. A mirrored screen has a
// negative kx.
type Screen struct{ kx, ky, atX, atY float64 }

// Whole draws where the picture is.
var Whole = Screen{kx: 1, ky: 1}

// On is where a place of the picture is drawn.
func (s Screen) On(p geom.Point) draw.Point {
	return draw.Point{X: s.atX + s.kx*p[0], Y: s.atY + s.ky*p[1]}
}

// Off is the place of the picture that is drawn at p.
func (s Screen) Off(p draw.Point) geom.Point {
	return geom.Point{(p.X - s.atX) / s.kx, (p.Y - s.atY) / s.ky}
}

// Size is how large a length of the picture is drawn.
func (s Screen) Size(px float64) float64 { return s.ky * px }
