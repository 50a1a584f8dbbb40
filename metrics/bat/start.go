package bat

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// turns lists the poses at which the bat lies most in the plane of the picture,
// those nearest to the plane first, after those at which it comes out of a gap in
// what was seen.
func (o Seen) turns(poses []startPose) []int {
	var out, gaps []int
	contactS := o.ContactS
	for i := 1; i < len(o.Barrel); i++ {
		a, b := o.Barrel[i-1].TimeS, o.Barrel[i].TimeS
		if b-a < turnGapS || (a < contactS && b > contactS) {
			continue
		}
		gaps = append(gaps, sort.Search(len(poses)-1, func(k int) bool { return poses[k].TimeS > (a+b)/2 }))
	}
	y := func(i int) float64 { return math.Abs(poses[i].Dir.Y) }
	for i := 1; i+1 < len(poses); i++ {
		if d := math.Abs(poses[i].TimeS - contactS); d < turnNearS || d > turnFarS || y(i) > y(i-1) || y(i) > y(i+1) {
			continue
		}
		out = append(out, i)
	}
	sort.SliceStable(out, func(a, b int) bool { return y(out[a]) < y(out[b]) })
	return append(gaps[:min(len(gaps), turnsMost)], out[:min(len(out), turnsMost)]...)
}

// mirrored is a path in which all poses beyond pose k, seen from contact, lean the
// other way out of the plane of the picture.
func mirrored(poses []startPose, k int, contactS float64) []startPose {
	out := append([]startPose(nil), poses...)
	for i := range out {
		if (poses[k].TimeS > contactS && i > k) || (poses[k].TimeS < contactS && i < k) {
			out[i].Dir.Y = -out[i].Dir.Y
		}
	}
	return out
}

// stance is one way that a bat may lie in one frame.
type stance struct {
	hands, dir geom.World
	cost       float64
}

// start chooses one stance a frame. In one frame a rod that is seen from one
// side may point towards the camera or away from it, and a band alone does not
// say at which of its ends the hands are. Over time a bat turns evenly, which
// tells them apart: the sequence of stances with the least angular acceleration
// is found by dynamic programming over pairs of neighbours. whole is the area of
// the band seen from the side.
func (o Seen) start(whole float64) ([]startPose, bool) {
	var times []float64
	var all [][]stance
	for _, s := range o.Barrel {
		if len(times) > 0 && s.TimeS-times[len(times)-1] < startGapS {
			continue
		}
		if c := o.stances(s, whole); len(c) > 0 {
			times = append(times, s.TimeS)
			all = append(all, c)
		}
	}
	if len(all) < startPoses {
		return nil, false
	}
	var out []startPose
	for i, k := range evenest(times, all) {
		p := startPose{TimeS: times[i], Hands: all[i][k].hands, Dir: all[i][k].dir}
		if i > 0 {
			out = append(out, between(out[len(out)-1], p)...)
		}
		out = append(out, p)
	}
	return out, true
}

// between are poses in a gap between two, turned the short way.
func between(a, b startPose) []startPose {
	n := int((b.TimeS - a.TimeS) / poseGapS)
	w := geom.Turn(a.Dir, b.Dir)
	angle, axis := math.Sqrt(r3.Dot(w, w)), geom.Unit(w)
	q := r3.Cross(axis, a.Dir)
	var out []startPose
	for i := 1; i < n; i++ {
		k := float64(i) / float64(n)
		s, c := math.Sincos(k * angle)
		out = append(out, startPose{
			TimeS: a.TimeS + k*(b.TimeS-a.TimeS),
			Hands: geom.Along(a.Hands, k, r3.Sub(b.Hands, a.Hands)),
			Dir:   geom.Along(r3.Scale(c, a.Dir), s, q),
		})
	}
	return out
}

// wholeMass is about the area of the band when it is seen from the side.
func wholeMass(s []Sighting) float64 {
	var v []float64
	for _, x := range s {
		if x.Shape.Mass > 0 {
			v = append(v, x.Shape.Mass)
		}
	}
	if len(v) == 0 {
		return 0
	}
	return fit.Ranked(v, 0.9)
}

