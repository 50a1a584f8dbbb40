package metrics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// flatSwing is a swing in closed form that stays in the plane of the pitch: hands on a
// straight way, the bat turning about them from behind over the ground to the front and
// up. Everything before contact goes with the cube of u, the share of the swing that is
// past, and so every speed with its square.
const (
	flatS      = 0.2  // from rest to contact
	flatLeverM = 0.6  // hands to barrel
	flatTurn   = 2.2  // rad, up to contact
	flatAtRad  = 4.8  // of the bat at contact, from the pitcher's direction upwards: 275°
	flatFadeS  = 0.2  // in which it slows down after contact
	flatKept   = 0.86 // of all speeds, at contact
)

// flatHandsM is the hands' way to contact.
var flatHandsM = [2]float64{0.5, -0.25}

func flatAt(t float64) (hands, barrel [2]float64) {
	u := math.Max(0, 1+t/flatS)
	way, angle := u*u*u, flatAtRad+flatTurn*(u*u*u-1)
	if t > 0 {
		past := flatFadeS * (1 - math.Exp(-t/flatFadeS)) // even at first
		way, angle = 1+flatKept*3*past/flatS, flatAtRad+flatKept*flatTurn*3*past/flatS
	}
	s, c := math.Sincos(angle)
	hands = [2]float64{-0.5 + flatHandsM[0]*way, 0.8 + flatHandsM[1]*way}
	return hands, [2]float64{hands[0] + flatLeverM*c, hands[1] + flatLeverM*s}
}

// flatVel are their velocities by differences, on the side of contact on which t lies,
// contact itself before the impact.
func flatVel(t float64) (hands, barrel [2]float64) {
	const h = 1e-6
	a, b := t-h, t+h
	if t <= 0 {
		b = math.Min(b, 0)
	} else {
		a = math.Max(a, 1e-12)
	}
	h0, b0 := flatAt(a)
	h1, b1 := flatAt(b)
	for k := range hands {
		hands[k], barrel[k] = (h1[k]-h0[k])/(b-a), (b1[k]-b0[k])/(b-a)
	}
	return hands, barrel
}

func flatSpeed(t float64) float64 {
	_, v := flatVel(t)
	return math.Hypot(v[0], v[1])
}

// where finds when f changes its sign between two times, by halving.
func where(f func(t float64) float64, from, to float64) float64 {
	for range 60 {
		mid := (from + to) / 2
		if f(from)*f(mid) <= 0 {
			to = mid
		} else {
			from = mid
		}
	}
	return from
}

// flatCourse is the swing as a course, without film or fit.
func flatCourse() course {
	at := func(k int) func(t float64) (pos, vel [2]float64) {
		return func(t float64) (pos, vel [2]float64) {
			h, b := flatAt(t - 1)
			hv, bv := flatVel(t - 1)
			return [2][2]float64{h, b}[k], [2][2]float64{hv, bv}[k]
		}
	}
	return course{
		barrel: at(1), hands: at(0), shown: at(0), tc: 1, from: 0.8, to: 1.4, scaled: true,
		behind: [2]float64{-1, 0}, stretch: 1, threshold: 0.10,
	}
}

