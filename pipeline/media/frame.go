package media

// Frame is one upright picture in 8-bit planar YUV 4:2:0. Rows follow each
// other without gaps: Y holds W·H samples, U and V (W+1)/2 · (H+1)/2 each.
type Frame struct {
	Index   int     // decoded frames of the whole file, counted from 0
	TimeS   float64 // presentation time, s
	W, H    int     // px
	Y, U, V []byte
}

// NewFrame returns a frame of the given size with all samples zero.
func NewFrame(w, h int) *Frame {
	f := &Frame{}
	f.Resize(w, h)
	return f
}

// Resize gives f the size w × h and keeps its buffers when they are large
// enough. The samples are undefined afterwards.
func (f *Frame) Resize(w, h int) {
	if f.W == w && f.H == h && len(f.Y) == w*h {
		return
	}
	f.W, f.H = w, h
	ny, nc := w*h, f.ChromaW()*f.ChromaH()
	f.Y, f.U, f.V = grown(f.Y, ny), grown(f.U, nc), grown(f.V, nc)
}

func grown(b []byte, n int) []byte {
	if cap(b) < n {
		return make([]byte, n)
	}
	return b[:n]
}

// ChromaW is the width of the U and V planes, samples.
func (f *Frame) ChromaW() int { return (f.W + 1) / 2 }

// ChromaH is the height of the U and V planes, samples.
func (f *Frame) ChromaH() int { return (f.H + 1) / 2 }

// CopyFrom makes f an independent copy of g.
func (f *Frame) CopyFrom(g *Frame) {
	f.Resize(g.W, g.H)
	f.Index, f.TimeS = g.Index, g.TimeS
	copy(f.Y, g.Y)
	copy(f.U, g.U)
	copy(f.V, g.V)
}

// Put copies g into f with its top left corner at (x, y), even numbers; what does not
// fit is left out.
func (f *Frame) Put(g *Frame, x, y int) {
	put(f.Y, f.W, f.H, g.Y, g.W, g.H, x, y)
	put(f.U, f.ChromaW(), f.ChromaH(), g.U, g.ChromaW(), g.ChromaH(), x/2, y/2)
	put(f.V, f.ChromaW(), f.ChromaH(), g.V, g.ChromaW(), g.ChromaH(), x/2, y/2)
}

func put(to []byte, w, h int, from []byte, fromW, fromH, x, y int) {
	n := min(fromW, w-x)
	for r := 0; r < fromH && y+r < h && n > 0; r++ {
		copy(to[(y+r)*w+x:][:n], from[r*fromW:][:n])
	}
}

// Fill sets every pixel to one colour.
func (f *Frame) Fill(y, u, v uint8) {
	fill(f.Y, y)
	fill(f.U, u)
	fill(f.V, v)
}

func fill(b []byte, v uint8) {
	if len(b) == 0 {
		return
	}
	b[0] = v
	for n := 1; n < len(b); n *= 2 {
		copy(b[n:], b[:n])
	}
}

// whole reports whether the planes have the lengths that the size asks for.
func (f *Frame) whole() bool {
	nc := f.ChromaW() * f.ChromaH()
	return f.W > 0 && f.H > 0 && len(f.Y) == f.W*f.H && len(f.U) == nc && len(f.V) == nc
}