// stances lists how the bat may lie in one frame.
func (o Seen) stances(s Sighting, whole float64) []stance {
	v, perM := o.Sight.eye, o.Sight.perM
	var out []stance
	put := func(ex, ey, sin, odd float64) {
		// ex, ey lead from the hands to the barrel in the picture.
		sin = math.Min(sin, 1)
		cos := math.Sqrt(1 - sin*sin)
		for _, toward := range []float64{1, -1} {
			dir := geom.World{X: v.Sign * ex * sin, Y: toward * cos, Z: -ey * sin}
			y := o.HandsYM + o.LeverM*dir.Y
			w := v.At(s.Px, y)
			h := geom.Along(w, -o.LeverM, dir)
			cost := odd + o.bulgeOdds(s, Pose{Hands: h, Dir: dir})
			// At contact the barrel is farther from the hitter than the hands are.
			if math.Abs(s.TimeS-o.ContactS) < facingS && (o.ContactYM-o.HandsYM)*dir.Y < 0 {
				cost += facingOdds
			}
			out = append(out, stance{hands: h, dir: dir, cost: cost})
		}
	}
	unheeded := 0.0
	if h, ok := handsNear(o.Hands, s.TimeS); ok {
		dx, dy := s.Px[0]-h[0], s.Px[1]-h[1]
		l := math.Hypot(dx, dy)
		if share := l / ((o.LeverM - o.MarkM) * perM * v.DistanceM / (v.DistanceM - o.HandsYM)); l > 0 && share < lengthOver {
			put(dx/l, dy/l, share, 0)
			unheeded = startUnheeded
		}
	}
	if s.Shape.Mass <= 0 || whole <= 0 {
		return out
	}
	half := math.Hypot((s.Shape.SXX-s.Shape.SYY)/2, s.Shape.SXY)
	mean := (s.Shape.SXX+s.Shape.SYY)/2 - chromaVar
	if !(half > startLeast/2*mean) {
		return out
	}
	dir := 0.5*math.Atan2(2*s.Shape.SXY, s.Shape.SXX-s.Shape.SYY) + math.Pi/2
	sin := math.Max(tiltFloor, s.Shape.Mass/whole)
	for _, sign := range []float64{1, -1} {
		put(sign*math.Cos(dir), sign*math.Sin(dir), sin, unheeded)
	}
	return out
}

// bulgeOdds is the price of a pose whose band should bulge otherwise than it does.
func (o Seen) bulgeOdds(s Sighting, p Pose) float64 {
	if !s.Shape.Skewed {
		return 0
	}
	sum := 0.0
	for _, d := range o.Sight.bulges(o.Sight.look(p, o.LeverM), s.Shape) {
		sum += d * d
	}
	return offC * offC * math.Log1p(sum/(offC*offC)) / 2
}

// handsNear interpolates the hands' mark at t between sightings at most 30 ms
// apart.
func handsNear(s []Sighting, t float64) (geom.Point, bool) {
	i := sort.Search(len(s), func(i int) bool { return s[i].TimeS >= t })
	switch {
	case i < len(s) && s[i].TimeS-t < 1e-4:
		return s[i].Px, true
	case i == 0 || i == len(s) || s[i].TimeS-s[i-1].TimeS > handsGapMostS:
		return geom.Point{}, false
	}
	a, b := s[i-1], s[i]
	k := (t - a.TimeS) / (b.TimeS - a.TimeS)
	return geom.Point{a.Px[0] + k*(b.Px[0]-a.Px[0]), a.Px[1] + k*(b.Px[1]-a.Px[1])}, true
}

// evenest chooses one stance a frame so that the direction turns as evenly as
// can be.
func evenest(times []float64, all [][]stance) []int {
	n := len(all)
	cost := make([][][]float64, n) // [frame][stance before][stance]
	from := make([][][]int, n)
	for i := 1; i < n; i++ {
		cost[i] = make([][]float64, len(all[i-1]))
		from[i] = make([][]int, len(all[i-1]))
		for a := range all[i-1] {
			cost[i][a] = make([]float64, len(all[i]))
			from[i][a] = make([]int, len(all[i]))
			for b := range all[i] {
				own := all[i][b].cost
				if i == 1 {
					cost[i][a][b] = own + all[0][a].cost
					continue
				}
				best := math.Inf(1)
				for z := range all[i-2] {
					c := cost[i-1][z][a] + uneven(times[i-2:i+1], all[i-2][z], all[i-1][a], all[i][b])
					if c < best {
						best, from[i][a][b] = c, z
					}
				}
				cost[i][a][b] = best + own
			}
		}
	}
	out := make([]int, n)
	best := math.Inf(1)
	for a := range cost[n-1] {
		for b, c := range cost[n-1][a] {
			if c < best {
				best, out[n-2], out[n-1] = c, a, b
			}
		}
	}
	for i := n - 1; i > 1; i-- {
		out[i-2] = from[i][out[i-1]][out[i]]
	}
	return out
}

// uneven is the price of three stances in a row: the angular acceleration that
// they mean, and the speed of the hands.
func uneven(t []float64, a, b, c stance) float64 {
	d0, d1 := t[1]-t[0], t[2]-t[1]
	if d0 <= 0 || d1 <= 0 {
		return 0
	}
	p, q := geom.Turn(a.dir, b.dir), geom.Turn(b.dir, c.dir)
	acc := geom.World{X: q.X/d1 - p.X/d0, Y: q.Y/d1 - p.Y/d0, Z: q.Z/d1 - p.Z/d0}
	h := r3.Sub(c.hands, b.hands)
	return math.Sqrt(r3.Dot(acc, acc))/((d0+d1)/2)/startTurn + math.Sqrt(r3.Dot(h, h))/d1/startHands
}
