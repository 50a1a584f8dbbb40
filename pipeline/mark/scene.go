package mark

import (
	"math"
	"slices"

	"ashline/pipeline/steady"

	"ashline/pipeline/ycbcr"
)

// Scene is what a clip shows beside its marks: the still background in the first
// frame's place and light, and how common each colour is in all of the picture and
// among what moves.
type Scene struct {
	coding Coding
	w, h   int // chroma px
	// y, u, v are the background's codes; softY and softC how far a pixel of it may be
	// off, s.d. in codes: noise, and edges that a shake of half a pixel moves. Softness 0 says
	// that the background is not known there.
	y, u, v      []uint8
	softY, softC []uint8
	all, moving  *density
}

const (
	shotsUsed  = 25   // for the background
	knownLeast = 5    // shots that show a place, for its background to be known
	leastSoftY = 3.0  // codes
	leastSoftC = 2.5  // codes
	jitterPx   = 0.35 // chroma px: what is left of the camera's motion
	apartSD    = 4.0  // from here a pixel is not its background
)

// Scene is what the frames shown so far have in common; nil without any.
func (s *Survey) Scene() *Scene {
	if len(s.kept) == 0 {
		return nil
	}
	shots := s.kept
	if len(shots) > shotsUsed {
		shots = make([]shot, shotsUsed)
		for i := range shots {
			shots[i] = s.kept[i*(len(s.kept)-1)/(shotsUsed-1)]
		}
	}
	n := shots[0].w * shots[0].h
	sc := &Scene{coding: s.coding, w: shots[0].w, h: shots[0].h, all: new(density), moving: new(density)}
	sc.y, sc.u, sc.v = make([]uint8, n), make([]uint8, n), make([]uint8, n)
	sc.softY, sc.softC = make([]uint8, n), make([]uint8, n)
	// The light of each shot is matched to that of the one in the middle of the clip.
	middle := shots[len(shots)/2]
	first := &Scene{coding: s.coding, w: sc.w, h: sc.h, y: middle.y, u: middle.u, v: middle.v}
	lights := make([]light, len(shots))
	for i := range shots {
		lights[i] = first.light(&shots[i], middle.move)
	}
	sc.stands(shots, lights)
	sc.soften()
	sc.count(shots, lights)
	return sc
}

// Luma is the still background at half the picture's size, 0 where it is not known: the middle
// of its first pixel lies half a luma pixel right of and below that of the picture's.
func (sc *Scene) Luma() (luma []uint8, w, h int) {
	luma = slices.Clone(sc.y)
	for i, soft := range sc.softY {
		if soft == 0 {
			luma[i] = 0
		}
	}
	return luma, sc.w, sc.h
}

// stands fills the background and, for now, the softness by noise alone.
func (sc *Scene) stands(shots []shot, lights []light) {
	views := make([]view, len(shots))
	for i, s := range shots {
		views[i] = viewOf(s.move.Inverse())
	}
	var ys, us, vs [shotsUsed]uint8
	for row := range sc.h {
		for x := range sc.w {
			n := 0
			for i := range shots {
				p, ok := views[i].at(x, row, sc.w, sc.h)
				if !ok {
					continue
				}
				l := &lights[i]
				ys[n], us[n], vs[n] = l.y[shots[i].y[p]], l.u[shots[i].u[p]], l.v[shots[i].v[p]]
				n++
			}
			if n < min(knownLeast, len(shots)) {
				continue
			}
			p := row*sc.w + x
			var noiseY, noiseU, noiseV float64
			sc.y[p], noiseY = usual(ys[:n])
			sc.u[p], noiseU = usual(us[:n])
			sc.v[p], noiseV = usual(vs[:n])
			sc.softY[p] = uint8(min(60, leastSoftY+noiseY))
			sc.softC[p] = uint8(min(60, leastSoftC+math.Max(noiseU, noiseV)))
		}
	}
}

// usual is the middle of the shortest span that holds half of the codes, and the s.d. that
// it tells: what stands before the background for nearly half of the clip spoils neither.
func usual(codes []uint8) (code uint8, sd float64) {
	slices.Sort(codes)
	half := len(codes) / 2
	best := 0
	for i := range len(codes) - half {
		if codes[i+half]-codes[i] < codes[best+half]-codes[best] {
			best = i
		}
	}
	span := codes[best+half] - codes[best]
	return codes[best] + span/2, float64(span) / 1.349 // of a normal law, half lies in 1.349 s.d.
}

// soften adds to the softness what edges do under a small shake.
func (sc *Scene) soften() {
	y, u, v := slices.Clone(sc.softY), sc.u, sc.v
	c := slices.Clone(sc.softC)
	step := func(p []uint8, i, j int) float64 { return math.Abs(float64(p[i]) - float64(p[j])) }
	for row := 1; row+1 < sc.h; row++ {
		for x := 1; x+1 < sc.w; x++ {
			p := row*sc.w + x
			if sc.softY[p] == 0 {
				continue
			}
			l, r, a, b := p-1, p+1, p-sc.w, p+sc.w
			ey := math.Hypot(step(sc.y, l, r), step(sc.y, a, b)) / 2
			ec := math.Hypot(math.Max(step(u, l, r), step(v, l, r)), math.Max(step(u, a, b), step(v, a, b))) / 2
			y[p] = uint8(min(120, float64(sc.softY[p])+jitterPx*ey))
			c[p] = uint8(min(120, float64(sc.softC[p])+jitterPx*ec))
		}
	}
	sc.softY, sc.softC = y, c
}

