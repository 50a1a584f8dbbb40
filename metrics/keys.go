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
	// stretch multiplies lengths, threshold is the share of the peak speed at
	// which a swing starts and ends, markX (m/s) tilts hands against barrel.
	stretch   float64
	threshold float64
	markX     float64
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

// handsAt returns place and velocity of the hands at depth y.
func (c course) handsAt(t, y float64) (pos, vel [2]float64) {
	px, v, _ := c.hands.Side(t, fit.Before)
	w := c.view.At(Point{px[0], px[1]}, y)
	const h = 1e-4
	u := c.view.At(Point{px[0] + h*v[0], px[1] + h*v[1]}, y)
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
		h, _ := c.handsAt(t, c.handsY)
		b, _ := c.at(t)
		if d := h[0] - b[0] + 10*c.markX*(t-c.tc); d > behind {
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
	for t := c.tc + courseStepS; t <= c.to && speed(t) >= c.threshold*peak; t += courseStepS {
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
	first, _ := c.handsAt(launch, 0)
	prev, arc, most := first, 0.0, 0.0
	for t := launch; t <= c.tc; t += courseStepS {
		p, v := c.handsAt(t, 0)
		arc += math.Hypot(p[0]-prev[0], p[1]-prev[1])
		prev = p
		most = math.Max(most, math.Hypot(v[0], v[1]))
	}
	f[fHandsPath], f[fHandsPeak] = c.stretch*arc, c.stretch*most
	if arc > 0 {
		f[fHandsStraight] = math.Hypot(prev[0]-first[0], prev[1]-first[1]) / arc
	}
}
