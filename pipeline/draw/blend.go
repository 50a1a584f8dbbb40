package draw

import "math"

// one is the weight of the new value that leaves nothing of the old, in binary
// places; 255 times its 255th part rounds back to the new value exactly.
const one = 1 << 24

// blender moves samples towards one value by their coverage.
type blender struct {
	value    int
	strength int        // weight of one 255th of coverage
	whole    [256]uint8 // results for wholly covered pixels
}

func newBlender(value uint8, opacity float64) (b blender) {
	b.value = int(value)
	b.strength = int(math.Round(min(opacity, 1) * one / 255))
	for old := range b.whole {
		b.whole[old] = b.mix(old, 255)
	}
	return b
}

func (b *blender) mix(old, cover int) uint8 {
	return uint8(old + ((b.value-old)*cover*b.strength+one/2)>>24)
}

// row blends a row of samples by their coverage.
func (b *blender) row(dst, cover []uint8) {
	cover = cover[:len(dst)]
	for i, k := range cover {
		switch k {
		case 0:
		case 255:
			dst[i] = b.whole[dst[i]]
		default:
			dst[i] = b.mix(int(dst[i]), int(k))
		}
	}
}
