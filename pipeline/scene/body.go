package scene

import "math"

// pose is where the hitter's joints are, world metres.
type pose struct {
	head, neck, chest, pelvis, buckle            Vec
	leadShoulder, leadElbow, leadWrist, leadHand Vec
	backShoulder, backElbow, backWrist, backHand Vec
	leadHip, leadKnee, leadAnkle, leadToe        Vec
	backHip, backKnee, backAnkle, backToe        Vec
	face, gaze, backHipMark                      Vec // where chest and head look; the hip's band
	tall                                         float64
}

// limb bends a two-bone limb from a to b; the joint lies towards pole. A limb
// that cannot reach is stretched.
func limb(a, b Vec, upper, lower float64, pole Vec) Vec {
	d := b.sub(a)
	r := d.norm()
	if r >= (upper+lower)*0.999 {
		return a.add(d.mul(upper / (upper + lower)))
	}
	e := d.mul(1 / r)
	x := (upper*upper - lower*lower + r*r) / (2 * r)
	h := math.Sqrt(math.Max(0, upper*upper-x*x))
	n := pole.sub(e.mul(pole.dot(e))).unit()
	return a.add(e.mul(x)).add(n.mul(h))
}

// shoulderM is from the middle of the chest to a shoulder, for a hitter of 1.80 m.
const shoulderM = 0.19

// drop is how far the hitter bends down to a low ball, m.
func (s *swing) drop(t float64) float64 {
	return clamp(s.shift.Z, -0.35, 0.2) * 0.45 * (ease(t, -0.2, 0) - ease(t, 0.05, 0.3))
}

// shouldersDeg is where the shoulders' line points, seen from above.
func shouldersDeg(t float64) float64 {
	return -20 - 6*ease(t, -0.5, -0.2) + 96*logistic(t, -0.035, 0.12) + 26*logistic(t, 0.08, 0.16)
}

// chest is the middle between the shoulders, and the direction from it to the lead
// one.
func (s *swing) chest(t, tall float64) (chest, side Vec) {
	deg := shouldersDeg(t)
	chest = Vec{s.shift.X, s.shift.Y, 0}.add(Vec{-0.17 + 0.09*ease(t, -0.3, 0.02), 0.80, 1.40*tall + s.drop(t) - 0.02*ease(t, -0.15, 0)})
	return chest, Vec{math.Cos(deg * degree), math.Sin(deg * degree), 0.12 - 0.20*(1-ease(t, -0.2, -0.02)) + 0.1*ease(t, -0.1, 0.03)}
}

