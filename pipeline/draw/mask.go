package draw

// mask is the coverage of one shape over the whole frame, 0 to 255 a pixel.
// Each row knows the span that was touched, so that neither blending nor
// clearing looks at the rest.
type mask struct {
	w, h     int
	pix      []uint8
	lo, hi   []int32 // touched span of each row, hi excluded; empty when lo ≥ hi
	top, end int     // touched rows, end excluded
}

// resize makes m an empty mask of w × h.
func (m *mask) resize(w, h int) {
	if m.w == w && m.h == h {
		return
	}
	*m = mask{w: w, h: h, pix: make([]uint8, w*h), lo: make([]int32, h), hi: make([]int32, h), top: h}
	for y := range m.lo {
		m.lo[y] = int32(w)
	}
}

// clear empties the mask.
func (m *mask) clear() {
	for y := m.top; y < m.end; y++ {
		if lo, hi := m.lo[y], m.hi[y]; lo < hi {
			clear(m.pix[y*m.w+int(lo) : y*m.w+int(hi)])
		}
		m.lo[y], m.hi[y] = int32(m.w), 0
	}
	m.top, m.end = m.h, 0
}

// touch widens the span of row y to hold lo to hi, hi excluded; the caller has
// clipped all three.
func (m *mask) touch(y, lo, hi int) {
	m.lo[y] = min(m.lo[y], int32(lo))
	m.hi[y] = max(m.hi[y], int32(hi))
	m.top = min(m.top, y)
	m.end = max(m.end, y+1)
}

// stamp adds a small picture of coverage with its top-left pixel at (x, y).
// Where shapes meet, the larger coverage counts.
func (m *mask) stamp(pix []uint8, w, h, x, y int) {
	x0, x1 := max(x, 0), min(x+w, m.w)
	if x0 >= x1 {
		return
	}
	for row := max(y, 0); row < min(y+h, m.h); row++ {
		m.touch(row, x0, x1)
		src := pix[(row-y)*w+x0-x:][:x1-x0]
		dst := m.pix[row*m.w+x0:][:x1-x0]
		for i, v := range src {
			dst[i] = max(dst[i], v)
		}
	}
}

// take removes from m what taken holds already and adds the rest to taken, so
// that shapes which overlap are blended once.
func (m *mask) take(taken *mask) {
	for y := m.top; y < m.end; y++ {
		lo, hi := int(m.lo[y]), int(m.hi[y])
		if lo >= hi {
			continue
		}
		taken.touch(y, lo, hi)
		mine, theirs := m.pix[y*m.w+lo:y*m.w+hi], taken.pix[y*m.w+lo:y*m.w+hi]
		for i, v := range mine {
			v = min(v, 255-theirs[i])
			mine[i] = v
			theirs[i] += v
		}
	}
}
