package metrics

import (
	"math"

	"ashline/metrics/zone"
)

// planeOf prepares what Plane samples: the swing in the plane of the pitch, and the
// barrel in it, from contact; nil without a scale.
func planeOf(p paths, m motion, whole wholePath) (sample func() PlanePath, at func(t float64) (pos, vel [2]float64)) {
	if !p.scale.known() {
		return nil, nil
	}
	first, last := m.barrel.Span()
	tc := m.contact.TimeS
	near := sided{m.barrel.Mean(), m, tc, first - tc, last - tc}
	at0, _ := near.At(0)
	from, to := math.Max(near.from, -windowBeforeS), math.Min(near.to, windowAfterS)
	whereAt := eased(near, courseOf(p, m, whole, nil), tc, from, to)
	at = func(t float64) (pos, vel [2]float64) {
		pos, vel = whereAt(t)
		return [2]float64{pos[0] - at0[0], pos[1] - at0[1]}, vel
	}
	wholeFrom, wholeTo := whole.barrel.Span()
	return func() PlanePath {
		path := PlanePath{LineSource: lineSource(p.card, m), NearM: p.card.DistanceM(), AlongDeg: p.card.DirectionDeg(), FromS: from, ToS: to}
		if pl := lineAt(p.setting, m, m.contact.Pitch, at0); pl.ok {
			path.Lined, path.Line = true, pl.line
			path.Line.PointM = [2]float64{pl.line.PointM[0] - at0[0], pl.line.PointM[1] - at0[1]}
			path.Zone = zone.Find(near, pl.line, zone.Limits{DistanceM: path.NearM, DirectionDeg: path.AlongDeg, FromS: from, ToS: to})
		}
		path.sample(at, math.Min(wholeFrom-tc, from), math.Max(wholeTo-tc, to))
		return path
	}, at
}

// eased is the motion around contact between from and to, and beyond them the
// course of the whole swing, with no step between.
func eased(near sided, c course, tc, from, to float64) func(t float64) (pos, vel [2]float64) {
	var edge [2]struct{ pos, vel [2]float64 }
	for k, t := range []float64{from, to} {
		p, v := near.At(t)
		q, u := c.barrel(t + tc)
		for a := range p {
			edge[k].pos[a], edge[k].vel[a] = p[a]-q[a], v[a]-u[a]
		}
	}
	return func(t float64) (pos, vel [2]float64) {
		side, d := 0, from-t
		if t > to {
			side, d = 1, t-to
		} else if t >= from {
			return near.At(t)
		}
		pos, vel = c.barrel(math.Min(math.Max(t+tc, c.from), c.to))
		w := math.Exp(-d / easeS)
		for a := range pos {
			pos[a] += w * edge[side].pos[a]
			vel[a] += w * edge[side].vel[a]
		}
		return pos, vel
	}
}
