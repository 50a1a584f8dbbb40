package scene

import "math"

// outfit is what a person wears.
type outfit struct {
	jersey, sleeve, pants, skin, cap, glove, shoe rgb
	helmet, longSleeve                            bool
	seed                                          uint64
}

func newOutfit(rnd *noise) outfit {
	jerseys := []rgb{{0.75, 0.75, 0.72}, {0.10, 0.13, 0.22}, {0.30, 0.30, 0.31}, {0.05, 0.06, 0.07}}
	pants := []rgb{{0.62, 0.62, 0.60}, {0.26, 0.27, 0.28}, {0.07, 0.08, 0.12}}
	skins := []rgb{{0.54, 0.31, 0.21}, {0.40, 0.22, 0.14}, {0.22, 0.11, 0.07}, {0.11, 0.055, 0.035}}
	caps := []rgb{{0.03, 0.04, 0.09}, {0.02, 0.02, 0.025}, {0.16, 0.17, 0.18}}
	pick := func(c []rgb) rgb { return c[int(rnd.next()%uint64(len(c)))] }
	o := outfit{
		jersey: pick(jerseys), pants: pick(pants), skin: pick(skins), cap: pick(caps),
		glove: rgb{0.05, 0.05, 0.055}, shoe: rgb{0.03, 0.03, 0.03}, helmet: true, seed: rnd.next(),
	}
	o.sleeve = o.jersey
	return o
}

// figure is the person q as capsules.
func (q pose) figure(o outfit, farSide bool) []capsule {
	k := 0.35 + 0.65*q.tall
	out := make([]capsule, 0, 48)
	add := func(a, b Vec, ra, rb float64, c rgb, weave float32) {
		out = append(out, capsule{a, b, ra * k, rb * k, c, weave, o.seed + uint64(len(out)), farSide})
	}
	// Trunk.
	mid := q.chest.lerp(q.pelvis, 0.5)
	add(q.chest.add(Vec{0, 0, -0.04}), mid, 0.125, 0.125, o.jersey, 0.35)
	add(mid, q.pelvis.add(Vec{0, 0, 0.07}), 0.125, 0.12, o.jersey, 0.35)
	add(q.leadShoulder.lerp(q.chest, 0.15), q.leadHip.lerp(mid, 0.35), 0.085, 0.105, o.jersey, 0.3)
	add(q.backShoulder.lerp(q.chest, 0.15), q.backHip.lerp(mid, 0.35), 0.085, 0.105, o.jersey, 0.3)
	add(q.leadShoulder, q.backShoulder, 0.075, 0.075, o.jersey, 0.3)
	belt := Vec{0, 0, 0.075}
	add(q.leadHip.lerp(q.pelvis, 0.3).add(belt), q.backHip.lerp(q.pelvis, 0.3).add(belt), 0.106, 0.106, rgb{0.02, 0.02, 0.022}, 0)
	add(q.leadHip.lerp(q.pelvis, 0.2), q.backHip.lerp(q.pelvis, 0.2), 0.118, 0.118, o.pants, 0.25)
	// Legs.
	for _, leg := range [2][4]Vec{{q.leadHip, q.leadKnee, q.leadAnkle, q.leadToe}, {q.backHip, q.backKnee, q.backAnkle, q.backToe}} {
		add(leg[0], leg[1], 0.098, 0.066, o.pants, 0.3)
		calf := leg[1].lerp(leg[2], 0.35)
		add(leg[1], calf, 0.064, 0.064, o.pants, 0.3)
		add(calf, leg[2], 0.064, 0.046, o.pants, 0.3)
		heel := leg[2].add(leg[2].sub(leg[3]).mul(0.25)).add(Vec{0, 0, -0.03})
		add(heel, leg[3], 0.045, 0.038, o.shoe, 0)
	}
	// Arms.
	for _, arm := range [2][4]Vec{{q.leadShoulder, q.leadElbow, q.leadWrist, q.leadHand}, {q.backShoulder, q.backElbow, q.backWrist, q.backHand}} {
		cuff := arm[0].lerp(arm[1], 0.72)
		fore := o.skin
		if o.longSleeve {
			fore = o.sleeve
		}
		add(arm[0], cuff, 0.070, 0.058, o.sleeve, 0.3)
		add(cuff, arm[1], 0.049, 0.044, fore, 0.05)
		add(arm[1], arm[2], 0.045, 0.031, fore, 0.05)
		add(arm[2], arm[3], 0.034, 0.040, o.glove, 0)
		add(arm[3].add(Vec{0.012, 0, 0}), arm[3].add(Vec{-0.012, 0, 0}), 0.043, 0.043, o.glove, 0)
	}
	// Head.
	add(q.neck, q.head.add(Vec{0, 0, -0.05}), 0.055, 0.058, o.skin, 0)
	add(q.head.add(Vec{0, 0, -0.055}).add(q.gaze.mul(0.02)), q.head, 0.075, 0.088, o.skin, 0)
	top := q.head.add(Vec{0, 0, 0.045})
	if o.helmet {
		add(top, top.sub(q.gaze.mul(0.03)), 0.112, 0.110, o.cap, 0)
		add(q.head.sub(q.gaze.mul(0.035)), top, 0.100, 0.108, o.cap, 0)
	} else {
		add(top, top.sub(q.gaze.mul(0.02)), 0.095, 0.093, o.cap, 0)
	}
	peak := q.head.add(Vec{0, 0, 0.045}).add(q.gaze.mul(0.09))
	add(peak, peak.add(q.gaze.mul(0.075)), 0.026, 0.018, o.cap, 0)
	return out
}