// The key positions of a swing in closed form. Launch: by definition a tenth of the peak
// speed, which solving the closed form for it gives too. Lag: the bat points straight
// back along the pitch, at 180°, or at 186° from a pitch that falls by 6°. Finish: it
// points at 450° and up, but for the hands' own sinking.
func TestKeysInClosedForm(t *testing.T) {
	t.Parallel()
	angle := func(deg float64) float64 {
		return where(func(t float64) float64 {
			u := 1 + t/flatS
			return flatAtRad + flatTurn*(u*u*u-1) - deg*math.Pi/180
		}, -flatS, 0)
	}
	for _, c := range []struct {
		name string
		with func(*course)
		lag  float64
	}{
		{"level pitch", func(*course) {}, angle(180)},
		{"falling pitch", func(c *course) {
			s, k := math.Sincos(6 * math.Pi / 180)
			c.behind = [2]float64{-k, -s}
		}, angle(186)},
		{"without a scale", func(c *course) { c.scaled = false }, angle(180)},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			course := flatCourse()
			c.with(&course)
			f := noFigures()
			if launch := course.fill(&f, body{}); !near(launch-course.tc, f.keyS[catalogue.Launch], 1e-12) {
				t.Errorf("launch %g s, key %g s", launch, f.keyS[catalogue.Launch])
			}
			// Before contact the peak is at it; what the barrel does after it counts not.
			launch := where(func(t float64) float64 { return flatSpeed(t) - 0.1*flatSpeed(0) }, -flatS, 0)
			finish := where(func(t float64) float64 { _, v := flatVel(t); return v[1] }, 0.1, 0.2)
			front := where(func(t float64) float64 { _, v := flatVel(t); return v[0] }, 0.02, 0.12)
			for k, want := range map[catalogue.Key]float64{catalogue.Launch: launch, catalogue.Lag: c.lag, catalogue.Finish: finish, catalogue.Contact: 0} {
				if !near(f.keyS[k], want, courseStepS) {
					t.Errorf("%s at %.2f ms, want %.2f", k.Path(), 1000*f.keyS[k], 1000*want)
				}
			}
			want := map[catalogue.Metric]float64{
				catalogue.TempoLaunchContactS: -launch, catalogue.TempoLaunchLagS: c.lag - launch, catalogue.TempoLagContactS: -c.lag,
			}
			_, at0 := flatAt(0)
			_, high := flatAt(finish)
			_, far := flatAt(front)
			v, _ := flatVel(0)
			u := 1 + launch/flatS
			if scaled := course.scaled; scaled {
				want[catalogue.FinishHeightM] = high[1] - at0[1]
				want[catalogue.FinishExtensionM], want[catalogue.FinishExtensionS] = far[0]-at0[0], front
				// A straight way: its length by hand, and straightness 1.
				want[catalogue.BodyHandsPathM] = math.Hypot(flatHandsM[0], flatHandsM[1]) * (1 - u*u*u)
				want[catalogue.BodyHandsStraightness] = 1
				want[catalogue.SpeedHandsPeakMPS] = math.Hypot(v[0], v[1])
			}
			for m := range catalogue.NumMetrics {
				w, ok := want[m]
				if got := f.metric[m]; ok && !near(got, w, 1e-3*math.Max(1, math.Abs(w))) || !ok && !math.IsNaN(got) {
					t.Errorf("%s: %.5f, want %.5f (%v)", m.Path(), got, w, ok)
				}
			}
		})
	}
}

// By hand: hands on a half circle of 20 cm go π·0.2 m and end up 0.4 m from where they
// began. Stretched by a tenth, lengths are a tenth longer and straightness is the same.
func TestHandsPathOnAnArc(t *testing.T) {
	t.Parallel()
	round := func(t float64) (pos, vel [2]float64) {
		s, c := math.Sincos(math.Pi * (t - 0.8) / flatS)
		return [2]float64{0.2 * c, 0.2 * s}, [2]float64{-math.Pi * s, math.Pi * c}
	}
	c := flatCourse()
	c.hands, c.shown, c.stretch = round, round, 1.1
	f := noFigures()
	c.handsPath(&f, 0.8)
	for m, want := range map[catalogue.Metric]float64{
		catalogue.BodyHandsPathM: 1.1 * 0.2 * math.Pi, catalogue.BodyHandsStraightness: 2 / math.Pi, catalogue.SpeedHandsPeakMPS: 1.1 * math.Pi,
	} {
		if got := f.metric[m]; !near(got, want, 2e-3*want) {
			t.Errorf("%s: %.5f, want %.5f", m.Path(), got, want)
		}
	}
}