// count fills the densities.
func (sc *Scene) count(shots []shot, lights []light) {
	for i := range shots {
		s, l := &shots[i], &lights[i]
		to := viewOf(s.move)
		for row := range s.h {
			for x := range s.w {
				p := row*s.w + x
				y, u, v := l.y[s.y[p]], l.u[s.u[p]], l.v[s.v[p]]
				c := cell(y, u, v)
				sc.all[c]++
				if q, ok := to.at(x, row, sc.w, sc.h); ok && sc.softY[q] > 0 && sc.off(q, y, u, v) > apartSD*apartSD {
					sc.moving[c]++
				}
			}
		}
	}
	sc.all.settle()
	sc.moving.settle()
}

// off is χ² of a pixel against its background.
func (sc *Scene) off(p int, y, u, v uint8) float64 {
	sy, sc2 := float64(sc.softY[p]), float64(sc.softC[p])
	dy, du, dv := float64(y)-float64(sc.y[p]), float64(u)-float64(sc.u[p]), float64(v)-float64(sc.v[p])
	return dy*dy/(sy*sy) + (du*du+dv*dv)/(sc2*sc2)
}

// logStill is the log of how likely the background has this colour there, in the unit
// of a density.
func (sc *Scene) logStill(p int, y, u, v uint8) float64 {
	sy, sc2 := float64(sc.softY[p]), float64(sc.softC[p])
	return -sc.off(p, y, u, v)/2 - math.Log(sy*sc2*sc2) - 1.5*math.Log(2*math.Pi) + cellLog
}

// view takes chroma px to those of another picture.
type view struct{ steady.Transform }

// viewOf turns a transform of luma px into one of chroma px.
func viewOf(t steady.Transform) view {
	t.TX, t.TY = t.TX/2, t.TY/2
	return view{t}
}

// at is the index of the nearest pixel, if it lies in the picture.
func (v view) at(x, y, w, h int) (int, bool) {
	fx, fy := v.Apply(float64(x), float64(y))
	i, j := int(math.Round(fx)), int(math.Round(fy))
	return j*w + i, i >= 0 && j >= 0 && i < w && j < h
}

// light maps a picture's codes to those that it would have in the background's light.
type light struct{ y, u, v [256]uint8 }

// How a picture's light is matched: on a grid, by medians, so that who moves has
// no say.
const (
	lightGrid  = 8  // chroma px
	lightLeast = 30 // codes above black: darker pixels tell little of gain
	lightMost  = 225
	greyMost   = 24 // codes from neutral: white balance is read from what has little colour
	lightCount = 24 // places, for an answer
)

// light matches a shot's light to the background, which lies in the place of a frame
// with the transform at.
func (sc *Scene) light(s *shot, at steady.Transform) light {
	black, _, _ := ycbcr.Scales(sc.coding.FullRange)
	back := at.Inverse()
	var gain, du, dv []float64
	for row := lightGrid / 2; row < s.h; row += lightGrid {
		for x := lightGrid / 2; x < s.w; x += lightGrid {
			fx, fy := s.move.Apply(2*float64(x), 2*float64(row))
			fx, fy = back.Apply(fx, fy)
			i, j := int(math.Round(fx/2)), int(math.Round(fy/2))
			if i < 0 || j < 0 || i >= sc.w || j >= sc.h {
				continue
			}
			p, q := row*s.w+x, j*sc.w+i
			if len(sc.softY) > 0 && sc.softY[q] == 0 {
				continue
			}
			a, b := float64(s.y[p])-black, float64(sc.y[q])-black
			if a < lightLeast || b < lightLeast || s.y[p] > lightMost || sc.y[q] > lightMost {
				continue
			}
			gain = append(gain, b/a)
			if u, v := float64(sc.u[q])-neutral, float64(sc.v[q])-neutral; math.Hypot(u, v) < greyMost {
				du = append(du, u-(float64(s.u[p])-neutral)*b/a)
				dv = append(dv, v-(float64(s.v[p])-neutral)*b/a)
			}
		}
	}
	g, cu, cv := 1.0, 0.0, 0.0
	if len(gain) >= lightCount {
		g = middleOf(gain)
	}
	if len(du) >= lightCount {
		cu, cv = middleOf(du), middleOf(dv)
	}
	var l light
	for c := range 256 {
		l.y[c] = code(black + g*(float64(c)-black))
		l.u[c] = code(neutral + g*(float64(c)-neutral) + cu)
		l.v[c] = code(neutral + g*(float64(c)-neutral) + cv)
	}
	return l
}

func middleOf(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}
