package metrics

import (
	"math"

	"ashline/metrics/fit"
)

// course is the swing as a whole, in the plane of the pitch without depth: good
// enough for slow parts far from contact, where no angle hangs on it.
type course struct {
	view   View
	barrel *fit.Path // px
	hands  *fit.Path // px, nil without
	tc     float64
	from   float64 // clip's clock
	to     float64
	scaled bool
}

const courseStepS = 0.0005

func (c course) at(p *fit.Path, t float64) (pos, vel [2]float64) {
	side := fit.Before
	if t > c.tc {
		side = fit.After
	}
	px, v, _ := p.Side(t, side)
	w := c.view.At(Point{px[0], px[1]}, 0)
	k := c.view.MetresPerPixel(Point{px[0], px[1]})
	return [2]float64{w.X, w.Z}, [2]float64{c.view.Sign * v[0] * k, -v[1] * k}
}

// launchShare of the peak before contact is where a swing starts and ends.
const launchShare = 0.10

// fill computes the key positions and what hangs on them.
func (c course) fill(f *figures) {
	peak := 0.0
	speed := func(t float64) float64 {
		_, v := c.at(c.barrel, t)
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
		h, _ := c.at(c.hands, t)
		b, _ := c.at(c.barrel, t)
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
	at0, _ := c.at(c.barrel, c.tc)
	high, far := at0[1], at0[0]
	highT, farT := c.tc, c.tc
	for t := c.tc + courseStepS; t <= c.to && speed(t) >= launchShare*peak; t += courseStepS {
		p, _ := c.at(c.barrel, t)
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
	first, _ := c.at(c.hands, launch)
	prev, arc, most := first, 0.0, 0.0
	for t := launch; t <= c.tc; t += courseStepS {
		p, v := c.at(c.hands, t)
		arc += math.Hypot(p[0]-prev[0], p[1]-prev[1])
		prev = p
		most = math.Max(most, math.Hypot(v[0], v[1]))
	}
	f[fHandsPath], f[fHandsPeak] = arc, most
	if arc > 0 {
		f[fHandsStraight] = math.Hypot(prev[0]-first[0], prev[1]-first[1]) / arc
	}
}
