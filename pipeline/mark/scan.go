package mark

// Plane is one chroma plane, 8 bits, rows Stride bytes apart.
type Plane struct {
	Pix           []uint8
	Width, Height int
	Stride        int
}

// run is a row's stretch of pixels of one hue.
type run struct {
	y, x   uint16
	weight []uint8
}

// layer is what one frame shows of one mark.
type layer struct {
	runs []run
	on   int
}

// Scan collects the pixels of each mark's hue, frame by frame.
type Scan struct {
	Models []Model
	tables []*table
	any    [1 << 16]uint8 // bit i: model i may be here
	frames [][]layer      // [frame][model]
	shift  [][2]float64
	width  int
	height int
	store  []uint8
}

// NewScan starts a scan of at most eight marks.
func NewScan(models []Model) *Scan {
	s := &Scan{Models: models}
	for i, m := range models {
		t := m.table()
		s.tables = append(s.tables, t)
		for k, w := range t {
			if w > 0 {
				s.any[k] |= 1 << i
			}
		}
	}
	return s
}

// Add reads one frame's chroma.
func (s *Scan) Add(u, v Plane) {
	s.width, s.height = u.Width, u.Height
	layers := make([]layer, len(s.Models))
	for y := range u.Height {
		ru := u.Pix[y*u.Stride : y*u.Stride+u.Width]
		rv := v.Pix[y*v.Stride : y*v.Stride+u.Width]
		for x := 0; x < len(ru); x++ {
			bits := s.any[uint(ru[x])<<8|uint(rv[x])]
			if bits == 0 {
				continue
			}
			for i := range s.Models {
				if bits&(1<<i) == 0 {
					continue
				}
				w := s.tables[i][uint(ru[x])<<8|uint(rv[x])]
				s.put(&layers[i], x, y, w)
			}
		}
	}
	s.frames = append(s.frames, layers)
}

// put appends a pixel to the layer, to its last run when it touches it. Run
// weights lie in one store; a run grows only while it is the store's last.
func (s *Scan) put(l *layer, x, y int, w uint8) {
	l.on++
	if n := len(l.runs); n > 0 {
		r := &l.runs[n-1]
		if int(r.y) == y && int(r.x)+len(r.weight) == x && len(r.weight) < cap(r.weight) {
			r.weight = append(r.weight, w)
			return
		}
		if int(r.y) == y && int(r.x)+len(r.weight) == x {
			grown := s.take(2 * len(r.weight))
			r.weight = append(append(grown, r.weight...), w)
			return
		}
	}
	l.runs = append(l.runs, run{y: uint16(y), x: uint16(x), weight: append(s.take(4), w)})
}

// take cuts an empty slice of the given capacity from the store.
func (s *Scan) take(n int) []uint8 {
	if len(s.store) < n {
		s.store = make([]uint8, max(1<<18, n))
	}
	out := s.store[:0:n]
	s.store = s.store[n:]
	return out
}

// Share is the largest share of the picture that a mark's hue fills in any
// frame.
func (s *Scan) Share(model int) float64 {
	most := 0
	for _, f := range s.frames {
		most = max(most, f[model].on)
	}
	if s.width == 0 {
		return 0
	}
	return float64(most) / float64(s.width*s.height)
}

// SeenFrames counts the frames with at least one pixel of the mark's hue.
func (s *Scan) SeenFrames(model int) int {
	n := 0
	for _, f := range s.frames {
		if f[model].on > 0 {
			n++
		}
	}
	return n
}
