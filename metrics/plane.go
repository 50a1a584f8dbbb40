package metrics

import (
	"math"
	"slices"

	"ashline/metrics/zone"
)

// PlanePath is one swing in the plane of the pitch, for plots: x towards the
// pitcher and z up, m from the barrel at contact; times s from contact. It holds
// what the metrics were computed from, so that what is drawn of it is what they
// say.
type PlanePath struct {
	Points []PlanePoint // in order of time, evenly but for the times that matter
	Keys   []PlaneKey   // those that are known, in order of time
	// Line is the pitch line at contact; without one Lined is false, and so are
	// Points' distances and directions and the zone.
	Line  zone.Line
	Lined bool
	// NearM and AlongDeg are the zone's limits: the greatest distance from the line
	// and the greatest angle to it.
	NearM, AlongDeg float64
	Zone            zone.Zone // its times are those of the metrics
	// LineSource is where the line comes from: tracked, drawn, flight or none.
	LineSource string
	// FromS and ToS bound the motion around contact in which the zone is looked for.
	FromS, ToS float64
}

// PlanePoint is the barrel at one time.
type PlanePoint struct {
	TimeS        float64
	XM, ZM       float64
	VXMPS, VZMPS float64
	// OffM is the distance from the pitch line, positive above; OffDeg the direction
	// off the line's, positive steeper upwards. NaN without a line.
	OffM, OffDeg float64
	InZone       bool
}

// PlaneKey is a key position on the path.
type PlaneKey struct {
	Name    string // launch, slot, lag, contact, finish
	TimeS   float64
	XM, ZM  float64
	Assumed bool
}

const (
	planeStepS = 0.001
	// easeS is over what time the motion around contact goes over into the swing as
	// a whole: the two are fitted apart and differ by millimetres.
	easeS = 0.02
)

// Plane gives swing i in the plane of the pitch; false where it could not be put
// there, or has no scale.
func (st Study) Plane(i int) (PlanePath, bool) {
	if i < 0 || i >= len(st.Swings) || i >= len(st.Result.Swings) || st.Swings[i].plane == nil {
		return PlanePath{}, false
	}
	p := st.Swings[i].plane()
	p.keys(st.Result.Swings[i].Keys, st.Swings[i].planeAt)
	return p, len(p.Points) > 1
}

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

// sample fills the points from one time to another: an even grid, with contact on
// both of its sides and the ends of the zone among them.
func (p *PlanePath) sample(at func(t float64) (pos, vel [2]float64), from, to float64) {
	var ts []float64
	for i := int(math.Ceil(from / planeStepS)); float64(i)*planeStepS <= to; i++ {
		ts = append(ts, float64(i)*planeStepS)
	}
	// An instant after contact the impact has changed the velocity.
	ts = append(ts, math.Nextafter(0, 1))
	if p.Zone.OK {
		ts = append(ts, p.Zone.EnterS, p.Zone.LeaveS)
	}
	slices.Sort(ts)
	for _, t := range slices.Compact(ts) {
		p.Points = append(p.Points, p.point(t, at))
	}
}

func (p *PlanePath) point(t float64, at func(t float64) (pos, vel [2]float64)) PlanePoint {
	pos, vel := at(t)
	out := PlanePoint{TimeS: t, XM: pos[0], ZM: pos[1], VXMPS: vel[0], VZMPS: vel[1], OffM: math.NaN(), OffDeg: math.NaN()}
	if !p.Lined {
		return out
	}
	_, out.OffM = p.Line.Place(pos)
	u := p.Line.Against()
	out.OffDeg = math.Atan2(u[0]*vel[1]-u[1]*vel[0], u[0]*vel[0]+u[1]*vel[1]) * 180 / math.Pi
	out.InZone = p.Zone.OK && t >= p.Zone.EnterS && t <= p.Zone.LeaveS
	return out
}

// keys places the key positions that are known.
func (p *PlanePath) keys(k Keys, at func(t float64) (pos, vel [2]float64)) {
	for _, key := range k.Named() {
		if key.TimeS == nil {
			continue
		}
		pos, _ := at(*key.TimeS)
		p.Keys = append(p.Keys, PlaneKey{key.Name, *key.TimeS, pos[0], pos[1], key.Status == Assumed})
	}
	slices.SortStableFunc(p.Keys, func(a, b PlaneKey) int {
		switch {
		case a.TimeS < b.TimeS:
			return -1
		case a.TimeS > b.TimeS:
			return 1
		}
		return 0
	})
}
