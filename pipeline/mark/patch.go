package mark

// patch is a connected set of runs of one mark in one frame.
type patch struct {
	runs           []int   // indices into the layer's runs
	x0, y0, x1, y1 int     // chroma pixels, half open
	colour, x, y   float64 // sum of its pixels' colour and their centroid, chroma pixels
}

// steadyPx is how far each side of a patch may move, chroma pixels, for it to be
// the same patch in the same light and turn.
const steadyPx = 1

func (p patch) like(q patch) bool {
	return max(abs(p.x0-q.x0), abs(p.x1-q.x1), abs(p.y0-q.y0), abs(p.y1-q.y1)) <= steadyPx
}

func abs(v int) int { return max(v, -v) }

// patches joins runs that touch (8 neighbours). A patch's first run holds its
// first pixel in reading order.
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
		for above < i && int(l.runs[above].y)+1 < int(r.y) {
			above++
		}
		for k := above; k < i && l.runs[k].y < r.y; k++ {
			a := l.runs[k]
			if int(a.x) <= int(r.x)+len(r.weight) && int(r.x) <= int(a.x)+len(a.weight) {
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
			out = append(out, patch{x0: int(r.x), y0: int(r.y)})
		}
		p := &out[k]
		p.runs = append(p.runs, i)
		p.x0, p.x1 = min(p.x0, int(r.x)), max(p.x1, int(r.x)+len(r.weight))
		p.y1 = max(p.y1, int(r.y)+1)
		for j, v := range r.weight {
			w := share(v)
			p.colour += w
			p.x += w * float64(int(r.x)+j)
			p.y += w * float64(r.y)
		}
	}
	for i := range out {
		out[i].x /= out[i].colour
		out[i].y /= out[i].colour
	}
	return out
}
