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
// sample for each sample of the barrel around contact that has a direction.
// perM is px per metre at the barrel.
func (in *swingInput) handsFromShape(tc, perM, exposureS float64) []Sample {
	var use []Sample
	for _, x := range in.barrel {
		if math.Abs(x.TimeS-tc) < windowBeforeS {
			use = append(use, x)
		}
	}
	ps := pointings(use, in.barrelPx, exposureS)
	reach := in.reach() * perM
	var best []Sample
	for _, sign := range []float64{1, -1} {
		hands, length := place(use, ps, sign, reach)
		if best == nil || length < pathLength(best) {
			best = hands
		}
	}
	return best
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

// place puts the hands on one side of all samples: directions are carried along
// so that neighbours agree, starting with the given sign. Hands that move least
// are on the right side; on the wrong one they would outrun the barrel.
func place(use []Sample, ps []pointing, sign, reach float64) ([]Sample, float64) {
	var out []Sample
	px, py := 0.0, 0.0
	for i, p := range ps {
		if !p.ok {
			continue
		}
		if px == 0 && py == 0 {
			px, py = sign*p.ex, sign*p.ey
		} else if p.ex*px+p.ey*py < 0 {
			px, py = -p.ex, -p.ey
		} else {
			px, py = p.ex, p.ey
		}
		h := use[i]
		h.XPx -= reach * p.sin * px
		h.YPx -= reach * p.sin * py
		// Area is good to a tenth, direction to a twelfth of a radian.
		along, across := 0.1*reach, reach*p.sin/12+0.02*reach
		h.VarXX = along*along*px*px + across*across*py*py
		h.VarXY = (along*along - across*across) * px * py
		h.VarYY = along*along*py*py + across*across*px*px
		h.How = Filled
		out = append(out, h)
	}
	return out, pathLength(out)
}

func pathLength(s []Sample) float64 {
	sum := 0.0
	for i := 1; i < len(s); i++ {
		sum += math.Hypot(s[i].XPx-s[i-1].XPx, s[i].YPx-s[i-1].YPx)
	}
	return sum
}
