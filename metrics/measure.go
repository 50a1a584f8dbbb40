package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"ashline/metrics/bat"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// Study is a Result with the curves behind it, for drawing and for track.csv.
type Study struct {
	Result Result
	Swings []Curves
	track  Track
}

// Curves are the curves of one swing. Places are px of the steadied picture.
type Curves struct {
	Span     Span
	ContactS float64 // clip's clock
	Known    bool    // false when the swing could not be put into the plane
	View     geom.View
	// Barrel is the path of the bat's axis at the band, at any time of the span.
	Barrel func(t float64) geom.Point
	// Line is the pitch line at contact: two points, 1 m before and after it, and
	// the half-width of the zone in px; Tracked says there is one.
	Line     [2]geom.Point
	LinePx   float64
	Tracked  bool
	FirstS   float64 // of the drawn path
	LastS    float64
	limbs    map[string]limb
	samples  []Sample
	lifted   bool
	path     func(t float64) geom.Point // smoothed in the picture alone
	variance func(t float64) float64    // of path, px², the larger axis
	bat      *bat.Bat                   // nil when not known
	stray    map[int]bool               // frames in which the hands' mark is another thing
	// plane samples the swing in the plane of the pitch, planeAt is the barrel in it,
	// from contact; nil where it is not known.
	plane   func() PlanePath
	planeAt func(t float64) (pos, vel [2]float64)
}

// drawsPerSwing is the number of random motions behind an interval: the 2.5 %
// quantile of 200 has a relative error of about a tenth of the interval.
const drawsPerSwing = 200

// Measure computes everything for a clip's swings; tell, which may be nil, is told how
// far it is.
func Measure(t Track, c Card, tell Progress) Study {
	st := Study{track: t}
	st.Result = Result{Schema: SchemaVersion, Card: c, Swings: []Swing{}, Findings: []Finding{}}
	view, scale := NewView(c, t.WidthPx, t.HeightPx)
	view, scale = measuredView(view, scale, t, c)
	if t.ExposureS == 0 {
		t.ExposureS, t.ExposureSDS = exposure(t.Balls)
	}
	st.Result.Quality = quality(t, view, scale)
	p := &progress{total: len(t.Swings) * swingSteps, tell: tell}
	for i, sp := range t.Swings {
		in := &swingInput{card: c, view: view, scale: scale, barrel: inSpan(t.Barrel, sp), hands: inSpan(t.Hands, sp), fps: rate(t.TimesS), exposureS: t.ExposureS}
		in.reach = func(step int) { p.reach(i*swingSteps + step) }
		in.limbs = limbsOf(t, sp)
		in.reach(stepLimbs)
		if i < len(t.Balls) {
			in.ball = t.Balls[i]
		}
		sw, cur := in.measure(i, t, sp)
		in.reach(swingSteps)
		st.Result.Swings = append(st.Result.Swings, sw)
		st.Swings = append(st.Swings, cur)
		if cur.Known {
			st.Result.Quality.PathConfidence = math.Max(st.Result.Quality.PathConfidence, seenShare(t, in.barrel, cur.ContactS))
		}
		if cur.lifted {
			st.Result.Quality.Frame = "lifted"
		}
	}
	return st
}

func quality(t Track, v geom.View, s ScaleUse) Quality {
	q := Quality{ScaleSource: s.Source, Frame: "plane", MetresPerPixel: v.MetresPerPixel(geom.Point{v.CX, v.CY}), ScaleError: s.RelSD, ExposureS: t.ExposureS, ExposureSDS: t.ExposureSDS, ColourMargin: t.HueShare, Notes: append([]string{}, s.Refused...)}
	if s.Source == "guess" {
		q.ScaleSource, q.MetresPerPixel = "none", 0
		q.Notes = append(q.Notes, "no scale on the card: lengths, speeds and zone are missing")
	}
	for _, b := range t.Barrel {
		switch b.How {
		case Seen:
			q.BarrelSeen++
		case Flow:
			q.BarrelFlow++
		}
	}
	for _, b := range t.Balls {
		q.BallSeen += len(b.In) + len(b.Out)
	}
	q.Notes = append(q.Notes, differences(t, v, s.Source != "guess")...)
	return q
}

