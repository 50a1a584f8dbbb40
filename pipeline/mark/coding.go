package mark

import (
	"math"

	"ashline/pipeline/card"
	"ashline/pipeline/ycbcr"
)

// Coding says how the file's samples encode colour.
type Coding struct {
	Matrix    string // bt709, bt601 or bt2020
	FullRange bool
}

// Chroma returns the offsets of Cb and Cr from neutral, in 8-bit steps, and
// luma 0..1, of an sRGB colour.
func (c Coding) Chroma(rgb card.RGB) (cb, cr, luma float64) {
	y, u, v := c.codes(vec{float64(rgb.R) / 255, float64(rgb.G) / 255, float64(rgb.B) / 255})
	black, span, _ := ycbcr.Scales(c.FullRange)
	return u - neutral, v - neutral, (y - black) / span
}

// neutral is the code of Cb and Cr without colour.
const neutral = 128

// codes encodes R'G'B' of 0..1 as Y, Cb and Cr in 8-bit steps.
func (c Coding) codes(rgb vec) (y, u, v float64) {
	kr, kb := ycbcr.Weights(c.Matrix)
	black, span, chroma := ycbcr.Scales(c.FullRange)
	l := kr*rgb[0] + (1-kr-kb)*rgb[1] + kb*rgb[2]
	return black + span*l, neutral + chroma*(rgb[2]-l)/(2*(1-kb)), neutral + chroma*(rgb[0]-l)/(2*(1-kr))
}

// rgb decodes Y, Cb and Cr to R'G'B'; colours that no screen shows lie outside 0..1.
func (c Coding) rgb(y, u, v float64) vec {
	kr, kb := ycbcr.Weights(c.Matrix)
	black, span, chroma := ycbcr.Scales(c.FullRange)
	l := (y - black) / span
	b, r := (u-neutral)/chroma*2*(1-kb), (v-neutral)/chroma*2*(1-kr)
	return vec{l + r, l - (kr*r+kb*b)/(1-kr-kb), l + b}
}

// toneLinear is the linear light of an encoded value, toneEncode its inverse.
// Source: IEC 61966-2-1 (from memory); cameras' own curves are near it.
func toneLinear(v float64) float64 {
	if v <= 0.04045 {
		return math.Max(0, v) / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func toneEncode(l float64) float64 {
	if l <= 0.0031308 {
		return 12.92 * math.Max(0, l)
	}
	return 1.055*math.Pow(l, 1/2.4) - 0.055
}

// RGB is the sRGB colour of codes of Y, Cb and Cr.
func (c Coding) RGB(codes [3]float64) card.RGB {
	rgb := c.rgb(codes[0], codes[1], codes[2])
	at := func(i int) uint8 { return uint8(math.Round(255 * math.Max(0, math.Min(1, rgb[i])))) }
	return card.RGB{R: at(0), G: at(1), B: at(2)}
}