// A finish that is still on its way where the last was seen of it is not known, and
// neither is a launch before what was seen.
func TestKeysBeyondWhatWasSeen(t *testing.T) {
	t.Parallel()
	c := flatCourse()
	c.from, c.to = 0.88, 1.1
	f := noFigures()
	c.fill(&f, body{})
	for k, want := range map[catalogue.Key]bool{catalogue.Launch: false, catalogue.Finish: false, catalogue.Lag: true} {
		if known := !math.IsNaN(f.keyS[k]); known != want {
			t.Errorf("%s at %g s, known should be %v", k.Path(), f.keyS[k], want)
		}
	}
	// 5 ms past the highest it is known.
	finish := where(func(t float64) float64 { _, v := flatVel(t); return v[1] }, 0.1, 0.2)
	for past, want := range map[float64]bool{0.004: false, 0.007: true} {
		c.to = 1 + finish + past
		f := noFigures()
		if c.fill(&f, body{}); math.IsNaN(f.keyS[catalogue.Finish]) == want {
			t.Errorf("finish %g s after the highest: %g s, known should be %v", past, f.keyS[catalogue.Finish], want)
		}
	}
}

// flatTrack is a film of the swing without any shape of its bands, so that no bat can be
// fitted, and the card's completion. Sightings state an s.d. of a tenth of a pixel, and
// are off by noisePx.
func flatTrack(card Card, noisePx float64) (Track, Card) {
	rng := rand.New(rand.NewPCG(11, 3))
	const fps = 240.0
	card.Kind, card.Camera.DistanceM, card.Camera.Pitcher = "machine", 6, "right"
	view := geom.View{FocalPx: 1200, CX: 639.5, CY: 359.5, DistanceM: 6, Sign: 1, Lens: true}
	px := func(p [2]float64) geom.Point { return view.Project(geom.World{X: p[0], Z: p[1] - 0.6}) }
	card.Scale = []Scale{{Points: []geom.Point{px([2]float64{-0.5, 0}), px([2]float64{0.5, 0})}, LengthM: 1}}
	card.Marks = Marks{Barrel: &Mark{}, Hands: &Mark{}}
	tr := Track{WidthPx: 1280, HeightPx: 720, ExposureS: 1e-6, ExposureSDS: 1e-7}
	_, meet := flatAt(0)
	var ball BallFlight
	for i := range 140 {
		at := float64(i)/fps - 0.2487
		h, b := flatAt(at)
		put := func(p [2]float64) Sample {
			q := px(p)
			return Sample{Frame: i, TimeS: 2 + at, XPx: q[0] + noisePx*rng.NormFloat64(), YPx: q[1] + noisePx*rng.NormFloat64(), VarXX: 0.01, VarYY: 0.01, How: Seen}
		}
		tr.TimesS = append(tr.TimesS, 2+at)
		tr.Barrel, tr.Hands = append(tr.Barrel, put(b)), append(tr.Hands, put(h))
		// 35 m/s in, falling by 6° at the bat; and out again, from 4 cm before the barrel.
		s, c := math.Sincos(6 * math.Pi / 180)
		v := [2]float64{-35 * c, -35 * s}
		if at > 0 {
			v = [2]float64{38, 9}
		}
		p := put([2]float64{meet[0] + 0.04*c + v[0]*at, meet[1] + 0.04*s + v[1]*at - 4.9*at*at})
		switch {
		case p.XPx < 0 || p.XPx > 1279:
		case at < 0:
			ball.In = append(ball.In, p)
		default:
			ball.Out = append(ball.Out, p)
		}
	}
	tr.Balls, tr.Swings = []BallFlight{ball}, []Span{{0, 140}}
	return tr, card
}

// filmFlat measures that film without intervals.
func filmFlat(t *testing.T, card Card, noisePx float64) (paths, motion, wholePath, figures) {
	t.Helper()
	tr, card := flatTrack(card, noisePx)
	p, ok := pathsOf(sightedIn(settingOf(tr, card), tr, 0))
	if !ok {
		t.Fatal("no paths")
	}
	m, ok := motionOf(p, nuisance{}, 0, nil)
	if !ok || m.bat != nil {
		t.Fatalf("motion %v, bat %v", ok, m.bat)
	}
	whole, ok := wholeOf(p, m)
	if !ok {
		t.Fatal("no whole path")
	}
	return p, m, whole, figuresOf(p, m, whole, nil)
}