// differences says how far apart band and pose network see the joints that both see.
func differences(t Track, v geom.View, scaled bool) []string {
	var out []string
	for _, name := range JointNames {
		at := map[int]Sample{}
		for _, s := range t.Joints[name] {
			at[s.Frame] = s
		}
		var px []float64
		for _, s := range t.Pose[name] {
			if b, ok := at[s.Frame]; ok {
				px = append(px, math.Hypot(b.XPx-s.XPx, b.YPx-s.YPx))
			}
		}
		if len(px) == 0 {
			continue
		}
		apart := fmt.Sprintf("%.0f px", median(px))
		if scaled {
			apart = fmt.Sprintf("%.0f mm", 1000*median(px)*v.MetresPerPixel(geom.Point{v.CX, v.CY}))
		}
		out = append(out, fmt.Sprintf("%s: band and pose network are %s apart (median of %d frames); the band is used", strings.ReplaceAll(name, "_", " "), apart, len(px)))
	}
	return out
}

// seenShare is the share of the frames near contact in which the barrel was seen.
func seenShare(t Track, s []Sample, tc float64) float64 {
	const reachS = 0.06
	frames, seen := 0, 0
	for _, x := range t.TimesS {
		if math.Abs(x-tc) < reachS {
			frames++
		}
	}
	for _, x := range s {
		if x.How == Seen && math.Abs(x.TimeS-tc) < reachS {
			seen++
		}
	}
	if frames == 0 {
		return 0
	}
	return math.Min(1, float64(seen)/float64(frames))
}

func rate(times []float64) float64 {
	n := len(times)
	if n < 2 {
		return 1
	}
	return float64(n-1) / (times[n-1] - times[0])
}

func (in *swingInput) measure(index int, t Track, sp Span) (Swing, Curves) {
	cur := Curves{Span: sp, View: in.view}
	in.barrelPx = smoothPx(in.barrel, math.NaN(), 0)
	in.handsPx = smoothPx(in.hands, math.NaN(), 0)
	if in.barrelPx == nil {
		return missingSwing(index, "too few sightings of the barrel in this swing"), cur
	}
	in.peakS, _ = fastest(in.barrelPx, in.barrel)
	in.reach(stepPaths)
	m, ok := in.move(nuisance{}, 0)
	if !ok {
		return missingSwing(index, "too few sightings of the barrel around contact"), cur
	}
	in.reach(stepBat)
	if m.bat != nil {
		cur.stray = m.bat.Stray()
		in.hands = without(in.hands, cur.stray)
		in.handsPx = smoothPx(in.hands, math.NaN(), 0)
	}
	f := in.evaluate(m, nil)
	whole := in.whole(m)
	if whole.barrel == nil {
		return missingSwing(index, "the barrel's path could not be smoothed"), cur
	}
	from, to := whole.barrel.Span()
	in.course(m, whole, nil).fill(&f, in.body(in.view, m.contact.timeS, nil), in.elbowBandM())
	in.curves(&cur, m, whole, from, to)
	in.planar(&cur, m, whole)
	in.reach(stepCourse)
	return in.swing(index, t, m, f, in.draws(m, whole, index)), cur
}

// course is the whole swing: that of the bat, or where none is known that of the
// smoothed barrel and hands. With rng it is a random one of those that m, a random
// motion too, allows.
//
// Not lifted, what the plane of the pitch gets wrong far from contact, where depth
// is a matter of anatomy, is one random stretch of everything.
func (in *swingInput) course(m motion, whole wholePath, rng *rand.Rand) course {
	var c course
	if m.bat != nil {
		c = batCourse(m.bat, in.view.Rescaled(1+m.wrong.scale), m.wrong.near)
	} else {
		c = planeCourse(oneOf(whole.barrel, rng), oneOf(in.handsPx, rng), in.view, m.contact.timeS)
	}
	switch {
	case rng == nil:
	case m.lifted:
		c.stretch = 1 + farSD*rng.NormFloat64()
	default:
		c.stretch = 1 + m.wrong.scale + farFlatSD*rng.NormFloat64()
		c.markX = 0.02 * rng.NormFloat64()
	}
	c.from, c.to = whole.barrel.Span()
	c.tc, c.scaled = m.contact.timeS, in.scale.Source != "guess"
	c.behind = [2]float64{-1, 0}
	if pl := in.lineAt(m, m.contact.in, [2]float64{}); pl.ok {
		u := pl.line.Against()
		c.behind = [2]float64{-u[0], -u[1]}
	}
	if rng == nil {
		return c
	}
	c.threshold *= math.Exp(thresholdSD * rng.NormFloat64())
	if hidden := in.handsHidden(c.tc); c.hands != nil && hidden > 0 {
		c.handsAstray(hidden*hiddenHandsSD, rng)
	}
	return c
}

// handsHidden is the share of the swing before contact, at tc, in which the hands'
// mark was not seen.
func (in *swingInput) handsHidden(tc float64) float64 {
	n := 0.0
	for _, h := range in.hands {
		if h.TimeS > tc-usualSwingS && h.TimeS <= tc {
			n++
		}
	}
	return math.Max(0, 1-n/(usualSwingS*in.fps))
}

