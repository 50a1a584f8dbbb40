package mark

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"gocv.io/x/gocv"
)

// Candidate is one patch of a mark's hue in one frame.
type Candidate struct {
	X, Y float64 // centroid of the coverage, luma px
	// Mass is the sum of coverage, in luma px.
	Mass float64
	// Colour is the sum of the mark's light, luma px of full light: unlike Mass it
	// does not grow when a thin patch is spread over pixels that it only partly
	// covers. CXX, CXY, CYY are its second moments. Covered says that what lies
	// behind is taken out of both, and shading out of the centroid; LitX, LitY then
	// lead from the centroid to that of the light, and Third are the light's central
	// third moments xxx, xxy, xyy, yyy, px³.
	Colour        float64
	CXX, CXY, CYY float64
	Third         [4]float64
	LitX, LitY    float64
	Covered       bool
	// Sxx, Sxy, Syy are central second moments, px².
	Sxx, Sxy, Syy float64
	// Peak is the largest coverage of a pixel, Mean the mean of its pixels, 0..1.
	Peak, Mean float64
	// Still is the share of its mass on pixels that have the hue in nearly
	// every frame.
	Still float64
	// Edge is set when the patch touches the picture's border.
	Edge bool

	first pixel // of its pixels in reading order
}

// Axes returns the patch's half-lengths along and across its long direction
// (square roots of the moments' eigenvalues) and that direction.
func (c Candidate) Axes() (along, across, dirRad float64) {
	tr, d := (c.Sxx+c.Syy)/2, math.Hypot((c.Sxx-c.Syy)/2, c.Sxy)
	return math.Sqrt(math.Max(0, tr+d)), math.Sqrt(math.Max(0, tr-d)), 0.5 * math.Atan2(2*c.Sxy, c.Sxx-c.Syy)
}

const (
	stillShare  = 0.8  // of the frames: a pixel on that often belongs to the scene
	minMass     = 6.0  // luma px
	maxPatches  = 32   // a frame and mark
	stillDilate = 1    // chroma px around a still pixel that count as still too
	splitShare  = 0.08 // of a patch's mass on still pixels: from here it is offered without them too
)

// ErrEmpty says that no frame was scanned.
var ErrEmpty = errors.New("mark: no frame was scanned")

// Candidates returns the patches of one mark, per frame, heaviest first, in
// the picture as it was filmed. site is where the first chroma sample lies. shift
// is the camera's motion at each frame, luma px: where the background has moved to
// since the first frame. tell, which may be nil, is told how many frames are done.
func (s *Scan) Candidates(model int, site Site, shift [][2]float64, tell func(frames int)) ([][]Candidate, error) {
	if len(s.frames) == 0 || s.width < 4 || s.height < 4 {
		return nil, ErrEmpty
	}
	if len(shift) != len(s.frames) {
		return nil, fmt.Errorf("mark: %d shifts for %d frames", len(shift), len(s.frames))
	}
	s.shift = shift
	still := s.stillMask(model)
	out := make([][]Candidate, len(s.frames))
	for i := range s.frames {
		c, err := s.patches(i, model, still, site)
		if err != nil {
			return nil, fmt.Errorf("mark %q, frame %d: %w", s.Models[model].Name, i, err)
		}
		out[i] = c
		if tell != nil {
			tell(i + 1)
		}
	}
	return out, nil
}

// stillMask marks the pixels, in reference coordinates, that have the hue in
// nearly every frame.
func (s *Scan) stillMask(model int) []bool {
	count := make([]uint32, s.width*s.height)
	for i, f := range s.frames {
		dx, dy := s.offset(i)
		for _, r := range f[model].runs {
			y := int(r.y) - dy
			if y < 0 || y >= s.height {
				continue
			}
			for k := range r.weight {
				if x := int(r.x) + k - dx; x >= 0 && x < s.width {
					count[y*s.width+x]++
				}
			}
		}
	}
	need := uint32(math.Ceil(stillShare * float64(len(s.frames))))
	mask := make([]bool, len(count))
	for p, c := range count {
		if c < need {
			continue
		}
		for dy := -stillDilate; dy <= stillDilate; dy++ {
			for dx := -stillDilate; dx <= stillDilate; dx++ {
				x, y := p%s.width+dx, p/s.width+dy
				if x >= 0 && y >= 0 && x < s.width && y < s.height {
					mask[y*s.width+x] = true
				}
			}
		}
	}
	return mask
}

// offset is a frame's camera motion in whole chroma pixels.
func (s *Scan) offset(frame int) (dx, dy int) {
	return int(math.Round(s.shift[frame][0] / 2)), int(math.Round(s.shift[frame][1] / 2))
}