// What is measured of a film of the swing is what its closed form says, from the paths in
// the picture to the figures: key positions by root finding, angles and speeds by
// differences, the zone by looking through it at every hundredth of a millisecond.
func TestFilmedInThePlane(t *testing.T) {
	t.Parallel()
	for name, limits := range map[string]Tolerances{"narrow": {DirectionDeg: 14, DistanceM: 0.06}, "wide": {DirectionDeg: 80, DistanceM: 0.5}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			filmedInThePlane(t, limits)
		})
	}
}

func filmedInThePlane(t *testing.T, limits Tolerances) {
	t.Helper()
	p, m, _, f := filmFlat(t, Card{Tolerances: limits}, 0)
	if m.contact.How != contact.Turn || !near(m.contact.TimeS, 2, 1e-4) {
		t.Fatalf("contact by %s at %.5f s", m.contact.How, m.contact.TimeS)
	}
	launch := where(func(t float64) float64 { return flatSpeed(t) - 0.1*flatSpeed(0) }, -flatS, 0)
	lag := where(func(t float64) float64 {
		u := 1 + t/flatS
		return flatAtRad + flatTurn*(u*u*u-1) - 186*math.Pi/180
	}, -flatS, 0)
	finish := where(func(t float64) float64 { _, v := flatVel(t); return v[1] }, 0.1, 0.2)
	for k, want := range map[catalogue.Key]float64{catalogue.Launch: launch, catalogue.Lag: lag, catalogue.Finish: finish} {
		// Frames are 4.2 ms apart: smoothing leaves less than a third of that.
		if !near(f.keyS[k], want, 0.0013) {
			t.Errorf("%s at %.2f ms, want %.2f", k.Path(), 1000*f.keyS[k], 1000*want)
		}
	}

	// The line: through the ball's place at contact, falling by 6°.
	s, c := math.Sincos(6 * math.Pi / 180)
	_, meet := flatAt(0)
	near0 := func(t float64) (along, off, deg float64) {
		_, b := flatAt(t)
		_, v := flatVel(t)
		x, z := b[0]-meet[0]-0.04*c, b[1]-meet[1]-0.04*s
		return x*c + z*s, c*z - s*x, math.Atan2(v[1], v[0])*180/math.Pi - 6
	}
	run := func(in func(off, deg float64) bool) (enter, leave float64) {
		const step = 1e-5
		_, o, d := near0(0)
		if !in(o, d) {
			t.Fatalf("at contact %.4f m, %.2f° off the line", o, d)
		}
		for _, o, d := near0(enter - step); in(o, d); _, o, d = near0(enter - step) {
			enter -= step
		}
		for _, o, d := near0(leave + step); in(o, d); _, o, d = near0(leave + step) {
			leave += step
		}
		return enter, leave
	}
	isNear := func(off, _ float64) bool { return math.Abs(off) <= limits.DistanceM }
	isAlong := func(_, deg float64) bool { return math.Abs(deg) <= limits.DirectionDeg }
	enter, leave := run(func(o, d float64) bool { return isNear(o, d) && isAlong(o, d) })
	nearS, nearToS := run(isNear)
	alongS, alongToS := run(isAlong)
	from, _, _ := near0(enter)
	at0, off0, gap := near0(0)
	to, _, _ := near0(leave)
	for m, want := range map[catalogue.Metric][2]float64{ // and how near
		catalogue.PitchDescentDeg: {6, 0.05}, catalogue.PlaneAttackDeg: {gap + 6, 0.1}, catalogue.PlaneGapDeg: {gap, 0.1},
		catalogue.PlaneOffsetM: {off0, 1e-3}, catalogue.PitchSpeedMPS: {35, 0.3}, // the film's ball has no drag

		catalogue.SpeedBarrelContactMPS: {flatSpeed(0), 0.1}, catalogue.SpeedBarrelPeakMPS: {flatSpeed(0), 0.1},
		catalogue.ZoneEnterS: {enter, 3e-4}, catalogue.ZoneLeaveS: {leave, 3e-4}, catalogue.ZoneDurationS: {leave - enter, 4e-4},
		catalogue.ZoneNearEnterS: {nearS, 3e-4}, catalogue.ZoneNearLeaveS: {nearToS, 3e-4}, catalogue.ZoneNearDurationS: {nearToS - nearS, 4e-4},
		catalogue.ZoneAlongEnterS: {alongS, 3e-4}, catalogue.ZoneAlongLeaveS: {alongToS, 3e-4}, catalogue.ZoneAlongDurationS: {alongToS - alongS, 4e-4},
		catalogue.ZoneLengthM: {to - from, 5e-3}, catalogue.ZoneBehindM: {at0 - from, 5e-3}, catalogue.ZoneAheadM: {to - at0, 5e-3},
	} {
		if got := f.metric[m]; !near(got, want[0], want[1]) {
			t.Errorf("%s: %.5f, want %.5f ± %g", m.Path(), got, want[0], want[1])
		}
	}
	if got := rate(p.sampledS()); !near(got, 240, 1e-6) {
		t.Errorf("%g frames a second", got)
	}
}

