package band

import (
	"math"

	"ashline/pipeline/card"
	"ashline/pipeline/mark"
)

// Model is one mark's colour in one clip.
type Model struct {
	Name string
	// HueRad is the direction of the mark's (Cb, Cr).
	HueRad float64
	// Saturation is the length of the mark's (Cb, Cr) when it fills a pixel in full
	// light, 8-bit steps.
	Saturation float64
	// AreaPx is its silhouette from the side, luma px²; 0 unknown.
	AreaPx float64

	full vec // in full light, linear
}

// NewModel starts a model from the colour on the card.
func NewModel(name string, rgb card.RGB, c mark.Coding) Model {
	cb, cr, _ := c.Chroma(rgb)
	m := modelOf(name, cb, cr)
	for i, c := range [3]uint8{rgb.R, rgb.G, rgb.B} {
		m.full[i] = toneLinear(float64(c) / 255)
	}
	return m
}

func modelOf(name string, cb, cr float64) Model {
	return Model{Name: name, HueRad: math.Atan2(cr, cb), Saturation: math.Hypot(cb, cr)}
}

// Limits of what counts as the mark's colour within a patch.
const (
	fullShare = 0.55 // of Saturation: from here a pixel counts as covered
	topShare  = 1.25 // of Saturation: glints do not count for more
)

// share is a pixel's colour along the mark's hue, in units of its saturation.
func (m Model) share(u, v uint8) float64 {
	along := (float64(u)-neutral)*math.Cos(m.HueRad) + (float64(v)-neutral)*math.Sin(m.HueRad)
	return math.Max(0, math.Min(topShare, along/m.Saturation))
}
