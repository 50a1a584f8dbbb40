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
	slot, closest := c.slot(b, launch)
	f.metric[catalogue.BodyLeadElbowSlotDeg] = b.elbow(slot, bandM)
	f.keyS[catalogue.Slot] = slot - c.tc
	f.metric[catalogue.BodyShoulderOpenDeg] = math.Remainder(b.shoulders(slot)-b.shoulders(launch), 360)
	if !c.scaled {
		return
	}
	from, to := b.at(head, launch), b.at(head, c.tc)
	f.metric[catalogue.BodyHeadDriftM] = c.stretch * math.Hypot(to[0]-from[0], to[1]-from[1])
	f.metric[catalogue.BodyElbowHipSlotM] = c.stretch * math.Abs(closest+b.pairM)
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

// slot is when back elbow and back hip are horizontally closest between launch and
// contact, and how close, m. NaN when they may have been closest while one of them
// was hidden.
func (c course) slot(b body, launch float64) (slot, closest float64) {
	slot, closest = math.NaN(), math.Inf(1)
	last, hidden := math.NaN(), false
	unseen := math.Inf(1) // the least distance that they may have had while hidden
	for t := launch; t <= c.tc; t += courseStepS {
		d := b.at(backElbow, t)[0] - b.at(backHip, t)[0]
		switch {
		case math.IsNaN(d):
			hidden = true
			if !math.IsNaN(last) {
				unseen = math.Min(unseen, math.Abs(last)-hiddenNearerM)
			}
			continue
		case hidden && last*d < 0: // they passed each other
			unseen = 0
		case hidden:
			unseen = math.Min(unseen, math.Abs(d)-hiddenNearerM)
		}
		last, hidden = d, false
		if math.Abs(d) < closest {
			slot, closest = t, math.Abs(d)
		}
	}
	if !(unseen > closest) {
		return math.NaN(), math.NaN()
	}
	return slot, closest
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
