package mark

import (
	"math"

	"ashline/pipeline/card"
)

// Coding says how the file's samples encode colour.
type Coding struct {
	Matrix    string // bt709, bt601 or bt2020
	FullRange bool
}

// coefficients returns the luma weights of red and blue.
// Source: ITU-R BT.601, BT.709 and BT.2020 (from memory).
func (c Coding) coefficients() (kr, kb float64) {
	switch c.Matrix {
	case "bt601":
		return 0.299, 0.114
	case "bt2020":
		return 0.2627, 0.0593
	}
	return 0.2126, 0.0722
}

// Chroma returns the offsets of Cb and Cr from neutral, in 8-bit steps, and
// luma 0..1, of an sRGB colour.
func (c Coding) Chroma(rgb card.RGB) (cb, cr, luma float64) {
	kr, kb := c.coefficients()
	r, g, b := float64(rgb.R)/255, float64(rgb.G)/255, float64(rgb.B)/255
	luma = kr*r + (1-kr-kb)*g + kb*b
	span := 224.0
	if c.FullRange {
		span = 255
	}
	return span * (b - luma) / (2 * (1 - kb)), span * (r - luma) / (2 * (1 - kr)), luma
}

// Model is one mark's colour in one clip.
type Model struct {
	Name string
	// HueRad is the direction of the mark's (Cb, Cr).
	HueRad float64
	// Saturation is the length of the mark's (Cb, Cr) when it fills a pixel,
	// 8-bit steps.
	Saturation float64
	// TolRad is how far a pixel's hue may be off.
	TolRad float64
	// Fine asks for coverage: of the marks on the bat every tenth of a px counts,
	// joints do with the coloured patch.
	Fine bool
}

// Limits of the hue test. Skin stands 49° from a pink band and 20° from an
// orange one in this plane, so a tolerance of 20° keeps pink clear of skin;
// orange is told apart by saturation alone.
const (
	hueTol   = 20 * math.Pi / 180
	leastTol = 9 * math.Pi / 180
	// MinSaturation is the length of (Cb, Cr), 8-bit steps, below which sensor
	// noise has any hue.
	MinSaturation = 10.0
	topShare      = 1.25 // of Saturation: the largest that a table's entry can say
	fullShare     = 0.55 // of Saturation: from here a pixel counts as covered
	lowShare      = 0.14 // of Saturation: below, a pixel is not the mark
)

// NewModel starts a model from the colour on the card.
func NewModel(name string, rgb card.RGB, coding Coding) Model {
	cb, cr, _ := coding.Chroma(rgb)
	return Model{Name: name, HueRad: math.Atan2(cr, cb), Saturation: math.Hypot(cb, cr), TolRad: hueTol}
}

// ModelOf starts a model from chroma seen in the clip, 8-bit steps from neutral.
func ModelOf(name string, cb, cr float64) Model {
	return Model{Name: name, HueRad: math.Atan2(cr, cb), Saturation: math.Hypot(cb, cr), TolRad: hueTol}
}

// Separate narrows the tolerances of models whose hues are close, so that few
// pixels belong to two marks. Below leastTol a mark would lose its own pixels to
// light and coding: from there on places and speeds have to tell them apart.
func Separate(models []Model) {
	for i := range models {
		for j := range models {
			if i == j {
				continue
			}
			if d := math.Abs(angle(models[i].HueRad - models[j].HueRad)); d > 0 {
				models[i].TolRad = math.Min(models[i].TolRad, math.Max(d/2, leastTol))
			}
		}
	}
}

// Alike lists the models whose hues are too close to be told apart by colour.
func Alike(models []Model) [][2]string {
	var out [][2]string
	for i, a := range models {
		for _, b := range models[i+1:] {
			if math.Abs(angle(a.HueRad-b.HueRad)) < 2*leastTol {
				out = append(out, [2]string{a.Name, b.Name})
			}
		}
	}
	return out
}

// table maps (Cb, Cr) to the colour of a pixel along the mark's hue, 0..255 for
// 0..topShare of the mark's saturation; 0 is not the mark.
type table [1 << 16]uint8

// share is a table's entry in units of the mark's saturation.
func share(v uint8) float64 { return topShare * float64(v) / 255 }

func (m Model) table() *table {
	t := new(table)
	floor := math.Max(MinSaturation, lowShare*m.Saturation)
	cu, cv := math.Cos(m.HueRad), math.Sin(m.HueRad)
	for u := range 256 {
		for v := range 256 {
			du, dv := float64(u)-128, float64(v)-128
			along := du*cu + dv*cv
			if along < floor {
				continue
			}
			if math.Abs(math.Atan2(dv*cu-du*cv, along)) > m.TolRad {
				continue
			}
			t[u<<8|v] = uint8(math.Round(255 * math.Min(1, along/(topShare*m.Saturation))))
		}
	}
	return t
}

// angle folds an angle into (−π, π].
func angle(a float64) float64 {
	return math.Atan2(math.Sin(a), math.Cos(a))
}