// bands are the coloured bands on the joints, as capsules just proud of them.
func (q pose) bands(names []string, colourOf func(string) string) []capsule {
	k := 0.35 + 0.65*q.tall
	var out []capsule
	add := func(name string, a, b Vec, r float64) {
		out = append(out, capsule{a: a, b: b, ra: r * k, rb: r * k, colour: hex(colourOf(name))})
	}
	to := func(a, b Vec, d float64) Vec { return a.add(b.sub(a).unit().mul(d)) }
	for _, n := range names {
		switch n {
		case "lead_elbow":
			add(n, q.leadElbow, to(q.leadElbow, q.leadShoulder, 0.028), 0.054)
			add(n, q.leadElbow, to(q.leadElbow, q.leadHand, 0.028), 0.054)
		case "back_elbow":
			add(n, q.backElbow, to(q.backElbow, q.backShoulder, 0.028), 0.054)
			add(n, q.backElbow, to(q.backElbow, q.backHand, 0.028), 0.054)
		case "lead_wrist":
			add(n, to(q.leadWrist, q.leadElbow, 0.016), to(q.leadWrist, q.leadHand, 0.016), 0.042)
		case "lead_shoulder":
			// Around the sleeve below the shoulder: on the shoulder itself the shirt hides it.
			add(n, to(q.leadShoulder, q.leadElbow, 0.09), to(q.leadShoulder, q.leadElbow, 0.13), 0.072)
		case "back_hip":
			add(n, q.backHipMark, q.backHipMark, 0.042)
		case "belt_buckle":
			add(n, q.buckle, q.buckle, 0.038)
		}
	}
	return out
}

// standing is a person at ease at (x, y) who looks along dir; stride 0 stands,
// else phase turns with the walk.
func standing(x, y float64, dir Vec, tall, stride, phase float64) pose {
	var q pose
	q.tall = tall
	q.face, q.gaze = dir, dir
	side := Vec{-dir.Y, dir.X, 0}
	at := Vec{x, y, 0}
	up := func(z float64) Vec { return at.add(Vec{0, 0, z * tall}) }
	q.pelvis, q.chest, q.neck, q.head = up(0.95), up(1.40), up(1.47), up(1.63)
	q.buckle = q.pelvis.add(dir.mul(0.13))
	q.leadHip, q.backHip = q.pelvis.add(side.mul(0.12)), q.pelvis.sub(side.mul(0.12))
	q.backHipMark = q.backHip
	q.leadShoulder, q.backShoulder = q.chest.add(side.mul(0.19)), q.chest.sub(side.mul(0.19))
	sn := math.Sin(phase) * stride
	q.leadAnkle = at.add(side.mul(0.12)).add(dir.mul(0.28 * sn)).add(Vec{0, 0, 0.09 + 0.05*math.Max(0, math.Cos(phase))*stride})
	q.backAnkle = at.sub(side.mul(0.12)).sub(dir.mul(0.28 * sn)).add(Vec{0, 0, 0.09 + 0.05*math.Max(0, -math.Cos(phase))*stride})
	q.leadToe, q.backToe = q.leadAnkle.add(dir.mul(0.16)).add(Vec{0, 0, -0.05}), q.backAnkle.add(dir.mul(0.16)).add(Vec{0, 0, -0.05})
	q.leadKnee = limb(q.leadHip, q.leadAnkle, 0.45*tall, 0.45*tall, dir)
	q.backKnee = limb(q.backHip, q.backAnkle, 0.45*tall, 0.45*tall, dir)
	arm := func(shoulder Vec, swing float64) (elbow, wrist, hand Vec) {
		hand = shoulder.add(dir.mul(0.06 - 0.2*swing)).add(Vec{0, 0, -0.55 * tall})
		elbow = limb(shoulder, hand, 0.29*tall, 0.31*tall, dir.mul(-1))
		return elbow, hand.lerp(elbow, 0.22), hand
	}
	q.leadElbow, q.leadWrist, q.leadHand = arm(q.leadShoulder, sn)
	q.backElbow, q.backWrist, q.backHand = arm(q.backShoulder, -sn)
	return q
}