func (s *Scan) patches(frame, model int, still []bool, site Site) ([]Candidate, error) {
	runs := s.frames[frame][model].runs
	if len(runs) == 0 {
		return nil, nil
	}
	x0, x1, y0, y1 := s.width, 0, s.height, 0
	for _, r := range runs {
		x0, x1 = min(x0, int(r.x)), max(x1, int(r.x)+len(r.weight))
		y0, y1 = min(y0, int(r.y)), max(y1, int(r.y)+1)
	}
	w, h := x1-x0, y1-y0
	weight := make([]uint8, w*h)
	fixed := make([]bool, w*h)
	dx, dy := s.offset(frame)
	hasStill := false
	for _, r := range runs {
		row := (int(r.y) - y0) * w
		for k, v := range r.weight {
			p := row + int(r.x) - x0 + k
			weight[p] = v
			rx, ry := int(r.x)+k-dx, int(r.y)-dy
			if rx >= 0 && ry >= 0 && rx < s.width && ry < s.height && still[ry*s.width+rx] {
				fixed[p], hasStill = true, true
			}
		}
	}
	g := grid{weight: weight, fixed: fixed, w: w, h: h, x0: x0, y0: y0, full: [2]int{s.width, s.height}}
	out, err := g.label()
	if err != nil {
		return nil, err
	}
	whole := len(out)
	if hasStill && anySplit(out) {
		bare := g
		bare.weight = make([]uint8, len(weight))
		for p, v := range weight {
			if !fixed[p] {
				bare.weight[p] = v
			}
		}
		more, err := bare.label()
		if err != nil {
			return nil, err
		}
		for _, c := range more {
			// A patch without still pixels is the same once more.
			same := func(d Candidate) bool { return c.first == d.first && c.Mass == d.Mass }
			if !slices.ContainsFunc(out[:whole], same) {
				out = append(out, c)
			}
		}
	}
	for i := range out {
		c := &out[i]
		c.X = 2*c.X + site.X
		c.Y = 2*c.Y + site.Y
		c.Mass *= 4
		c.Colour *= 4
		c.CXX, c.CXY, c.CYY = 4*c.CXX, 4*c.CXY, 4*c.CYY
		c.Sxx, c.Sxy, c.Syy = 4*c.Sxx, 4*c.Sxy, 4*c.Syy
		if v, ok := s.frames[frame][model].covered[c.first]; ok && i < whole {
			c.X, c.Y, c.Covered = v.x, v.y, true
			c.Colour, c.CXX, c.CXY, c.CYY, c.Third = v.area, v.xx, v.xy, v.yy, v.third
			c.LitX, c.LitY = v.litX-v.x, v.litY-v.y
		}
	}
	out = keep(out)
	return out, nil
}

func anySplit(cs []Candidate) bool {
	for _, c := range cs {
		if c.Still > splitShare && c.Still < 1 {
			return true
		}
	}
	return false
}

// keep drops specks and sorts by mass, heaviest first.
func keep(cs []Candidate) []Candidate {
	out := cs[:0]
	for _, c := range cs {
		if c.Mass >= minMass {
			out = append(out, c)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		// Still patches last: they are only kept to explain what was refused.
		return out[i].Mass*(1-out[i].Still) > out[j].Mass*(1-out[j].Still)
	})
	if len(out) > maxPatches {
		out = out[:maxPatches]
	}
	return out
}

// grid is the part of a chroma plane that holds a mark's pixels.
type grid struct {
	weight []uint8
	fixed  []bool
	w, h   int
	x0, y0 int
	full   [2]int
}

// label joins touching pixels (8 neighbours) and measures each patch, in
// chroma pixels.
func (g grid) label() ([]Candidate, error) {
	src, err := gocv.NewMatFromBytes(g.h, g.w, gocv.MatTypeCV8U, g.weight)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	labels := gocv.NewMat()
	defer labels.Close()
	n := gocv.ConnectedComponentsWithParams(src, &labels, 8, gocv.MatTypeCV16U, gocv.CCL_DEFAULT)
	ids, err := labels.DataPtrUint16()
	if err != nil {
		return nil, err
	}
	type sums struct {
		n, m, x, y, xx, xy, yy, still, peak float64
		c, cx, cy, cxx, cxy, cyy            float64
	}
	acc := make([]sums, n)
	edge := make([]bool, n)
	first := make([]pixel, n)
	for p, id := range ids {
		if id == 0 {
			continue
		}
		a := &acc[id]
		lin := share(g.weight[p])
		v := math.Min(1, lin/fullShare)
		px, py := p%g.w, p/g.w
		x, y := float64(px), float64(py)
		a.c += lin
		a.cx += lin * x
		a.cy += lin * y
		a.cxx += lin * x * x
		a.cxy += lin * x * y
		a.cyy += lin * y * y
		a.n++
		a.m += v
		a.x += v * x
		a.y += v * y
		a.xx += v * x * x
		a.xy += v * x * y
		a.yy += v * y * y
		a.peak = math.Max(a.peak, v)
		if g.fixed[p] {
			a.still += v
		}
		ax, ay := px+g.x0, py+g.y0
		if a.n == 1 {
			first[id] = pixel{ax, ay}
		}
		if ax == 0 || ay == 0 || ax == g.full[0]-1 || ay == g.full[1]-1 {
			edge[id] = true
		}
	}
	var out []Candidate
	for id, a := range acc {
		if a.m <= 0 {
			continue
		}
		mx, my := a.x/a.m, a.y/a.m
		lx, ly := a.cx/a.c, a.cy/a.c
		out = append(out, Candidate{
			X: mx + float64(g.x0), Y: my + float64(g.y0), Mass: a.m,
			Sxx: a.xx/a.m - mx*mx, Sxy: a.xy/a.m - mx*my, Syy: a.yy/a.m - my*my,
			Colour: a.c, CXX: a.cxx/a.c - lx*lx, CXY: a.cxy/a.c - lx*ly, CYY: a.cyy/a.c - ly*ly,
			Peak: a.peak, Mean: a.m / a.n, Still: a.still / a.m, Edge: edge[id], first: first[id],
		})
	}
	return out, nil
}