// pose gives the right-handed hitter at swing time t: hips lead shoulders, and
// shoulders lead the hands.
func (s *swing) pose(t, tall float64) pose {
	grip, dir := s.at(t)
	root := Vec{s.shift.X, s.shift.Y, 0}
	drop := s.drop(t)
	hipDeg := -14 + 92*logistic(t, -0.075, 0.13) + 8*ease(t, 0, 0.3)
	shoulderDeg := shouldersDeg(t)
	shiftX := 0.10 * ease(t, -0.35, 0.02)

	var q pose
	q.tall = tall
	q.pelvis = root.add(Vec{-0.20 + shiftX, 0.86, 0.96*tall + 0.6*drop - 0.03})
	var sh Vec
	q.chest, sh = s.chest(t, tall)
	q.neck = q.chest.add(Vec{0.02, -0.02, 0.07 * tall})
	q.head = root.add(Vec{-0.11 + 0.05*ease(t, -0.3, 0.02), 0.74, 1.62*tall + 0.9*drop - 0.03*ease(t, -0.2, 0)})
	q.face = Vec{math.Sin(shoulderDeg * degree), -math.Cos(shoulderDeg * degree), 0}
	q.leadShoulder = q.chest.add(sh.mul(shoulderM * tall))
	q.backShoulder = q.chest.sub(sh.mul(shoulderM * tall))
	hip := Vec{math.Cos(hipDeg * degree), math.Sin(hipDeg * degree), 0}
	hipFace := Vec{hip.Y, -hip.X, 0}
	q.leadHip, q.backHip = q.pelvis.add(hip.mul(0.13*tall)), q.pelvis.sub(hip.mul(0.13*tall))
	q.backHipMark = q.backHip.add(hipFace.mul(0.085 * tall)).sub(hip.mul(0.045 * tall)).add(Vec{0, 0, -0.02})
	q.gaze = Vec{1, -0.15, -0.15}.unit()
	q.buckle = q.pelvis.add(hipFace.mul(0.105 * tall)).add(Vec{0, 0, 0.05})

	q.leadHand = grip.sub(dir.mul(0.045))
	q.backHand = grip.add(dir.mul(0.045))
	slot := ease(t, s.slotS-0.06, s.slotS+0.06)
	q.leadElbow = limb(q.leadShoulder, q.leadHand, 0.29*tall, 0.31*tall, Vec{0.25, -0.5, -1})
	q.backElbow = limb(q.backShoulder, q.backHand, 0.29*tall, 0.31*tall, Vec{-0.9 + s.tuck*slot, 0.15 - 0.15*slot, -0.8})
	wrist := func(elbow, hand Vec) Vec { return hand.add(elbow.sub(hand).unit().mul(0.075)) }
	q.leadWrist, q.backWrist = wrist(q.leadElbow, q.leadHand), wrist(q.backElbow, q.backHand)

	stride := ease(t, -0.46, -0.19)
	lift := 0.07 * math.Sin(math.Pi*stride)
	q.leadAnkle = root.add(Vec{0.04 + 0.24*stride, 0.84, 0.09 + lift})
	q.leadToe = q.leadAnkle.add(Vec{0.05 + 0.09*stride, -0.16, -0.05})
	pivot := ease(t, -0.12, 0.08)
	q.backAnkle = root.add(Vec{-0.52 + 0.05*pivot, 0.86 - 0.02*pivot, 0.09 + 0.07*pivot})
	q.backToe = root.add(Vec{-0.49 + 0.13*pivot, 0.70 + 0.03*pivot, 0.04})
	q.leadKnee = limb(q.leadHip, q.leadAnkle, 0.45*tall, 0.45*tall, hipFace.add(Vec{0.5, -0.6, 0}))
	q.backKnee = limb(q.backHip, q.backAnkle, 0.45*tall, 0.45*tall, hipFace.add(Vec{0.2, -0.5, 0}))
	return q
}

// points are where the joints are.
func (q *pose) points() []*Vec {
	return []*Vec{
		&q.head, &q.neck, &q.chest, &q.pelvis, &q.buckle, &q.leadShoulder, &q.leadElbow, &q.leadWrist, &q.leadHand,
		&q.backShoulder, &q.backElbow, &q.backWrist, &q.backHand, &q.leadHip, &q.leadKnee, &q.leadAnkle, &q.leadToe,
		&q.backHip, &q.backKnee, &q.backAnkle, &q.backToe, &q.backHipMark,
	}
}

// flip mirrors the pose for a left-handed hitter.
func (q pose) flip(side float64) pose {
	if side > 0 {
		return q
	}
	for _, v := range append(q.points(), &q.face, &q.gaze) {
		*v = v.flip(-1)
	}
	return q
}

// shift moves the pose.
func (q *pose) shift(by Vec) {
	for _, v := range q.points() {
		*v = v.add(by)
	}
}

// joints names the points that a band can mark, and the head.
func (q pose) joints() map[string]Vec {
	return map[string]Vec{
		"lead_elbow": q.leadElbow, "back_elbow": q.backElbow, "lead_shoulder": q.leadShoulder,
		"back_shoulder": q.backShoulder, "lead_wrist": q.leadWrist, "back_hip": q.backHipMark, "belt_buckle": q.buckle, "head": q.head,
	}
}
