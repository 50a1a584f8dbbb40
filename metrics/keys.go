package metrics

import (
	"math"

	"ashline/metrics/fit"
)

// course is the swing as a whole in the plane of the pitch. Far from contact the
// hands' depth is taken to be what it is there: good enough for parts on which no
// angle hangs.
type course struct {
	view   View
	barrel *fit.Path // x, z, m
	hands  *fit.Path // px, nil without
	handsY float64
	tc     float64
	from   float64 // clip's clock
	to     float64
	scaled bool
}

const courseStepS = 0.0005

// at returns place and velocity of the barrel.
func (c course) at(t float64) (pos, vel [2]float64) {
	side := fit.Before
	if t > c.tc {
		side = fit.After
	}
	pos, vel, _ = c.barrel.Side(t, side)
	return pos, vel
}

// handsAt returns place and velocity of the hands.
func (c course) handsAt(t float64) (pos, vel [2]float64) {
	px, v, _ := c.hands.Side(t, fit.Before)
	w := c.view.At(Point{px[0], px[1]}, c.handsY)
	const h = 1e-4
	u := c.view.At(Point{px[0] + h*v[0], px[1] + h*v[1]}, c.handsY)
	return [2]float64{w.X, w.Z}, [2]float64{(u.X - w.X) / h, (u.Z - w.Z) / h}
}

// launchShare of the peak before contact is where a swing starts and ends.
const launchShare = 0.10

// fill computes the key positions and what hangs on them.
func (c course) fill(f *figures) {
	peak := 0.0
	speed := func(t float64) float64 {
		_, v := c.at(t)
		return math.Hypot(v[0], v[1])
	}
	for t := c.tc; t >= c.from; t -= courseStepS {
		peak = math.Max(peak, speed(t))
	}
	launch := math.NaN()
	for t := c.tc; t >= c.from; t -= courseStepS {
		if speed(t) < launchShare*peak {
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
		h, _ := c.handsAt(t)
		b, _ := c.at(t)
		if d := h[0] - b[0]; d > behind {
			behind = d
			f[fLag] = t - c.tc
		}
	}
	if c.scaled && !math.IsNaN(launch) {
		c.handsPath(f, launch)
	}
}

func (c course) finish(f *figures, speed func(float64) float64, peak float64) {
	at0, _ := c.at(c.tc)
	high, far := at0[1], at0[0]
	highT, farT := c.tc, c.tc
	for t := c.tc + courseStepS; t <= c.to && speed(t) >= launchShare*peak; t += courseStepS {
		p, _ := c.at(t)
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
			f[fFinishHeight] = high - at0[1]
		}
	}
	if c.scaled {
		f[fExtension], f[fExtensionS] = far-at0[0], farT-c.tc
	}
}

// handsPath measures the hands' path from launch to contact.
func (c course) handsPath(f *figures, launch float64) {
	first, _ := c.handsAt(launch)
	prev, arc, most := first, 0.0, 0.0
	for t := launch; t <= c.tc; t += courseStepS {
		p, v := c.handsAt(t)
		arc += math.Hypot(p[0]-prev[0], p[1]-prev[1])
		prev = p
		most = math.Max(most, math.Hypot(v[0], v[1]))
	}
	f[fHandsPath], f[fHandsPeak] = arc, most
	if arc > 0 {
		f[fHandsStraight] = math.Hypot(prev[0]-first[0], prev[1]-first[1]) / arc
	}
}
