package zone

import (
	"math"
)

// Touch is the first touch of barrel and ball.
type Touch struct {
	TimeS   float64    // on the ball's clock
	OffsetM float64    // ≥ 0
	CentreM [2]float64 // from barrel to ball
	OK      bool
}

// meeting holds the barrel's positions on a grid, which every shift of the
// swing uses again.
type meeting struct {
	barrel, ball Path
	reach        float64
	ts           []float64
	pos          [][2]float64
	stepM        float64 // no more than this does the barrel move in a step
	stepS        float64
}

func newMeeting(barrel, ball Path, c Circles) *meeting {
	m := &meeting{barrel: barrel, ball: ball, reach: c.BallRadiusM + c.BarrelRadiusM}
	m.ts = grid(c.FromS, c.ToS, 0, c.StepS)
	m.pos = make([][2]float64, len(m.ts))
	for i, t := range m.ts {
		m.pos[i], _ = barrel.At(t)
		if i > 0 {
			m.stepM = math.Max(m.stepM, math.Hypot(m.pos[i][0]-m.pos[i-1][0], m.pos[i][1]-m.pos[i-1][1]))
		}
	}
	m.stepS = c.StepS
	return m
}

// apart is the vector from barrel to ball and its rate of change, at time t of
// the barrel's clock when the swing is d late.
func (m *meeting) apart(t, d float64) (c, w [2]float64) {
	p, v := m.barrel.At(t)
	b, vb := m.ball.At(t + d)
	return [2]float64{b[0] - p[0], b[1] - p[1]}, [2]float64{vb[0] - v[0], vb[1] - v[1]}
}

// first finds the first touch of a swing that is d late. Circles that overlap
// from the start do not count as touching, nor does a barrel that no longer
// moves against the ball.
func (m *meeting) first(d float64) Touch {
	depth := func(t float64) float64 { // ≥ 0 when overlapping
		c, _ := m.apart(t, d)
		return m.reach - math.Hypot(c[0], c[1])
	}
	dist2 := func(i int) float64 {
		b, _ := m.ball.At(m.ts[i] + d)
		x, z := b[0]-m.pos[i][0], b[1]-m.pos[i][1]
		return x*x + z*z
	}
	r2 := m.reach * m.reach
	before, now := math.Inf(1), dist2(0)
	if now <= r2 {
		return Touch{}
	}
	for i := 0; i < len(m.ts); i++ {
		if skip := m.idle(i, d, math.Sqrt(now)); skip > 1 {
			if i += skip; i >= len(m.ts) {
				break
			}
			before, now = dist2(i-1), dist2(i)
		}
		after := math.Inf(1)
		if i+1 < len(m.ts) {
			after = dist2(i + 1)
		}
		switch {
		case now <= r2:
			return m.touch(cross(depth, m.ts[i-1], m.ts[i]), d)
		case i > 0 && now <= before && now <= after:
			// The circles may graze between two steps.
			lo, hi := m.ts[i-1], m.ts[min(i+1, len(m.ts)-1)]
			if t := m.least(lo, hi, d); depth(t) >= 0 {
				return m.touch(cross(depth, lo, t), d)
			}
		}
		before, now = now, after
	}
	return Touch{}
}

// idle is how many steps from i on cannot bring a touch at the present
// distance, the ball's speed rising by a tenth at most.
func (m *meeting) idle(i int, d, distM float64) int {
	_, vb := m.ball.At(m.ts[i] + d)
	return int((distM-m.reach)/(m.stepM+1.1*m.stepS*math.Hypot(vb[0], vb[1])+1e-12)) - 2
}

// least is when the distance is least between lo and hi: the root of c·w.
func (m *meeting) least(lo, hi, d float64) float64 {
	for hi-lo > rootTolS {
		mid := (lo + hi) / 2
		if c, w := m.apart(mid, d); c[0]*w[0]+c[1]*w[1] < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func (m *meeting) touch(t, d float64) Touch {
	c, w := m.apart(t, d)
	_, v := m.barrel.At(t)
	_, vb := m.ball.At(t + d)
	speed := math.Hypot(w[0], w[1])
	if speed == 0 || v[0]*vb[0]+v[1]*vb[1] >= 0 {
		return Touch{}
	}
	return Touch{TimeS: t + d, OffsetM: math.Abs(c[0]*w[1]-c[1]*w[0]) / speed, CentreM: c, OK: true}
}

// Circles say what meets what.
type Circles struct {
	// BallRadiusM and BarrelRadiusM. Default to 0.0369 (a baseball of 9⅛ in
	// circumference) and 0.033.
	BallRadiusM, BarrelRadiusM float64
	// SolidM is the greatest impact offset of solid contact. Defaults to 0.0127.
	SolidM float64
	// FromS and ToS bound the part of the barrel's motion that is used, on its
	// own clock, s from contact. Default to −0.15 and 0.15.
	FromS, ToS float64
	// ReachS is how far the swing is shifted either way, s. Defaults to 0.06.
	ReachS float64
	// StepS is the step of the scans, s. Defaults to 0.0005.
	StepS float64
}