// sampledS are the times of the barrel's samples.
func (p paths) sampledS() []float64 {
	var out []float64
	for _, s := range p.barrel {
		out = append(out, s.TimeS)
	}
	return out
}

// A random course is off by what it says: with 2 % of scatter in the share of the peak
// that is launch, one of 1 % in u², launch scatters by half a per cent of u.
func TestRandomCourse(t *testing.T) {
	t.Parallel()
	p, m, whole, _ := filmFlat(t, Card{}, 0)
	rng := rand.New(rand.NewPCG(5, 6))
	const n = 2000
	var threshold, stretch [2]float64
	for range n {
		c := courseOf(p, m, whole, rng)
		for _, x := range []struct {
			of *[2]float64
			is float64
		}{{&threshold, math.Log(c.threshold / 0.10)}, {&stretch, c.stretch - 1}} {
			x.of[0] += x.is / n
			x.of[1] += x.is * x.is / n
		}
	}
	// Far from contact lengths are off by a tenth where depth is not known.
	for name, c := range map[string]struct {
		is [2]float64
		sd float64
	}{"threshold": {threshold, 0.02}, "stretch": {stretch, 0.10}} {
		// The s.d. of 2000 draws is known to 1.6 %.
		if got := math.Sqrt(c.is[1]); math.Abs(c.is[0]) > 4*c.sd/math.Sqrt(n) || !near(got, c.sd, 0.07*c.sd) {
			t.Errorf("%s: mean %.4f, s.d. %.4f, want 0 and %g", name, c.is[0], got, c.sd)
		}
	}
}

// A slow error is the parabola through three errors: its own values at −0.17 s, −0.085 s
// and contact, and by differences its rate.
func TestAstray(t *testing.T) {
	t.Parallel()
	a := astray{tc: 3, e: [3][2]float64{{0.01, -0.02}, {0.03, 0.01}, {-0.02, 0.04}}}
	for i, at := range []float64{3 - 0.17, 3 - 0.085, 3} {
		if p, _ := a.at(at); !near(p[0], a.e[i][0], 1e-12) || !near(p[1], a.e[i][1], 1e-12) {
			t.Errorf("at %g s: %v, want %v", at, p, a.e[i])
		}
	}
	const h = 1e-6
	for _, at := range []float64{2.7, 2.85, 2.9, 2.98, 3.1} {
		p, _ := a.at(at - h)
		q, _ := a.at(at + h)
		_, v := a.at(at)
		for k := range v {
			if want := (q[k] - p[k]) / (2 * h); !near(v[k], want, 1e-6) {
				t.Errorf("at %g s: rate %.6f, by difference %.6f", at, v[k], want)
			}
		}
	}
	// Third differences of a parabola vanish.
	var y [4]float64
	for i := range y {
		p, _ := a.at(2.85 + 0.03*float64(i))
		y[i] = p[0]
	}
	if d := y[3] - 3*y[2] + 3*y[1] - y[0]; !near(d, 0, 1e-12) {
		t.Errorf("bends by %g", d)
	}
	// Its s.d. is what was asked for.
	rng, sum := rand.New(rand.NewPCG(1, 2)), 0.0
	for range 3000 {
		p, _ := newAstray(0.02, 3, rng).at(3)
		sum += p[1] * p[1] / 3000
	}
	if sd := math.Sqrt(sum); !near(sd, 0.02, 0.001) {
		t.Errorf("s.d. %.4f m, want 0.02 m", sd)
	}
}

