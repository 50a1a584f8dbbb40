package mark

import (
	"math"
	"slices"
	"sort"

	"ashline/pipeline/steady"
)

// Finder weighs each pixel of a frame for each mark and joins what speaks for it to
// candidates. The weight is the log-likelihood ratio of the band against what else the
// pixel may be: its still background, or one of the other things that move.
type Finder struct {
	models []Model
	scene  *Scene
	// moves and stands are the log ratio of the band against what moves and against all
	// of the picture, by cell; others is the log density of what moves.
	moves, stands [][]float32
	others        []float32
	gate          []uint32 // bit i: model i may be here
	matte         *matte
	recent        [][]known // by model, of the frame before
	shot          shot      // the frame at hand
	most          []float64 // share of the picture that has the mark's colour, by model
	seen          []int     // frames with some of it
}

const (
	// frontShare is the share of the pixels that show what moves before the
	// background; 3 to 5 % in rendered clips of a hitter that fills half of the picture.
	frontShare = 0.05
	// leastLog is the log ratio from which a pixel is of the band: it is more likely than
	// anything else there.
	leastLog = 0.0
	// A band is itself among what moves: in cells with coreShare of its saturation what moves
	// is never taken for more than 1/coreOdds as likely. So neither a band that moves alone nor
	// a jacket of its colour is a reason to see no band.
	coreShare = 0.5
	coreOdds  = 8
	// mostAreas is how many times its silhouette a streak of a mark may cover.
	mostAreas = 4.0

	maxMoving  = 12 // candidates a frame and mark that stand out from the background
	maxStill   = 4  // and of those that do not
	maxCovered = 6  // of them measured by coverage
	maxAge     = 6  // frames that a coverage is kept for
	minMass    = 6.0
)

// NewFinder starts a finder. site is where the first chroma sample lies.
func NewFinder(models []Model, scene *Scene, site Site) *Finder {
	f := &Finder{
		models: models, scene: scene, matte: newMatte(scene.coding, site),
		recent: make([][]known, len(models)), most: make([]float64, len(models)), seen: make([]int, len(models)),
		gate: make([]uint32, len(density{})), others: make([]float32, len(density{})),
	}
	bands := make([]*density, len(models))
	for i, m := range models {
		bands[i] = bandDensity(m.full, scene.coding, scene.all)
	}
	for c := range f.others {
		f.others[c] = float32(math.Log(float64(scene.moving[c])))
	}
	for i, band := range bands {
		moves, stands := make([]float32, len(band)), make([]float32, len(band))
		for c, p := range band {
			// The other marks are among what moves, each as common as this one.
			rest := float32(0)
			for k, other := range bands {
				if k != i {
					rest += frontShare * other[c]
				}
			}
			others := scene.moving[c]
			if _, u, v := centre(c); models[i].share(code(u), code(v)) >= coreShare {
				others = min(others, p/coreOdds)
			}
			moves[c] = float32(math.Log(float64(p / (others + rest))))
			stands[c] = float32(math.Log(float64(p / (scene.all[c] + rest))))
			if max(moves[c], stands[c]) > leastLog {
				f.gate[c] |= 1 << i
			}
		}
		f.moves, f.stands = append(f.moves, moves), append(f.stands, stands)
	}
	return f
}

// known is a patch whose coverage is known, and for how many frames.
type known struct {
	patch
	coverage
	age int
}

// Add looks for each model's mark in one frame; move takes its points, luma px, to
// those of the first frame. The candidates of a mark come strongest first, those that
// do not stand out from the background last.
func (f *Finder) Add(y, u, v Plane, move steady.Transform) [][]Candidate {
	if f.scene.w != u.Width || f.scene.h != u.Height {
		return make([][]Candidate, len(f.models))
	}
	f.read(y, u, v, move)
	fronts, stills := f.weigh(viewOf(move))
	out := make([][]Candidate, len(f.models))
	for i := range f.models {
		f.most[i] = math.Max(f.most[i], float64(stills[i].on+fronts[i].on)/float64(u.Width*u.Height))
		if stills[i].on+fronts[i].on > 0 {
			f.seen[i]++
		}
		out[i] = f.candidates(planes{y, u, v}, i, &fronts[i], &stills[i])
	}
	return out
}

// read brings the frame to the size of its chroma and into the background's light.
func (f *Finder) read(y, u, v Plane, move steady.Transform) {
	s := &f.shot
	n := u.Width * u.Height
	if len(s.y) != n {
		s.w, s.h, s.y, s.u, s.v = u.Width, u.Height, make([]uint8, n), make([]uint8, n), make([]uint8, n)
	}
	for row := range u.Height {
		at := row * u.Width
		shrink(s.y[at:at+u.Width], y, row)
		copy(s.u[at:at+u.Width], u.Pix[row*u.Stride:])
		copy(s.v[at:at+u.Width], v.Pix[row*v.Stride:])
	}
	s.move = move
	l := f.scene.light(s, steady.Still)
	for i := range s.y {
		s.y[i], s.u[i], s.v[i] = l.y[s.y[i]], l.u[s.u[i]], l.v[s.v[i]]
	}
}

