package scene

import "math"

// straightDeg is the elbow angle called straight.
const straightDeg = 160

// body measures the body as the picture shows it: pixels times the scale at the
// plate's centre.
func (s *Scene) body(to Numbers, launchS, slotS, lagS float64) {
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
	slot, lag := s.pose(slotS), s.pose(lagS)
	to.set("body.lead_elbow_launch_deg", elbow(launchS))
	to.set("body.lead_elbow_slot_deg", elbow(slotS))
	to.set("body.lead_elbow_lag_deg", elbow(lagS))
	to.set("body.lead_elbow_contact_deg", elbow(0))
	to.set("body.lead_elbow_straight_s", straight) // before contact, positive
	to.set("body.elbow_hip_slot_m", math.Abs(shown(slot.backElbow)[0]-shown(slot.backHipMark)[0]))
	to.set("body.hands_elbow_slot_m", math.Abs(shown(s.Hands(slotS))[0]-shown(slot.backElbow)[0]))
	to.set("body.hands_buckle_lag_m", shown(s.Hands(lagS))[0]-shown(lag.buckle)[0])
	to.set("body.head_drift_m", dist(shown(s.pose(launchS).head), shown(s.pose(0).head)))
	to.set("body.shoulder_open_deg", wrapDeg(line(slotS)-line(launchS)))
	arc := 0.0
	first := shown(s.Hands(launchS))
	last := first
	const n = 4000
	for i := 1; i <= n; i++ {
		p := shown(s.Hands(launchS * (1 - float64(i)/n)))
		arc += dist(p, last)
		last = p
	}
	to.set("body.hands_path_m", arc)
	to.set("body.hands_straightness", dist(first, last)/arc)
}

func dist(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// angleDeg is the angle at b between a and c.
func angleDeg(a, b, c [2]float64) float64 {
	ux, uz, vx, vz := a[0]-b[0], a[1]-b[1], c[0]-b[0], c[1]-b[1]
	return math.Abs(math.Atan2(ux*vz-uz*vx, ux*vx+uz*vz)) / degree
}