// The share of a swing in which the hands were hidden. By hand: of the 40.8 frames of
// 0.17 s at 240 fps 20 hold a sighting.
func TestHandsHidden(t *testing.T) {
	t.Parallel()
	s := sighted{setting: setting{fps: 240}}
	for i := range 20 {
		s.hands = append(s.hands, Sample{TimeS: 1 - float64(i)/240})
	}
	s.hands = append(s.hands, Sample{TimeS: 0.82}, Sample{TimeS: 1.01}) // before the swing, and after contact
	if got, want := handsHidden(s, 1), 1-20/40.8; !near(got, want, 1e-9) {
		t.Errorf("hidden %.4f, want %.4f", got, want)
	}
}

// flatPath is a motion of even speed as smoothed.
func flatPath(t *testing.T, vel [2]float64) *fit.Smoothed {
	t.Helper()
	var s []fit.Sample
	for i := range 61 {
		at := float64(i)/240 - 0.125
		s = append(s, fit.Sample{TimeS: at, Pos: [2]float64{vel[0] * at, vel[1] * at}, Cov: [2][2]float64{{1e-6, 0}, {0, 1e-6}}})
	}
	smoother := fit.Smoother{Order: aroundOrder, FitNoise: true}
	path, err := smoother.Fit(s)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// By hand: hands that move by 900 and −300 px/s where 200 px are a metre move by 4.5 m/s
// to the pitcher and 1.5 m/s up; seen from the other side, to the other side.
func TestHandsInThePlane(t *testing.T) {
	t.Parallel()
	path := flatPath(t, [2]float64{900, -300}).Mean()
	for _, sign := range []float64{1, -1} {
		c := planeCourse(path, path, geom.View{FocalPx: 1200, DistanceM: 6, Sign: sign, Lens: true}, 0)
		pos, vel := c.hands(0.1)
		if want := sign * 4.5; !near(vel[0], want, 1e-3) || !near(vel[1], 1.5, 1e-3) || !near(pos[0], want/10, 1e-4) || !near(pos[1], 0.15, 1e-4) {
			t.Errorf("sign %g: %v m, %v m/s", sign, pos, vel)
		}
		if c.threshold != 0.10 || c.stretch != 1 {
			t.Errorf("threshold %g, stretch %g, want a tenth and 1", c.threshold, c.stretch)
		}
	}
}

// Sightings that are off by three times what they state are taken for that unsure before
// motions are drawn from them, and one that lies far off for far more.
func TestScaledNoise(t *testing.T) {
	t.Parallel()
	tr, card := flatTrack(Card{}, 0.3)
	const stray = 55
	tr.Barrel[stray].YPx += 12
	p, _ := pathsOf(sightedIn(settingOf(tr, card), tr, 0))
	m, ok := motionOf(p, nuisance{}, 0, nil)
	if !ok {
		t.Fatal("no motion")
	}
	noisy, sum, n := scaledNoise(p, m), 0.0, 0.0
	for i, s := range noisy.barrel {
		k := s.VarXX / p.barrel[i].VarXX
		if !near(s.VarYY/p.barrel[i].VarYY, k, 1e-9) {
			t.Errorf("frame %d: %g along x, %g along y", i, k, s.VarYY/p.barrel[i].VarYY)
		}
		if i == stray {
			if k < 100 {
				t.Errorf("the stray's variance grows by %.1f", k)
			}
			continue
		}
		sum, n = sum+k, n+1
	}
	// Nine in the mean; a variance of 57 places in two axes is known to a seventh.
	if mean := sum / n; mean < 9*0.6 || mean > 9*1.6 {
		t.Errorf("variances grow by %.2f, want 9", mean)
	}
}

// Where the time of contact is known to a millisecond, and nothing else is unsure, an angle
// is known to what it turns in that: its rate in closed form.
func TestDrawsHeedTheTimeOfContact(t *testing.T) {
	t.Parallel()
	p, m, whole, _ := filmFlat(t, Card{}, 0)
	attack := func(t float64) float64 {
		_, v := flatVel(t)
		return math.Atan2(v[1], v[0]) * 180 / math.Pi
	}
	rate := math.Abs(attack(-0.002)-attack(-0.001)) / 0.001 // °/s
	spread := func(sdS float64) float64 {
		m := m
		m.contact.SDS = sdS
		var v []float64
		for _, d := range drawsOf(p, m, whole, 0, func(int) {}).draws {
			v = append(v, d.metric[catalogue.PlaneAttackDeg])
		}
		return stat.StdDev(v, nil)
	}
	// Half of the draws are after contact, where the swing turns more slowly. An s.d. of
	// 200 draws is known to 5 %.
	surely := spread(0)
	if got, want := math.Sqrt(math.Max(0, math.Pow(spread(0.001), 2)-surely*surely)), rate*0.001; got < 0.75*want || got > 1.2*want {
		t.Errorf("a millisecond of contact is %.3f° of attack, want %.3f°; the rest is %.3f°", got, want, surely)
	}
}

// By hand: with limits that nothing exceeds the zone is all that is looked at, 0.12 s each
// way but for a frame.
func TestZoneIsLookedForAroundContact(t *testing.T) {
	t.Parallel()
	_, _, _, f := filmFlat(t, Card{Tolerances: Tolerances{DirectionDeg: 179, DistanceM: 5}}, 0)
	if from, to := f.metric[catalogue.ZoneNearEnterS], f.metric[catalogue.ZoneNearLeaveS]; !near(from, -0.12, 1.0/240) || !near(to, 0.12, 1.0/240) {
		t.Errorf("from %.4f to %.4f s, want ±0.12", from, to)
	}
}

// By hand: a motion around contact that is 3 mm above the whole swing's is left for it with
// a time of 20 ms: 3 mm/e in 20 ms, of which a twentieth is left after 60 ms.
func TestEased(t *testing.T) {
	t.Parallel()
	path := flatPath(t, [2]float64{30, 0})
	s := sided{path: path.Mean(), motion: motion{dir: [2]float64{1, 0}}, from: -0.1, to: 0.1}
	c := course{from: -1, to: 1, barrel: func(t float64) (pos, vel [2]float64) {
		return [2]float64{30 * t, -0.003}, [2]float64{30, 0}
	}}
	at := eased(s, c, 0, -0.05, 0.04)
	for when, want := range map[float64]float64{0: 0, -0.05: 0, 0.04: 0, -0.07: -3 + 3/math.E, 0.06: -3 + 3/math.E, -0.11: -3 + 3*math.Exp(-3)} {
		if pos, vel := at(when); !near(1000*pos[1], want, 0.01) || !near(pos[0], 30*when, 1e-4) || !near(vel[0], 30, 0.05) {
			t.Errorf("at %g s: %.3f mm, %.2f m/s; want %.3f mm", when, 1000*pos[1], vel[0], want)
		}
	}
}

// A barrel is lost where the first long gap after contact begins: what it does in there or
// beyond is not its finish.
func TestLostAt(t *testing.T) {
	t.Parallel()
	at := func(times ...float64) []Sample {
		var out []Sample
		for _, x := range times {
			out = append(out, Sample{TimeS: x})
		}
		return out
	}
	for name, tc := range map[string]struct {
		seen []Sample
		want float64
	}{
		"seen throughout":     {at(0.9, 0.94, 0.98, 1.02, 1.06), math.Inf(1)},
		"lost before":         {at(0.8, 0.95, 0.99, 1.03), math.Inf(1)},
		"lost across contact": {at(0.96, 1.03, 1.05), 1},
		"lost after":          {at(0.98, 1.01, 1.04, 1.2, 1.22), 1.04},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if got := lostAt(tc.seen, 1); got != tc.want {
				t.Errorf("got %g, want %g", got, tc.want)
			}
		})
	}
}
