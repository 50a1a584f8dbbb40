package metrics

import (
	"math"
	"math/rand/v2"
)

// Measure computes everything for a clip's swings; tell, which may be nil, is told how
// far it is.
func Measure(t Track, c Card, tell Progress) Study {
	if t.ExposureS == 0 {
		t.ExposureS, t.ExposureSDS = exposure(t.Balls)
	}
	s := settingOf(t, c)
	st := Study{track: t, Result: Result{Schema: SchemaVersion, Card: c, Quality: quality(t, s.view, s.scale), Swings: []Swing{}, Findings: []Finding{}}}
	p := &progress{total: len(t.Swings) * swingSteps, tell: tell}
	for i := range t.Swings {
		sw, cur := s.measure(t, i, func(step int) { p.reach(i*swingSteps + step) })
		st.Result.Swings = append(st.Result.Swings, sw)
		st.Swings = append(st.Swings, cur)
		if cur.Known {
			st.Result.Quality.PathConfidence = math.Max(st.Result.Quality.PathConfidence, seenShare(t, inSpan(t.Barrel, cur.Span), cur.ContactS))
		}
		if cur.lifted {
			st.Result.Quality.Frame = "lifted"
		}
	}
	return st
}

// settingOf is what track and card say of the whole clip.
func settingOf(t Track, c Card) setting {
	view, scale := NewView(c, t.WidthPx, t.HeightPx)
	view, scale = measuredView(view, scale, t, c)
	return setting{card: c, view: view, scale: scale, fps: rate(t.TimesS), exposureS: t.ExposureS}
}

// measure takes one swing from what was seen of it to its figures: paths, contact and
// bat, motion, and the motions that it might also have been. reach is told each step.
func (s setting) measure(t Track, index int, reach func(step int)) (Swing, Curves) {
	defer reach(swingSteps)
	missing := Curves{Span: t.Swings[index], View: s.view}
	seen := sightedIn(s, t, index)
	reach(stepLimbs)
	p, ok := pathsOf(seen)
	if !ok {
		return missingSwing(index, "too few sightings of the barrel in this swing"), missing
	}
	reach(stepPaths)
	m, ok := motionOf(p, nuisance{}, 0, nil)
	if !ok {
		return missingSwing(index, "too few sightings of the barrel around contact"), missing
	}
	reach(stepBat)
	if m.bat != nil {
		p = p.without(m.bat.Stray())
	}
	whole, ok := wholeOf(p, m)
	if !ok {
		return missingSwing(index, "the barrel's path could not be smoothed"), missing
	}
	f := figuresOf(p, m, whole, nil)
	cur := curvesOf(p, m, whole, t.Swings[index])
	cur.plane, cur.planeAt = planeOf(p, m, whole)
	reach(stepCourse)
	return swingOf(p, index, t, m, f, drawsOf(p, m, whole, index, reach)), cur
}

// drawsOf repeats the figures on random motions and random nuisances.
func drawsOf(p paths, m motion, whole wholePath, index int, reach func(step int)) spread {
	rng := rand.New(rand.NewPCG(0x5eed, uint64(index)+1))
	noisy := scaledNoise(p, m)
	var out spread
	for i := range drawsPerSwing {
		reach(stepCourse + i/drawsPerStep)
		d, ok := motionOf(noisy, drawNuisance(rng, p.scale, p.card.Camera.SD), m.barrel.Q, m.bat)
		if !ok {
			continue
		}
		d.contact.TimeS += m.contact.SDS * rng.NormFloat64()
		out.draws = append(out.draws, figuresOf(p, d, whole, rng))
	}
	return out
}

// scaledNoise are the paths with the covariances of the samples around
// contact as the fit found them: multiplied by what the residuals asked for, and
// divided by the weight of a sample that lies off.
func scaledNoise(p paths, m motion) paths {
	factor := map[int]float64{}
	for i, w := range m.barrel.Weights()[:len(m.axisPx)] {
		factor[m.axisPx[i].Frame] = m.barrel.NoiseScale / math.Max(w, leastWeight)
	}
	p.barrel = append([]Sample(nil), p.barrel...)
	for i := range p.barrel {
		k, ok := factor[p.barrel[i].Frame]
		if !ok {
			k = m.barrel.NoiseScale
		}
		p.barrel[i].VarXX *= k
		p.barrel[i].VarXY *= k
		p.barrel[i].VarYY *= k
	}
	return p
}
