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
