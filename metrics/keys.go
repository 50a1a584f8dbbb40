package metrics

import (
	"math"

	"ashline/metrics/fit"
)

// course is the swing as a whole in the plane of the pitch: place, m, and velocity
// of barrel and hands on the clip's clock.
type course struct {
	barrel func(t float64) (pos, vel [2]float64)
	// hands is where they are, shown where the picture shows them at the scale of
	// the plane of the pitch; both nil without.
	hands, shown func(t float64) (pos, vel [2]float64)
	tc           float64
	from, to     float64
	scaled       bool
	behind       [2]float64 // unit direction from which the pitch comes to which it goes
	// stretch multiplies lengths, threshold is the share of the peak speed at
	// which a swing starts and ends, markX (m/s) tilts hands against barrel.
	stretch   float64
	threshold float64
	markX     float64
}

const courseStepS = 0.0005

// batCourse is the course of a fitted bat seen by v.
func batCourse(b *bat, v View) course {
	c := course{stretch: 1, threshold: launchShare}
	side := func(t float64) fit.Side {
		if t > b.rows.seen.contactS {
			return fit.After
		}
		return fit.Before
	}
	c.barrel = func(t float64) (pos, vel [2]float64) {
		p := b.at(t, side(t))
		w := p.Barrel(b.leverM)
		return [2]float64{w.X, w.Z}, [2]float64{p.HandsV.X + b.leverM*p.DirV.X, p.HandsV.Z + b.leverM*p.DirV.Z}
	}
	if !b.rows.seen.marked {
		return c
	}
	mark := func(t float64) (at, in World) {
		p := b.at(t, side(t))
		h, d, k := p.Hands, p.Dir, b.markM
		return World{h.X + k*d.X, h.Y + k*d.Y, h.Z + k*d.Z}, World{p.HandsV.X + k*p.DirV.X, p.HandsV.Y + k*p.DirV.Y, p.HandsV.Z + k*p.DirV.Z}
	}
	c.hands = func(t float64) (pos, vel [2]float64) {
		w, u := mark(t)
		return [2]float64{w.X, w.Z}, [2]float64{u.X, u.Z}
	}
	c.shown = func(t float64) (pos, vel [2]float64) {
		const h = 1e-4
		w, u := mark(t)
		p, q := v.At(v.Project(w), 0), v.At(v.Project(World{w.X + h*u.X, w.Y + h*u.Y, w.Z + h*u.Z}), 0)
		return [2]float64{p.X, p.Z}, [2]float64{(q.X - p.X) / h, (q.Z - p.Z) / h}
	}
	return c
}

// planeCourse is the course of a barrel's path in the plane and of hands in the
// picture, where no bat and so no depth is known.
func planeCourse(barrel, hands *fit.Path, v View, tc float64) course {
	c := course{stretch: 1, threshold: launchShare}
	c.barrel = func(t float64) (pos, vel [2]float64) {
		side := fit.Before
		if t > tc {
			side = fit.After
		}
		pos, vel, _ = barrel.Side(t, side)
		return pos, vel
	}
	if hands == nil {
		return c
	}
	c.hands = func(t float64) (pos, vel [2]float64) {
		const h = 1e-4
		px, u, _ := hands.Side(t, fit.Before)
		w, q := v.At(Point{px[0], px[1]}, 0), v.At(Point{px[0] + h*u[0], px[1] + h*u[1]}, 0)
		return [2]float64{w.X, w.Z}, [2]float64{(q.X - w.X) / h, (q.Z - w.Z) / h}
	}
	c.shown = c.hands
	return c
}

// launchShare of the peak before contact is where a swing starts and ends.
const launchShare = 0.10

// fill computes the key positions and what hangs on them.
func (c course) fill(f *figures) {
	peak := 0.0
	speed := func(t float64) float64 {
		_, v := c.barrel(t)
		return math.Hypot(v[0], v[1])
	}
	for t := c.tc; t >= c.from; t -= courseStepS {
		peak = math.Max(peak, speed(t))
	}
	launch := math.NaN()
	for t := c.tc; t >= c.from; t -= courseStepS {
		if speed(t) < c.threshold*peak {
			launch = t
			break
		}
	}
	f[fLaunch] = launch - c.tc
	c.finish(f, speed, peak)
	if c.hands == nil {
		return
	}
	start := launch
	if math.IsNaN(start) {
		start = math.Max(c.from, c.tc-0.25)
	}
	behind := math.Inf(-1)
	for t := start; t <= c.tc; t += courseStepS {
		h, _ := c.hands(t)
		b, _ := c.barrel(t)
		if d := (b[0]-h[0])*c.behind[0] + (b[1]-h[1])*c.behind[1] + 10*c.markX*(t-c.tc); d > behind {
			behind = d
			f[fLag] = t - c.tc
		}
	}
	if c.scaled && !math.IsNaN(launch) {
		c.handsPath(f, launch)
	}
}

func (c course) finish(f *figures, speed func(float64) float64, peak float64) {
	at0, _ := c.barrel(c.tc)
	high, far := at0[1], at0[0]
	highT, farT := c.tc, c.tc
	for t := c.tc + courseStepS; t <= c.to && speed(t) >= c.threshold*peak; t += courseStepS {
		p, _ := c.barrel(t)
		if p[1] > high {
			high, highT = p[1], t
		}
		if p[0] > far {
			far, farT = p[0], t
		}
	}
	if highT > c.tc {
		f[fFinish] = highT - c.tc
		if c.scaled {
			f[fFinishHeight] = c.stretch * (high - at0[1])
		}
	}
	if c.scaled {
		f[fExtension], f[fExtensionS] = c.stretch*(far-at0[0]), farT-c.tc
	}
}

// handsPath measures the hands' path from launch to contact as the picture shows
// it, at the scale of the plane of the pitch.
func (c course) handsPath(f *figures, launch float64) {
	first, _ := c.shown(launch)
	prev, arc, most := first, 0.0, 0.0
	for t := launch; t <= c.tc; t += courseStepS {
		p, _ := c.shown(t)
		_, v := c.hands(t)
		arc += math.Hypot(p[0]-prev[0], p[1]-prev[1])
		prev = p
		most = math.Max(most, math.Hypot(v[0], v[1]))
	}
	f[fHandsPath], f[fHandsPeak] = c.stretch*arc, c.stretch*most
	if arc > 0 {
		f[fHandsStraight] = math.Hypot(prev[0]-first[0], prev[1]-first[1]) / arc
	}
}
