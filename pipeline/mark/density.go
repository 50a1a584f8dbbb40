package mark

import (
	"math"
	"math/rand/v2"
	"sort"
)

// A density is the share of pixels in each cell of the colour cube (Y, Cb, Cr), cells
// of 8 codes a side: finer than what shading and coding do to a colour, coarse
// enough to be filled by one clip.
type density [1 << (3 * cellBits)]float32

const (
	cellBits  = 5
	cellShift = 8 - cellBits
	cellLog   = 3 * cellShift * math.Ln2 // log of a cell's volume in codes³
)

func cell(y, u, v uint8) int {
	return int(y>>cellShift)<<(2*cellBits) | int(u>>cellShift)<<cellBits | int(v>>cellShift)
}

// centre is the colour in a cell's middle, codes.
func centre(c int) (y, u, v float64) {
	at := func(i int) float64 { return float64(i&(1<<cellBits-1))*(1<<cellShift) + 1<<(cellShift-1) - 0.5 }
	return at(c >> (2 * cellBits)), at(c >> cellBits), at(c)
}

// anyShare is the share of pixels that may be of any colour at all: glints, dirt and
// what no sample showed.
const anyShare = 0.02

// settle blurs a density by one cell each way, (1 2 1)/4, makes its sum 1 and mixes
// anyShare of every colour in.
func (d *density) settle() {
	for _, stride := range [3]int{1, 1 << cellBits, 1 << (2 * cellBits)} {
		var out density
		for c := range d {
			i := c / stride & (1<<cellBits - 1)
			lo, hi := c, c
			if i > 0 {
				lo = c - stride
			}
			if i < 1<<cellBits-1 {
				hi = c + stride
			}
			out[c] = (d[lo] + 2*d[c] + d[hi]) / 4
		}
		*d = out
	}
	sum := 0.0
	for _, p := range d {
		sum += float64(p)
	}
	if sum == 0 {
		sum = 1
	}
	for c := range d {
		d[c] = float32((1-anyShare)*float64(d[c])/sum + anyShare/float64(len(d)))
	}
}

// How light, lens and coding change a band's colour between the card and the file.
// Choices, wide enough for phones outdoors and in cages: what was measured on clips
// of two renderers (shade 0.3–1.25, spread 0.055) lies well inside.
const (
	shadeLow, shadeHigh = 0.25, 1.3 // of the card's colour, linear light
	darkShare           = 0.15      // of the samples lie in deep shadow
	darkLow             = 0.05
	glareShare          = 0.04 // of them are brighter than the sensor can tell
	glareHigh           = 4.0
	tintSD              = 0.12 // of each channel, of its log: white balance and lamps
	veilMost            = 0.15 // of grey light over it: lens flare, a net near the lens
	veilLight           = 0.5
	mixShare            = 0.45 // of the samples lie at the rim or in a streak
	mixLeast            = 0.25 // and show at least so much of the band
	codeSD              = 2.5  // codes: sensor and coding
	bandSamples         = 40000
)

// bandDensity is what pixels of a band of a colour (linear light) look like where
// behind tells the colours of what lies behind it.
func bandDensity(full vec, coding Coding, behind *density) *density {
	rng := rand.New(rand.NewPCG(1, 1)) // the same table each time
	pick := behind.sampler(rng, coding)
	d := new(density)
	for range bandSamples {
		shade := shadeLow + (shadeHigh-shadeLow)*rng.Float64()
		switch r := rng.Float64(); {
		case r < darkShare:
			shade = darkLow * math.Pow(shadeLow/darkLow, rng.Float64())
		case r < darkShare+glareShare:
			shade = shadeHigh * math.Pow(glareHigh/shadeHigh, rng.Float64())
		}
		veil := veilMost * rng.Float64()
		alpha := 1.0
		var back vec
		if rng.Float64() < mixShare {
			alpha, back = mixLeast+(1-mixLeast)*rng.Float64(), pick()
		}
		var rgb vec
		for i := range rgb {
			l := (1-veil)*shade*full[i]*math.Exp(tintSD*rng.NormFloat64()) + veil*veilLight*math.Min(1, shade)
			rgb[i] = toneEncode(math.Min(1, alpha*l+(1-alpha)*back[i]))
		}
		y, u, v := coding.codes(rgb)
		d[cell(code(y+codeSD*rng.NormFloat64()), code(u+codeSD*rng.NormFloat64()), code(v+codeSD*rng.NormFloat64()))]++
	}
	d.settle()
	return d
}

func code(v float64) uint8 { return uint8(math.Max(0, math.Min(255, math.Round(v)))) }

// sampler draws colours, linear light, as often as the density has them.
func (d *density) sampler(rng *rand.Rand, coding Coding) func() vec {
	sums := make([]float64, len(d))
	total := 0.0
	for c, p := range d {
		total += float64(p)
		sums[c] = total
	}
	return func() vec {
		c := sort.SearchFloat64s(sums, total*rng.Float64())
		rgb := coding.rgb(centre(min(c, len(d)-1)))
		for i := range rgb {
			rgb[i] = toneLinear(math.Min(1, rgb[i]))
		}
		return rgb
	}
}
