package scene

import "math"

// straightDeg is the elbow angle called straight.
const straightDeg = 160

// body measures the body: lengths in the plane and, second, from the picture.
func (s *Scene) body(launchS, slotS, lagS float64) (plane, image BodyTruth) {
	flat := func(q Vec) [2]float64 { return [2]float64{q.X, q.Z} }
	toward := 1.0
	if s.Cam.Pitcher == "left" {
		toward = -1
	}
	shown := func(q Vec) [2]float64 {
		p := s.Cam.Project(q)
		return [2]float64{toward * p.XPx * s.Cam.MPerPx, -p.YPx * s.Cam.MPerPx}
	}
	elbow := func(t float64) float64 {
		q := s.pose(t)
		return angleDeg(shown(q.leadShoulder), shown(q.leadElbow), shown(q.leadWrist))
	}
	line := func(t float64) float64 {
		q := s.pose(t)
		a, b := shown(q.backShoulder), shown(q.leadShoulder)
		return math.Atan2(b[1]-a[1], b[0]-a[0]) / degree
	}
	straight := math.NaN()
	for t := launchS; t <= 0; t += denseS * 4 {
		if elbow(t) >= straightDeg {
			straight = -t
			break
		}
	}
	fill := func(at func(Vec) [2]float64) BodyTruth {
		slot, lag := s.pose(slotS), s.pose(lagS)
		h0, h1 := at(s.pose(launchS).head), at(s.pose(0).head)
		arc := 0.0
		first := at(s.Hands(launchS))
		last := first
		const n = 4000
		for i := 1; i <= n; i++ {
			p := at(s.Hands(launchS * (1 - float64(i)/n)))
			arc += dist(p, last)
			last = p
		}
		return BodyTruth{
			LeadElbowLaunchDeg: some(elbow(launchS)), LeadElbowSlotDeg: some(elbow(slotS)), LeadElbowLagDeg: some(elbow(lagS)),
			LeadElbowContactDeg: some(elbow(0)), LeadElbowStraightS: some(straight),
			ElbowHipSlotM:   some(math.Abs(at(slot.backElbow)[0] - at(slot.backHipMark)[0])),
			HandsElbowSlotM: some(math.Abs(at(s.Hands(slotS))[0] - at(slot.backElbow)[0])),
			HandsBuckleLagM: some(at(s.Hands(lagS))[0] - at(lag.buckle)[0]),
			HeadDriftM:      some(dist(h0, h1)),
			ShoulderOpenDeg: some(wrapDeg(line(slotS) - line(launchS))),
			HandsPathM:      some(arc), HandsStraightness: some(dist(first, last) / arc),
		}
	}
	return fill(flat), fill(shown)
}

func dist(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// angleDeg is the angle at b between a and c.
func angleDeg(a, b, c [2]float64) float64 {
	ux, uz, vx, vz := a[0]-b[0], a[1]-b[1], c[0]-b[0], c[1]-b[1]
	return math.Abs(math.Atan2(ux*vz-uz*vx, ux*vx+uz*vz)) / degree
}
