package metrics

import (
	"math"

	"ashline/metrics/catalogue"
)

// fill computes the key positions and what hangs on them, and says when launch is, on
// the clip's clock.
func (c course) fill(f *figures, b body) (launch float64) {
	peak := 0.0
	speed := func(t float64) float64 {
		_, v := c.barrel(t)
		return math.Hypot(v[0], v[1])
	}
	for t := c.tc; t >= c.from; t -= courseStepS {
		peak = math.Max(peak, speed(t))
	}
	launch = math.NaN()
	for t := c.tc; t >= c.from; t -= courseStepS {
		if speed(t) < c.threshold*peak {
			launch = t
			break
		}
	}
	f.keyS[catalogue.Launch] = launch - c.tc
	c.finish(f, b, speed, peak)
	c.lag(f, launch)
	if c.hands != nil && c.scaled && !math.IsNaN(launch) {
		c.handsPath(f, launch)
	}
	f.metric[catalogue.TempoLaunchContactS] = -f.keyS[catalogue.Launch]
	f.metric[catalogue.TempoLaunchLagS] = f.keyS[catalogue.Lag] - f.keyS[catalogue.Launch]
	f.metric[catalogue.TempoLagContactS] = -f.keyS[catalogue.Lag]
	return launch
}

// lag is when the barrel is farthest behind the hands.
func (c course) lag(f *figures, launch float64) {
	if c.hands == nil {
		return
	}
	if math.IsNaN(launch) {
		launch = math.Max(c.from, c.tc-lagReachS)
	}
	behind := math.Inf(-1)
	for t := launch; t <= c.tc; t += courseStepS {
		h, _ := c.hands(t)
		b, _ := c.barrel(t)
		if d := (b[0]-h[0])*c.behind[0] + (b[1]-h[1])*c.behind[1] + 10*c.markX*(t-c.tc); d > behind {
			behind = d
			f.keyS[catalogue.Lag] = t - c.tc
		}
	}
}

// finish is about the barrel after contact until it stays slow: where it turns round towards
// the camera it only seems so. What is still on its way where the last is seen of it is not
// known.
func (c course) finish(f *figures, b body, speed func(float64) float64, peak float64) {
	at0, _ := c.barrel(c.tc)
	high, far := at0[1], at0[0]
	highT, farT := c.tc, c.tc
	t := c.tc + courseStepS
	for slow := 0.0; t <= c.to && slow < slowS; t += courseStepS {
		if speed(t) < c.threshold*peak {
			slow += courseStepS
			continue
		}
		slow = 0
		p, _ := c.barrel(t)
		if p[1] > high {
			high, highT = p[1], t
		}
		if p[0] > far {
			far, farT = p[0], t
		}
	}
	turned := func(at, forS float64) bool { return t <= c.to || at < c.to-forS }
	rise := turnS
	if c.lost { // unseen it may have risen again; having turned back, it goes no farther
		rise = lostS
	}
	if highT > c.tc && turned(highT, rise) {
		f.keyS[catalogue.Finish] = highT - c.tc
		if c.scaled {
			f.metric[catalogue.FinishHeightM] = c.stretch * (high - at0[1])
			f.metric[catalogue.FinishAboveShoulderM] = c.stretch * (high - b.at(b.end(), highT)[1])
		}
	}
	if c.scaled && turned(farT, turnS) {
		f.metric[catalogue.FinishExtensionM], f.metric[catalogue.FinishExtensionS] = c.stretch*(far-at0[0]), farT-c.tc
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
	f.metric[catalogue.BodyHandsPathM], f.metric[catalogue.SpeedHandsPeakMPS] = c.stretch*arc, c.stretch*most
	if arc > 0 {
		f.metric[catalogue.BodyHandsStraightness] = math.Hypot(prev[0]-first[0], prev[1]-first[1]) / arc
	}
}
