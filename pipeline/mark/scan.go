package mark

import (
	"slices"
	"sort"
)

// Plane is one plane of a frame, 8 bits, rows Stride bytes apart.
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
	// covered holds the coverage of its heaviest patches, by first pixel.
	covered map[pixel]coverage
}

// pixel is a place in a chroma plane.
type pixel struct{ x, y int }

// Scan collects the pixels of each mark's hue, frame by frame.
type Scan struct {
	Models []Model
	tables []*table
	any    [1 << 16]uint32 // bit i: model i may be here
	frames [][]layer       // [frame][model]
	shift  [][2]float64
	width  int
	height int
	store  []uint8
	matte  *matte
	recent [][]known // by model, of the frame before
}

const (
	maxCovered = 8 // patches a frame and mark that are measured by coverage
	maxAge     = 6 // frames that a coverage is kept for
)

// NewScan starts a scan of at most 32 marks. site is where the first chroma sample
// lies.
func NewScan(models []Model, coding Coding, site Site) *Scan {
	s := &Scan{Models: models, matte: newMatte(coding, site), recent: make([][]known, len(models))}
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

// Add reads one frame. Of its pixels only those of the marks' hues are kept.
func (s *Scan) Add(y, u, v Plane) {
	s.width, s.height = u.Width, u.Height
	layers := make([]layer, len(s.Models))
	for row := range u.Height {
		ru := u.Pix[row*u.Stride : row*u.Stride+u.Width]
		rv := v.Pix[row*v.Stride : row*v.Stride+u.Width]
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
				s.put(&layers[i], x, row, w)
			}
		}
	}
	for i := range layers {
		s.cover(planes{y, u, v}, &layers[i], i)
	}
	s.frames = append(s.frames, layers)
}

// known is a patch whose coverage is known, and for how many frames.
type known struct {
	patch
	coverage
	age int
}

// cover measures the coverage of a layer's heaviest patches while the frame is
// at hand. What hardly moves or changes is not measured again in every frame:
// its coverage goes with its colour's centroid.
func (s *Scan) cover(f planes, l *layer, model int) {
	before := s.recent[model]
	s.recent[model] = nil
	if !s.Models[model].Fine {
		return
	}
	ps := l.patches()
	sort.SliceStable(ps, func(i, j int) bool { return ps[i].colour > ps[j].colour })
	l.covered = map[pixel]coverage{}
	for _, p := range ps {
		if len(l.covered) == maxCovered || 4*p.colour < minMass/2 {
			break
		}
		k := known{patch: p}
		i := slices.IndexFunc(before, func(q known) bool { return q.age < maxAge && p.like(q.patch) })
		if i >= 0 {
			k.coverage, k.age = before[i].coverage, before[i].age+1
			dx, dy := 2*(p.x-before[i].patch.x), 2*(p.y-before[i].patch.y)
			k.coverage.x, k.coverage.y = k.coverage.x+dx, k.coverage.y+dy
			k.litX, k.litY = k.litX+dx, k.litY+dy
		} else {
			var ok bool
			if k.coverage, ok = s.matte.solve(f, l, p, s.Models[model], s.tables[model]); !ok {
				continue
			}
		}
		s.recent[model] = append(s.recent[model], k)
		first := l.runs[p.runs[0]]
		l.covered[pixel{int(first.x), int(first.y)}] = k.coverage
	}
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