// logOdds of a pixel to show its background rather than what is in front of it.
var logOdds = math.Log((1 - frontShare) / frontShare)

// weigh lists, by model, the pixels that speak for the mark as seen before the
// background, and those of its colour that the background explains.
func (f *Finder) weigh(to view) (fronts, stills []layer) {
	fronts, stills = make([]layer, len(f.models)), make([]layer, len(f.models))
	s, sc := &f.shot, f.scene
	for row := range s.h {
		for x := range s.w {
			p := row*s.w + x
			c := cell(s.y[p], s.u[p], s.v[p])
			bits := f.gate[c]
			if bits == 0 {
				continue
			}
			q, ok := to.at(x, row, s.w, s.h)
			ok = ok && sc.softY[q] > 0
			behind := 0.0
			if ok {
				behind = softplus(logOdds + sc.logStill(q, s.y[p], s.u[p], s.v[p]) - float64(f.others[c]))
			}
			for i := range f.models {
				if bits&(1<<i) == 0 {
					continue
				}
				e := float64(f.stands[i][c])
				if ok {
					e = float64(f.moves[i][c]) - behind
				}
				if e > leastLog {
					fronts[i].put(x, row, e)
				} else if f.stands[i][c] > leastLog {
					stills[i].put(x, row, float64(f.stands[i][c]))
				}
			}
		}
	}
	return fronts, stills
}

func softplus(x float64) float64 {
	if x > 30 {
		return x
	}
	return math.Log1p(math.Exp(x))
}

// candidates measures the strongest patches of one mark.
func (f *Finder) candidates(p planes, model int, fronts, stills *layer) []Candidate {
	before := f.recent[model]
	f.recent[model] = nil
	var out []Candidate
	for _, k := range strongest(fronts, maxMoving, f.models[model].AreaPx) {
		out = append(out, f.measure(p, model, fronts, k, before, 0))
	}
	for _, k := range strongest(stills, maxStill, f.models[model].AreaPx) {
		out = append(out, f.measure(p, model, stills, k, before, 1))
	}
	return slices.DeleteFunc(out, func(c Candidate) bool { return c.Mass < minMass })
}

// strongest lists a layer's patches with the most evidence; what is far larger than the mark
// can look, luma px², counts less and less.
func strongest(l *layer, most int, areaPx float64) []patch {
	ps := l.patches()
	rank := func(p patch) float64 {
		if areaPx == 0 {
			return p.evidence
		}
		n := 0
		for _, i := range p.runs {
			n += len(l.runs[i].weight)
		}
		over := 4 * float64(n) / (mostAreas * areaPx)
		return p.evidence / (1 + over*over)
	}
	sort.SliceStable(ps, func(i, j int) bool { return rank(ps[i]) > rank(ps[j]) })
	return ps[:min(len(ps), most)]
}

// measure makes a candidate of a patch. What hardly moves or changes is not measured
// by coverage again in every frame.
func (f *Finder) measure(p planes, model int, l *layer, k patch, before []known, still float64) Candidate {
	m := f.models[model]
	c := f.weighed(l, k, m)
	c.Still = still
	if !m.Fine || len(f.recent[model]) == maxCovered {
		return c
	}
	now := known{patch: k}
	i := slices.IndexFunc(before, func(q known) bool { return q.age < maxAge && k.like(q.patch) })
	if i >= 0 {
		now.coverage, now.age = before[i].coverage, before[i].age+1
		dx, dy := 2*(k.x-before[i].patch.x), 2*(k.y-before[i].patch.y)
		now.coverage.x, now.coverage.y = now.coverage.x+dx, now.coverage.y+dy
		now.litX, now.litY = now.litX+dx, now.litY+dy
	} else {
		var ok bool
		if now.coverage, ok = f.matte.solve(p, l, k, m, f.own(model)); !ok {
			return c
		}
	}
	f.recent[model] = append(f.recent[model], now)
	c.X, c.Y, c.Covered = now.coverage.x, now.coverage.y, true
	c.Colour, c.CXX, c.CXY, c.CYY, c.Third = now.area, now.xx, now.xy, now.yy, now.third
	c.LitX, c.LitY = now.litX-now.coverage.x, now.litY-now.coverage.y
	return c
}

// own tells whether a chroma pixel of the frame at hand has a mark's colour, and more of it
// than a rim has.
func (f *Finder) own(model int) func(x, y int) bool {
	s, stands, m := &f.shot, f.stands[model], f.models[model]
	return func(x, y int) bool {
		p := y*s.w + x
		return stands[cell(s.y[p], s.u[p], s.v[p])] > leastLog && m.share(s.u[p], s.v[p]) >= coreShare
	}
}

// Share is the largest share of the picture that a mark's colour fills in any frame.
func (f *Finder) Share(model int) float64 { return f.most[model] }

// SeenFrames counts the frames with at least one pixel of the mark's colour.
func (f *Finder) SeenFrames(model int) int { return f.seen[model] }

// Model is one of the models looked for.
func (f *Finder) Model(i int) Model { return f.models[i] }
