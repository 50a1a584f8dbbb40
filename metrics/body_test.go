package metrics

import (
	"math"
	"testing"

	"ashline/metrics/bat"
	"ashline/metrics/catalogue"
)

// standing is a body whose joints stay where they are.
func standing(joints map[string][2]float64) body {
	b := body{joints: map[string]func(float64) ([2]float64, bool){}}
	for name, p := range joints {
		b.joints[name] = func(float64) ([2]float64, bool) { return p, true }
	}
	return b
}

// By hand: a right angle; and a band 5 cm wide around it, whose middle is 6.25 mm
// along either limb, shows the same right angle once that is undone.
func TestElbow(t *testing.T) {
	t.Parallel()
	limbs := map[string][2]float64{leadShoulder: {0, 0.25}, leadElbow: {0, 0}, leadWrist: {0.25, 0}}
	if got := standing(limbs).elbow(0, 0); !near(got, 90, 1e-9) {
		t.Errorf("%.4f°, want 90°", got)
	}
	limbs[leadElbow] = [2]float64{0.00625, 0.00625}
	if got := standing(limbs).elbow(0, 0.05); !near(got, 90, 0.05) {
		t.Errorf("with a band: %.4f°, want 90°", got)
	}
	delete(limbs, leadWrist)
	if got := standing(limbs).elbow(0, 0); !math.IsNaN(got) {
		t.Errorf("%g° without a wrist", got)
	}
}

// By hand: hands that speed up evenly from rest at launch to contact reach half of their
// greatest speed halfway. It is no slot when the barrel trails them most before that, nor
// when they are on their way at launch already.
func TestSlot(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		lead   float64 // m/s at launch
		launch float64
		lag    float64
		unseen bool
		want   float64
	}{
		{"evenly", 0, -0.16, -0.05, false, -0.08},
		{"lag comes first", 0, -0.16, -0.09, false, math.NaN()},
		{"on their way at launch", 9, -0.16, -0.05, false, math.NaN()},
		{"no launch", 0, math.NaN(), -0.05, false, math.NaN()},
		{"no lag", 0, -0.16, math.NaN(), false, math.NaN()},
		{"no hands", 0, -0.16, -0.05, true, math.NaN()},
	} {
		swing := course{hands: func(t float64) (pos, vel [2]float64) { return pos, [2]float64{c.lead + 50*(t+0.16), -3} }}
		if c.unseen {
			swing.hands = nil
		}
		if got := swing.slot(c.launch, c.lag); math.IsNaN(c.want) != math.IsNaN(got) || !math.IsNaN(c.want) && !near(got, c.want, courseStepS) {
			t.Errorf("%s: slot at %.5f s, want %.5f", c.name, got, c.want)
		}
	}
}

// An arm whose band goes half behind the trunk is still where it was: the middle of
// what is left is off by a quarter of the band's width.
func TestCoveredBand(t *testing.T) {
	t.Parallel()
	const wide, n = 40.0, 60
	joints := map[string][]Sample{}
	for i := range n {
		s := Sample{Frame: i, TimeS: float64(i) / 240, VarXX: 0.2, VarYY: 0.2, How: Seen}
		put := func(name string, x, y, w float64) {
			q := s
			q.XPx, q.YPx = x, y
			q.Shape = bat.Shape{Mass: 20 * w, SXX: w * w / 12, SYY: 20 * 20 / 12}
			joints[name] = append(joints[name], q)
		}
		put(leadElbow, 500, 400, wide)
		put(backHip, 400, 450, wide) // the trunk is at the arm's left
		if i < n/2 {
			put(leadShoulder, 500, 300, wide)
		} else {
			put(leadShoulder, 500+wide/4, 300, wide/2)
		}
	}
	l := limbsOf(Track{Joints: joints}, Span{0, n})[leadShoulder]
	for _, k := range []int{5, n - 5} {
		p := l.smooth.State(l.seen[k].TimeS, 0).Pos
		if !near(p[0], 500, 1) || !near(p[1], 300, 1) {
			t.Errorf("frame %d: %.1f, %.1f px, want 500, 300", k, p[0], p[1])
		}
	}
	if h := l.hidden(l.seen[n-5].TimeS); !near(h, 0.5, 0.01) {
		t.Errorf("hidden %.2f, want half", h)
	}
}

// What is hidden is missing; what is not is carried over a gap of a few frames.
func TestHiddenJoint(t *testing.T) {
	t.Parallel()
	var s []Sample
	for i := range 40 {
		if i < 10 || i > 15 && i < 20 || i > 34 {
			s = append(s, Sample{Frame: i, TimeS: float64(i) / 240, XPx: float64(i), VarXX: 0.2, VarYY: 0.2, How: Seen})
		}
	}
	l := limbsOf(Track{Joints: map[string][]Sample{leadElbow: s}}, Span{0, 40})[leadElbow]
	for frame, want := range map[float64]bool{5: true, 12.5: true, 18: true, 27: false, 36: true, 45: false, -1: false} {
		if got := l.known(frame / 240); got != want {
			t.Errorf("frame %g: known %v, want %v", frame, got, want)
		}
	}
}

