package scene

import (
	"math"
	"strconv"
)

// rgb is a colour in linear light, 1 the brightest white that is shown.
type rgb [3]float32

func (c rgb) times(k float32) rgb { return rgb{c[0] * k, c[1] * k, c[2] * k} }

func (c rgb) mix(d rgb, k float32) rgb {
	return rgb{c[0] + k*(d[0]-c[0]), c[1] + k*(d[1]-c[1]), c[2] + k*(d[2]-c[2])}
}

// linear decodes an sRGB value in 0..1 (IEC 61966-2-1).
func linear(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// srgb encodes linear light in 0..1 (IEC 61966-2-1).
func srgb(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// hex reads #rrggbb, which the parameters' check has passed.
func hex(s string) rgb {
	n, err := strconv.ParseUint(s[1:], 16, 32)
	if err != nil {
		return rgb{}
	}
	f := func(b uint64) float32 { return float32(linear(float64(b&255) / 255)) }
	return rgb{f(n >> 16), f(n >> 8), f(n)}
}
