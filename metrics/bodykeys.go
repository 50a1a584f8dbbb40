package metrics

import (
	"math"

	"ashline/metrics/catalogue"
)

// fillBody computes what the body does at the key positions: launch and lag on the
// clip's clock, NaN where not known.
func (c course) fillBody(f *figures, b body, launch, lag, bandM float64) {
	f.metric[catalogue.BodyLeadElbowContactDeg] = b.elbow(c.tc, bandM)
	f.metric[catalogue.BodyLeadElbowLagDeg] = b.elbow(lag, bandM)
	if math.IsNaN(launch) {
		return
	}
	f.metric[catalogue.BodyLeadElbowLaunchDeg] = b.elbow(launch, bandM)
	f.metric[catalogue.BodyLeadElbowStraightS] = c.straight(b, launch, bandM)
	slot := c.slot(launch, lag)
	f.metric[catalogue.BodyLeadElbowSlotDeg] = b.elbow(slot, bandM)
	f.keyS[catalogue.Slot] = slot - c.tc
	f.metric[catalogue.BodyShoulderOpenDeg] = math.Remainder(b.shoulders(slot)-b.shoulders(launch), 360)
	if !c.scaled {
		return
	}
	from, to := b.at(head, launch), b.at(head, c.tc)
	f.metric[catalogue.BodyHeadDriftM] = c.stretch * math.Hypot(to[0]-from[0], to[1]-from[1])
	f.metric[catalogue.BodyElbowHipSlotM] = c.stretch * math.Abs(b.at(backElbow, slot)[0]-b.at(backHip, slot)[0]+b.pairM)
	if c.shown == nil {
		return
	}
	if !math.IsNaN(slot) {
		h, _ := c.shown(slot)
		f.metric[catalogue.BodyHandsElbowSlotM] = c.stretch * math.Abs(h[0]-b.at(backElbow, slot)[0]+b.pairM)
	}
	if !math.IsNaN(lag) {
		h, _ := c.shown(lag)
		f.metric[catalogue.BodyHandsBuckleLagM] = c.stretch * (h[0] - b.at(beltBuckle, lag)[0] + b.pairM)
	}
}

// slot is when, after launch and before lag, the hands' speed towards the pitcher first
// reaches half of its peak before contact; NaN when it does so earlier or later.
func (c course) slot(launch, lag float64) float64 {
	if c.hands == nil || math.IsNaN(launch) || math.IsNaN(lag) {
		return math.NaN()
	}
	ahead := func(t float64) float64 { _, v := c.hands(t); return v[0] }
	peak := 0.0
	for t := launch; t <= c.tc; t += courseStepS {
		peak = math.Max(peak, ahead(t))
	}
	if ahead(launch) >= peak/2 {
		return math.NaN()
	}
	for t := launch + courseStepS; t < lag; t += courseStepS {
		if v := ahead(t); v >= peak/2 {
			return t - courseStepS*(v-peak/2)/(v-ahead(t-courseStepS))
		}
	}
	return math.NaN()
}

// straight is how long before contact the lead arm is first straight; NaN when it
// never is, or was not seen from launch until then.
func (c course) straight(b body, launch, bandM float64) float64 {
	for t := launch; t <= c.tc; t += 2 * courseStepS {
		switch a := b.elbow(t, bandM); {
		case math.IsNaN(a):
			return math.NaN()
		case a >= straightDeg:
			return c.tc - t
		}
	}
	return math.NaN()
}
