package metrics

import (
	"math"
	"sort"

	"ashline/metrics/fit"
)

// The band is a ring of radius r and width w on a cylinder. Where the bat makes
// the angle φ with the line of sight, the near half of the ring shows the area
// 2·r·w·sin φ. Across the bat its variance is r²/3; along the bat (unit vector e
// in the picture, hands to barrel) it is w²/12·sin²φ + r²·cos²φ·(2/3 − π²/16),
// always the smaller. So the patch's short direction is the bat's and its area
// gives the tilt: where no mark on the hands is seen, the band alone says where
// the hands must be. Blur adds (speed·exposure)²/12 along the travel and the
// sampling of chroma, 2 × 2 px, adds a third of a pixel each way.
const (
	chromaVar = 2.0 / 3
	gripM     = 0.15 // from the knob's end to the middle of the hands; common practice
)

// exposure estimates the exposure time from the ball's streaks, which are its
// speed times the exposure; 0 when there are too few.
func exposure(flights []BallFlight) float64 {
	var v []float64
	for _, f := range flights {
		for _, half := range [][]Sample{f.In, f.Out} {
			for i := 1; i < len(half); i++ {
				a, b := half[i-1], half[i]
				speed := math.Hypot(b.XPx-a.XPx, b.YPx-a.YPx) / (b.TimeS - a.TimeS)
				if speed > 0 {
					v = append(v, b.StreakPx/speed)
				}
			}
		}
	}
	if len(v) < 5 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)/2]
}

// pointing is the bat's direction as one sample's patch shows it.
type pointing struct {
	ex, ey float64 // unit, sign not yet known
	sin    float64 // of φ
	ok     bool
}

// pointings reads the bat's direction off each patch.
func pointings(s []Sample, path *fit.Smoothed, exposureS float64) []pointing {
	var masses []float64
	for _, x := range s {
		if x.Shape.Mass > 0 {
			masses = append(masses, x.Shape.Mass)
		}
	}
	out := make([]pointing, len(s))
	if len(masses) < 8 {
		return out
	}
	sort.Float64s(masses)
	whole := masses[len(masses)*9/10] // seen from the side
	for i, x := range s {
		if x.Shape.Mass <= 0 {
			continue
		}
		v := path.State(x.TimeS, fit.Before).Vel
		k := exposureS * exposureS / 12
		xx := x.Shape.SXX - chromaVar - k*v[0]*v[0]
		xy := x.Shape.SXY - k*v[0]*v[1]
		yy := x.Shape.SYY - chromaVar - k*v[1]*v[1]
		half := math.Hypot((xx-yy)/2, xy)
		long, short := (xx+yy)/2+half, math.Max(0, (xx+yy)/2-half)
		// A patch as long as it is broad has no direction.
		if !(long > 0) || short > 0.75*long {
			continue
		}
		dir := 0.5*math.Atan2(2*xy, xx-yy) + math.Pi/2
		out[i] = pointing{math.Cos(dir), math.Sin(dir), math.Min(1, x.Shape.Mass/whole), true}
	}
	return out
}

// handsFromShape places the hands where the band's shape says they are: one
// sample for each sample of the barrel that has a direction.
// perM is px per metre at the barrel.
func (in *swingInput) handsFromShape(perM, exposureS float64) []Sample {
	use := in.barrel
	ps := pointings(use, in.barrelPx, exposureS)
	for i := range ps {
		ps[i].sin = in.nearness(ps[i].sin)
	}
	reach := in.reach() * perM
	return place(use, ps, reach)
}

// nearness takes out of a tilt that was read off an area what the area gained
// because the barrel came nearer the camera: sin φ·(1 + reach·cos φ/distance)².
func (in *swingInput) nearness(seen float64) float64 {
	if !in.view.Lens {
		return seen
	}
	lo, hi := 0.0, 1.0
	k := in.reach() / in.view.DistanceM
	if !in.card.Open() {
		k = -k
	}
	for range 40 {
		s := (lo + hi) / 2
		g := 1 + k*math.Sqrt(1-s*s)
		if s*g*g < seen {
			lo = s
		} else {
			hi = s
		}
	}
	return (lo + hi) / 2
}

// reach is the distance from the barrel's band to the hands' mark, or to where
// the hands usually are, m.
func (in *swingInput) reach() float64 {
	if in.card.Bat.MarksApartM > 0 {
		return in.card.Bat.MarksApartM
	}
	length, fromEnd := in.card.Bat.LengthM, 0.0
	if length == 0 {
		length = 0.838
	}
	if in.card.Marks.Barrel != nil {
		fromEnd = in.card.Marks.Barrel.FromEndM
	}
	if fromEnd == 0 {
		fromEnd = 0.10
	}
	return length - fromEnd - gripM
}

// place puts the hands at one of the two ends that each direction allows. Hands
// move slowly against the barrel, and on the wrong side they would outrun it: the
// sequence of ends whose hands travel least is taken, by dynamic programming.
func place(use []Sample, ps []pointing, reach float64) []Sample {
	var ends [][2]Sample
	for i, p := range ps {
		if !p.ok {
			continue
		}
		var e [2]Sample
		for k, sign := range []float64{1, -1} {
			h := use[i]
			h.XPx -= sign * reach * p.sin * p.ex
			h.YPx -= sign * reach * p.sin * p.ey
			// Area is good to a tenth, direction to a twelfth of a radian.
			along, across := 0.1*reach, reach*p.sin/12+0.02*reach
			h.VarXX = along*along*p.ex*p.ex + across*across*p.ey*p.ey
			h.VarXY = (along*along - across*across) * p.ex * p.ey
			h.VarYY = along*along*p.ey*p.ey + across*across*p.ex*p.ex
			h.How = Filled
			e[k] = h
		}
		ends = append(ends, e)
	}
	if len(ends) == 0 {
		return nil
	}
	cost := [2]float64{}
	from := make([][2]int, len(ends))
	for i := 1; i < len(ends); i++ {
		var next [2]float64
		for b := range 2 {
			next[b] = math.Inf(1)
			for a := range 2 {
				p, q := ends[i-1][a], ends[i][b]
				if c := cost[a] + math.Hypot(q.XPx-p.XPx, q.YPx-p.YPx); c < next[b] {
					next[b], from[i][b] = c, a
				}
			}
		}
		cost = next
	}
	k := 0
	if cost[1] < cost[0] {
		k = 1
	}
	out := make([]Sample, len(ends))
	for i := len(ends) - 1; i >= 0; i-- {
		out[i] = ends[i][k]
		k = from[i][k]
	}
	return out
}
