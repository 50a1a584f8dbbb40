package draw

import "ashline/pipeline/media"

// Canvas draws on one frame after the other and keeps its scratch memory and
// its letters between them. It is not safe for concurrent use.
type Canvas struct {
	space   media.ColourSpace
	frame   *media.Frame
	mask    mask
	taken   mask
	fill    filler
	scratch []Point
	half    []uint8
	glyphs  glyphCache
}

// New returns a canvas for frames whose samples are in the given colour space.
// It draws nothing before On.
func New(space media.ColourSpace) *Canvas {
	return &Canvas{space: space, frame: &media.Frame{}}
}

// On makes f the frame that is drawn on. The planes of f must have the lengths
// that its size asks for, as every decoded frame's have.
func (c *Canvas) On(f *media.Frame) *Canvas {
	c.frame = f
	c.mask.resize(f.W, f.H)
	c.taken.resize(f.W, f.H)
	return c
}

// Size returns the size of the frame, px.
func (c *Canvas) Size() (w, h int) { return c.frame.W, c.frame.H }

// paint blends the colour with the frame by the mask and empties the mask.
func (c *Canvas) paint(col Colour) {
	defer c.mask.clear()
	if !(col.Opacity > 0) || c.mask.top >= c.mask.end {
		return
	}
	y, u, v := c.space.YUV(col.R, col.G, col.B)
	luma, blue, red := newBlender(y, col.Opacity), newBlender(u, col.Opacity), newBlender(v, col.Opacity)
	m, f := &c.mask, c.frame
	for row := m.top; row < m.end; row++ {
		if lo, hi := int(m.lo[row]), int(m.hi[row]); lo < hi {
			luma.row(f.Y[row*f.W+lo:row*f.W+hi], m.pix[row*m.w+lo:row*m.w+hi])
		}
	}
	cw := f.ChromaW()
	for row := m.top / 2; 2*row < m.end; row++ {
		// A row of chroma belongs to two rows of pixels, to one at an odd end.
		upper, lower := 2*row, 2*row+1
		if lower >= m.h {
			lower = upper
		}
		lo := int(min(m.lo[upper], m.lo[lower])) / 2
		hi := (int(max(m.hi[upper], m.hi[lower])) + 1) / 2
		if lo < hi {
			cover := c.halve(m.pix[upper*m.w:][:m.w], m.pix[lower*m.w:][:m.w], lo, hi)
			blue.row(f.U[row*cw+lo:row*cw+hi], cover)
			red.row(f.V[row*cw+lo:row*cw+hi], cover)
		}
	}
}

// halve returns the mean coverage of the pixels of each chroma sample from lo
// to hi, given the two rows of pixels.
func (c *Canvas) halve(a, b []uint8, lo, hi int) []uint8 {
	if cap(c.half) < hi-lo {
		c.half = make([]uint8, c.frame.ChromaW())
	}
	out := c.half[:hi-lo]
	for i := range out {
		x := 2 * (lo + i)
		last := min(x+1, len(a)-1) // an odd last column counts twice
		out[i] = uint8((int(a[x]) + int(b[x]) + int(a[last]) + int(b[last]) + 2) / 4)
	}
	return out
}
