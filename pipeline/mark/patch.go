package mark

// layer is what one frame shows of one mark: runs of pixels in reading order.
type layer struct {
	runs []run
	on   int // pixels
}

// run is a row's stretch of pixels that touch.
type run struct {
	y, x   int // chroma px
	weight []float32
}

// put appends a pixel, to the last run when it touches it.
func (l *layer) put(x, y int, w float64) {
	l.on++
	if n := len(l.runs); n > 0 {
		if r := &l.runs[n-1]; r.y == y && r.x+len(r.weight) == x {
			r.weight = append(r.weight, float32(w))
			return
		}
	}
	l.runs = append(l.runs, run{y: y, x: x, weight: append(make([]float32, 0, 8), float32(w))})
}

// patch is a connected set of runs of one mark in one frame.
type patch struct {
	runs           []int   // indices into the layer's runs
	x0, y0, x1, y1 int     // chroma px, half open
	evidence, x, y float64 // sum of its pixels' weights and their centroid, chroma px
}

// steadyPx is how far each side of a patch may move, chroma pixels, for it to be
// the same patch in the same light and turn.
const steadyPx = 1

func (p patch) like(q patch) bool {
	return max(abs(p.x0-q.x0), abs(p.x1-q.x1), abs(p.y0-q.y0), abs(p.y1-q.y1)) <= steadyPx
}

func abs(v int) int { return max(v, -v) }

// patches joins runs that touch (8 neighbours).
func (l *layer) patches() []patch {
	parent := make([]int, len(l.runs))
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	above := 0 // the first run that may touch from the row above
	for i, r := range l.runs {
		parent[i] = i
		for above < i && l.runs[above].y+1 < r.y {
			above++
		}
		for k := above; k < i && l.runs[k].y < r.y; k++ {
			a := l.runs[k]
			if a.x <= r.x+len(r.weight) && r.x <= a.x+len(a.weight) {
				p, q := root(k), root(i)
				parent[max(p, q)] = min(p, q)
			}
		}
	}
	var out []patch
	at := map[int]int{}
	for i, r := range l.runs {
		k, ok := at[root(i)]
		if !ok {
			k = len(out)
			at[root(i)] = k
			out = append(out, patch{x0: r.x, y0: r.y})
		}
		p := &out[k]
		p.runs = append(p.runs, i)
		p.x0, p.x1 = min(p.x0, r.x), max(p.x1, r.x+len(r.weight))
		p.y1 = max(p.y1, r.y+1)
		for j, v := range r.weight {
			w := float64(v)
			p.evidence += w
			p.x += w * float64(r.x+j)
			p.y += w * float64(r.y)
		}
	}
	for i := range out {
		out[i].x /= out[i].evidence
		out[i].y /= out[i].evidence
	}
	return out
}
