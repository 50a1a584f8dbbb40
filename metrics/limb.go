package metrics

import (
	"math"
	"slices"
	"sort"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// limb is one joint's path during a swing.
type limb struct {
	seen   []Sample
	smooth *fit.Smoothed
	net    bool    // found by the pose network
	whole  float64 // the most of its colour that was seen, px²
}

// limbsOf are the joints that were seen often enough to have a path: by their band,
// else by the network.
func limbsOf(t Track, sp Span) map[string]limb {
	out := map[string]limb{}
	for _, from := range []struct {
		joints map[string][]Sample
		net    bool
	}{{t.Pose, true}, {t.Joints, false}} {
		for name, s := range from.joints {
			s = inSpan(s, sp)
			if m := smoothPx(s, nil); m != nil {
				out[name] = limb{s, m, from.net, mostColour(s)}
			}
		}
	}
	if l := out[leadShoulder]; !l.net {
		s := inSpan(t.Pose[leadShoulder], sp)
		if m := smoothPx(s, nil); m != nil {
			out[ShoulderEnd] = limb{s, m, true, 0}
		}
	}
	return uncovered(out)
}

// mostColour is the 90th percentile of the colour of samples, px².
func mostColour(s []Sample) float64 {
	v := make([]float64, len(s))
	for i, x := range s {
		v[i] = x.Shape.Mass
	}
	return fit.Ranked(v, 0.9)
}

// uncovered moves what is seen of the lead shoulder's band to the band's middle. The
// trunk, behind which an arm goes, covers one side of it; what is left is narrower
// than the band ever was, across the arm, by twice what its middle is off.
func uncovered(limbs map[string]limb) map[string]limb {
	arm, elbow := limbs[leadShoulder], limbs[leadElbow]
	trunk, ok := limbs[backHip]
	if !ok {
		trunk, ok = limbs[beltBuckle]
	}
	if !ok || arm.smooth == nil || elbow.smooth == nil || arm.net {
		return limbs
	}
	at := func(l limb, t float64) geom.Point {
		p, _, _ := l.smooth.Mean().Side(t, fit.Before)
		return p
	}
	across := make([]geom.Point, len(arm.seen))
	wide := make([]float64, len(arm.seen))
	for i, s := range arm.seen {
		u := towards(geom.Point{s.XPx, s.YPx}, at(elbow, s.TimeS))
		n := geom.Point{-u[1], u[0]}
		if to := at(trunk, s.TimeS); n[0]*(to[0]-s.XPx)+n[1]*(to[1]-s.YPx) < 0 {
			n = geom.Point{u[1], -u[0]}
		}
		across[i] = n
		wide[i] = math.Sqrt(12 * math.Max(0, n[0]*n[0]*s.Shape.SXX+2*n[0]*n[1]*s.Shape.SXY+n[1]*n[1]*s.Shape.SYY))
	}
	full := fit.Ranked(wide, 0.9)
	seen := slices.Clone(arm.seen)
	for i := range seen {
		// A little narrower is light and shade, half as wide is a covered half.
		covered := math.Max(0, math.Min(1, (wholeWide-wide[i]/full)/(wholeWide-partWide)))
		off := covered * (full - wide[i]) / 2
		if math.IsNaN(off) || math.IsNaN(across[i][0]) {
			continue
		}
		s := &seen[i]
		s.XPx += off * across[i][0]
		s.YPx += off * across[i][1]
		s.VarXX += off * off / 9
		s.VarYY += off * off / 9
	}
	if m := smoothPx(seen, nil); m != nil {
		limbs[leadShoulder] = limb{seen, m, false, arm.whole}
	}
	return limbs
}

// known reports whether the joint was seen close enough before and after t.
func (l limb) known(t float64) bool {
	i := sort.Search(len(l.seen), func(i int) bool { return l.seen[i].TimeS >= t })
	if i < len(l.seen) && l.seen[i].TimeS == t {
		return true
	}
	return i > 0 && i < len(l.seen) && l.seen[i].TimeS-l.seen[i-1].TimeS <= jointGapS
}

// hidden is how much of the band is covered, or turned away, at t: the share that its
// colour lacks of the most that was seen of it.
func (l limb) hidden(t float64) float64 {
	if !(l.whole > 0) || len(l.seen) == 0 {
		return 0
	}
	i := min(sort.Search(len(l.seen), func(i int) bool { return l.seen[i].TimeS >= t }), len(l.seen)-1)
	return math.Max(0, math.Min(1, 1-l.seen[i].Shape.Mass/l.whole))
}