// By hand: shoulders that are level at launch and a tenth up over their length at slot
// have turned by atan 0.1. The lead end is the network's, where a band is seen too.
func TestShoulders(t *testing.T) {
	t.Parallel()
	b := standing(map[string][2]float64{backShoulder: {0, 1.4}, leadShoulder: {0.4, 1.2}, ShoulderEnd: {0.4, 1.44}})
	if got := b.shoulders(0); !near(got, 5.7106, 1e-3) {
		t.Errorf("%.4f°, want 5.7106°", got)
	}
	delete(b.joints, ShoulderEnd)
	if got := b.shoulders(0); !near(got, -26.5651, 1e-3) {
		t.Errorf("without the network's: %.4f°, want −26.5651°", got)
	}
}

// By hand: an arm that opens evenly from 90° at 0.8 s to 170° at 1 s passes 160° at
// 0.975 s, 25 ms before contact. One that was hidden on the way, or never opens so far, is
// straight at no known time.
func TestStraight(t *testing.T) {
	t.Parallel()
	arm := func(most float64, hidden bool) body {
		b := standing(map[string][2]float64{leadShoulder: {0, 0.25}, leadElbow: {0, 0}})
		b.joints[leadWrist] = func(at float64) ([2]float64, bool) {
			s, c := math.Sincos((90 - (90 + (most-90)*(at-0.8)/0.2)) * math.Pi / 180)
			return [2]float64{0.25 * c, 0.25 * s}, !hidden || at < 0.9 || at > 0.92
		}
		return b
	}
	for _, c := range []struct {
		name   string
		most   float64
		hidden bool
		want   float64
	}{{"opens", 170, false, 0.025}, {"hidden on the way", 170, true, math.NaN()}, {"stays bent", 155, false, math.NaN()}} {
		got := course{tc: 1}.straight(arm(c.most, c.hidden), 0.8, 0)
		if math.IsNaN(got) != math.IsNaN(c.want) || !math.IsNaN(got) && !near(got, c.want, 2*courseStepS) {
			t.Errorf("%s: %.4f s before contact, want %.4f", c.name, got, c.want)
		}
	}
}

// By hand: a forearm of 25 cm that is seen 15 cm long points acos 0.6 = 53° out of the
// picture; one that is seen 22 cm long points 28° out of it, which is not worth a word.
func TestForeshortened(t *testing.T) {
	t.Parallel()
	for seen, want := range map[float64]string{
		0.15: "the angle in the picture: the forearm points about 53° out of it, so that the joint's own angle is another",
		0.22: "",
	} {
		b := standing(map[string][2]float64{leadShoulder: {0, 0.3}, leadElbow: {0, 0}, leadWrist: {seen, 0}})
		b.upperM, b.foreM = 0.3, 0.25
		if got := b.foreshortened(0); got != want {
			t.Errorf("%g m: %q, want %q", seen, got, want)
		}
	}
	b := body{joints: map[string]func(float64) ([2]float64, bool){}}
	for name, y := range map[string]float64{leadShoulder: 0.3, leadElbow: 0} {
		b.joints[name] = func(at float64) ([2]float64, bool) { return [2]float64{0, y * (1 - at*at)}, at > -0.5 }
	}
	if got := b.longest(leadShoulder, leadElbow, -0.8, 0.4); !near(got, 0.3, 1e-4) {
		t.Errorf("longest %.4f m, want 0.3", got)
	}
}

// What the body does at the key positions, by hand from joints that stand or go evenly.
func TestBodyAtTheKeys(t *testing.T) {
	t.Parallel()
	b := standing(map[string][2]float64{
		leadShoulder: {0, 0.25}, leadElbow: {0, 0}, leadWrist: {0.25, 0}, backHip: {-0.3, 0}, beltBuckle: {-0.2, 0}, backShoulder: {-0.4, 0.25},
	})
	b.joints[backElbow] = func(at float64) ([2]float64, bool) { return [2]float64{-0.3 + 3*(at-0.9), 0.1}, true } // over the hip at 0.9 s
	b.joints[head] = func(at float64) ([2]float64, bool) { return [2]float64{0.3 * at, 1.5 - 0.4*at}, true }
	c := course{tc: 1, scaled: true, stretch: 1.1, shown: func(at float64) (pos, vel [2]float64) { return [2]float64{-0.1 - at, 0.2}, vel }}
	f := noFigures()
	c.fillBody(&f, b, 0.8, 0.95, 0)
	for m, want := range map[catalogue.Metric]float64{
		catalogue.BodyLeadElbowLaunchDeg: 90, catalogue.BodyLeadElbowLagDeg: 90, catalogue.BodyLeadElbowContactDeg: 90,
		// 0.3 and 0.4 m a second over 0.2 s; hands at −1.05 m at lag, 0.85 m behind the buckle.
		catalogue.BodyHeadDriftM: 1.1 * 0.1, catalogue.BodyHandsBuckleLagM: 1.1 * -0.85,
	} {
		if got := f.metric[m]; !near(got, want, 1e-9) {
			t.Errorf("%s: %.4f, want %.4f", m.Path(), got, want)
		}
	}
	f = noFigures()
	c.scaled = false
	if c.fillBody(&f, b, 0.8, 0.95, 0); !math.IsNaN(f.metric[catalogue.BodyHeadDriftM]) || math.IsNaN(f.metric[catalogue.BodyLeadElbowLaunchDeg]) {
		t.Errorf("without a scale: %v", f.metric)
	}
	f = noFigures()
	if c.fillBody(&f, b, math.NaN(), 0.95, 0); !math.IsNaN(f.metric[catalogue.BodyLeadElbowLaunchDeg]) || !near(f.metric[catalogue.BodyLeadElbowLagDeg], 90, 1e-9) {
		t.Errorf("without a launch: %v", f.metric)
	}
}