// oneOf is the expected motion, or with rng a random one; nil of nil.
func oneOf(m *fit.Smoothed, rng *rand.Rand) *fit.Path {
	switch {
	case m == nil:
		return nil
	case rng == nil:
		return m.Mean()
	}
	return m.Draw(rng)
}

// wholePath is the bat's axis over the whole swing.
type wholePath struct {
	barrel *fit.Smoothed // x, z
	px     *fit.Smoothed // picture
	axisPx []Sample
}

// whole places all samples of the swing as those around contact were.
func (in *swingInput) whole(m motion) wholePath {
	all := m
	in.place(&all, in.view, nuisance{}, in.barrel)
	var out wholePath
	out.axisPx = all.axisPx
	kinks := []fit.Kink{{TimeS: m.contact.timeS, SD: []float64{kinkMPS, 1e4}}}
	sm := fit.Smoother{Order: 3, Robust: true, FitNoise: true, Kinks: kinks}
	out.barrel, _ = sm.Fit(all.planeSamples(in.view))
	out.px = smoothPx(all.axisPx, m.contact.timeS, kinkMPS/in.view.MetresPerPixel(geom.Point{in.view.CX, in.view.CY}))
	return out
}

// draws repeats the evaluation on random motions and random nuisances.
func (in *swingInput) draws(m motion, whole wholePath, index int) spread {
	rng := rand.New(rand.NewPCG(0x5eed, uint64(index)+1))
	noise := in.scaledNoise(m)
	var out spread
	for i := range drawsPerSwing {
		in.reach(stepCourse + i/drawsPerStep)
		n := drawNuisance(rng, in.scale)
		d, ok := noise.move(n, m.barrel.Q)
		if !ok {
			continue
		}
		d.contact.timeS += in.contactSD(m) * rng.NormFloat64()
		f := in.evaluate(d, rng)
		in.course(d, whole, rng).fill(&f, in.body(in.view.Rescaled(1+n.scale), d.contact.timeS, rng), in.elbowBandM())
		out.draws = append(out.draws, f)
	}
	return out
}

// scaledNoise returns the input with the covariances of the samples around
// contact as the fit found them: multiplied by what the residuals asked for, and
// divided by the weight of a sample that lies off.
func (in *swingInput) scaledNoise(m motion) *swingInput {
	out := *in
	out.barrel = append([]Sample(nil), in.barrel...)
	factor := map[int]float64{}
	for i, w := range m.barrel.Weights()[:len(m.axisPx)] {
		factor[m.axisPx[i].Frame] = m.barrel.NoiseScale / math.Max(w, 1e-3)
	}
	for i := range out.barrel {
		k, ok := factor[out.barrel[i].Frame]
		if !ok {
			k = m.barrel.NoiseScale
		}
		out.barrel[i].VarXX *= k
		out.barrel[i].VarXY *= k
		out.barrel[i].VarYY *= k
	}
	return &out
}

func (in *swingInput) curves(cur *Curves, m motion, whole wholePath, from, to float64) {
	cur.Known, cur.ContactS, cur.FirstS, cur.LastS = whole.px != nil, m.contact.timeS, from, to
	cur.samples, cur.lifted, cur.limbs = whole.axisPx, m.lifted, in.limbs
	cur.bat = m.bat
	cur.path = func(t float64) geom.Point {
		side := fit.Before
		if t > m.contact.timeS {
			side = fit.After
		}
		s := whole.px.State(t, side)
		return geom.Point{s.Pos[0], s.Pos[1]}
	}
	cur.Barrel = func(t float64) geom.Point {
		if m.bat != nil {
			if p, ok := m.bat.OnAxis(t); ok {
				return p
			}
		}
		return cur.path(t)
	}
	cur.variance = func(t float64) float64 {
		c := whole.px.State(t, fit.Before).Cov
		return math.Max(c[0][0], c[1][1])
	}
	at, _ := m.barrel.Mean().At(m.contact.timeS)
	if pl := in.lineAt(m, m.contact.in, m.back(at)); pl.ok {
		u := pl.line.Against()
		for i, k := range []float64{1, -1} {
			cur.Line[i] = in.view.Project(geom.World{X: pl.line.PointM[0] + k*u[0], Z: pl.line.PointM[1] + k*u[1]})
		}
		p := in.view.Project(geom.World{X: pl.line.PointM[0], Z: pl.line.PointM[1]})
		cur.LinePx = in.card.DistanceM() / in.view.MetresPerPixel(p)
		cur.Tracked = true
	}
}
