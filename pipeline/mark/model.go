package mark

import (
	"math"

	"ashline/pipeline/card"
)

// Model is one mark's colour in one clip.
type Model struct {
	Name string
	// HueRad is the direction of the mark's (Cb, Cr).
	HueRad float64
	// Saturation is the length of the mark's (Cb, Cr) when it fills a pixel in full
	// light, 8-bit steps.
	Saturation float64
	// Fine asks for coverage: of the marks on the bat every tenth of a px counts,
	// joints do with the coloured patch.
	Fine bool
	// AreaPx is its silhouette from the side, luma px²; 0 unknown.
	AreaPx float64

	full vec // in full light, linear
}

// MinSaturation is the length of (Cb, Cr), 8-bit steps, below which sensor noise has
// any hue.
const MinSaturation = 10.0

// NewModel starts a model from the colour on the card.
func NewModel(name string, rgb card.RGB, coding Coding) Model {
	cb, cr, _ := coding.Chroma(rgb)
	m := modelOf(name, cb, cr)
	for i, c := range [3]uint8{rgb.R, rgb.G, rgb.B} {
		m.full[i] = toneLinear(float64(c) / 255)
	}
	return m
}

// ModelOf starts a model from a colour seen in the clip: 8-bit codes.
func ModelOf(name string, y, cb, cr float64, coding Coding) Model {
	m := modelOf(name, cb-neutral, cr-neutral)
	most := 0.0
	for i, c := range coding.rgb(y, cb, cr) {
		m.full[i] = toneLinear(math.Min(1, c))
		most = math.Max(most, m.full[i])
	}
	// What was seen was in some shade: full light is as bright as a screen shows it.
	for i := range m.full {
		m.full[i] /= math.Max(most, 1e-3)
	}
	return m
}

func modelOf(name string, cb, cr float64) Model {
	return Model{Name: name, HueRad: math.Atan2(cr, cb), Saturation: math.Hypot(cb, cr)}
}

// alikeRad is the difference of hue that light and coding can make.
const alikeRad = 18 * math.Pi / 180

// Alike lists the models whose hues are too close to be told apart by colour.
func Alike(models []Model) [][2]string {
	var out [][2]string
	for i, a := range models {
		for _, b := range models[i+1:] {
			if math.Abs(angle(a.HueRad-b.HueRad)) < alikeRad {
				out = append(out, [2]string{a.Name, b.Name})
			}
		}
	}
	return out
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

// angle folds an angle into (−π, π].
func angle(a float64) float64 {
	return math.Atan2(math.Sin(a), math.Cos(a))
}
