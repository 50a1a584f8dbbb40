package media

import (
	"math"

	"ashline/pipeline/ycbcr"
)

// ColourSpace says how samples stand for colours. The zero value is BT.709 in
// limited range, that of most phone clips.
type ColourSpace struct {
	// Matrix is bt601, bt709 or bt2020. Defaults to bt709.
	Matrix string
	// FullRange: black is 0 and white 255 instead of 16 and 235.
	FullRange bool
}

// YUV returns the samples of a gamma-coded colour, each part 0 to 255.
func (c ColourSpace) YUV(r, g, b uint8) (y, u, v uint8) {
	kr, kb := ycbcr.Weights(c.Matrix)
	y0, ySpan, cSpan := ycbcr.Scales(c.FullRange)
	rf, gf, bf := float64(r)/255, float64(g)/255, float64(b)/255
	l := kr*rf + (1-kr-kb)*gf + kb*bf
	return to8(y0 + ySpan*l), to8(128 + cSpan*(bf-l)/(2*(1-kb))), to8(128 + cSpan*(rf-l)/(2*(1-kr)))
}

// RGB returns the colour of the samples, each part 0 to 255, clipped.
func (c ColourSpace) RGB(y, u, v uint8) (r, g, b uint8) {
	kr, kb := ycbcr.Weights(c.Matrix)
	y0, ySpan, cSpan := ycbcr.Scales(c.FullRange)
	l := (float64(y) - y0) / ySpan
	bd := (float64(u) - 128) / cSpan * 2 * (1 - kb)
	rd := (float64(v) - 128) / cSpan * 2 * (1 - kr)
	gd := -(kr*rd + kb*bd) / (1 - kr - kb)
	return to8(255 * (l + rd)), to8(255 * (l + gd)), to8(255 * (l + bd))
}

func to8(v float64) uint8 {
	return uint8(math.Round(min(max(v, 0), 255)))
}

// Recolour turns the samples of f from one colour space into another.
func (f *Frame) Recolour(from, to ColourSpace) {
	if from == to {
		return
	}
	cw := f.ChromaW()
	for j := range f.ChromaH() {
		for i := range cw {
			u, v := f.U[j*cw+i], f.V[j*cw+i]
			// Chroma is that of the mean of the pixels that share it.
			sum, n := 0, 0
			for y := 2 * j; y < min(2*j+2, f.H); y++ {
				for x := 2 * i; x < min(2*i+2, f.W); x++ {
					at := &f.Y[y*f.W+x]
					sum, n = sum+int(*at), n+1
					*at, _, _ = to.YUV(from.RGB(*at, u, v))
				}
			}
			_, f.U[j*cw+i], f.V[j*cw+i] = to.YUV(from.RGB(uint8((sum+n/2)/n), u, v))
		}
	}
}
