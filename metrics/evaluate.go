package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
	"ashline/metrics/fit"
	"ashline/metrics/zone"
)

// sided is a smoothed motion on a clock that is 0 at contact; at 0 it is the
// motion before the impact.
type sided struct {
	path     *fit.Path
	motion   motion
	tc       float64
	from, to float64 // seen, on this clock
}

// At implements zone.Path. Where contact is taken at another time than the path's
// impact, the motion on either side goes on as it was up to there.
func (s sided) At(t float64) (pos, vel [2]float64) {
	side, at := fit.Before, math.Min(t+s.tc, s.motion.impactS)
	if t > 0 {
		side, at = fit.After, math.Max(t+s.tc, s.motion.impactS)
	}
	pos, vel, acc := s.path.Side(at, side)
	if d := t + s.tc - at; d != 0 {
		for i := range pos {
			pos[i] += d * (vel[i] + d/2*acc[i])
			vel[i] += d * acc[i]
		}
	}
	return s.motion.back(pos), s.motion.back(vel)
}

// figuresOf computes the figures of a motion and of the swing as a whole; with rng they
// are those of a random one of the motions that the samples allow.
func figuresOf(p paths, m motion, whole wholePath, rng *rand.Rand) figures {
	f := noFigures()
	aroundContact(&f, p.setting, m, rng)
	c := courseOf(p, m, whole, rng)
	b := jointsOf(p, p.view.Rescaled(1+m.wrong.scale), m.contact.TimeS, rng)
	launch := c.fill(&f, b)
	c.fillBody(&f, b, launch, c.tc+f.keyS[catalogue.Lag], elbowBandM(p))
	if m.contact.Outcome == contact.Check {
		return f.checked()
	}
	return f
}

// aroundContact computes what the motion around contact says.
func aroundContact(f *figures, s setting, m motion, rng *rand.Rand) {
	tc := m.contact.TimeS
	path, ball := m.barrel.Mean(), m.contact.Pitch
	if rng != nil {
		path, ball = m.barrel.Draw(rng), ball.Draw(rng)
	}
	first, last := m.barrel.Span()
	barrel := sided{path, m, tc, first - tc, last - tc}
	pos, vel := barrel.At(0)
	f.metric[catalogue.PlaneAttackDeg] = math.Atan2(vel[1], vel[0]) * 180 / math.Pi
	lengths := s.scale.known()
	if lengths {
		f.metric[catalogue.SpeedBarrelContactMPS] = math.Hypot(math.Hypot(vel[0], vel[1]), m.depthVel(tc))
		f.metric[catalogue.SpeedBarrelPeakMPS] = (1 + m.wrong.speed) * peakSpeed(m, barrel)
	}
	pl := lineAt(s, m, ball, pos)
	if !pl.ok {
		return
	}
	f.metric[catalogue.PitchDescentDeg] = pl.line.DescentDeg
	f.metric[catalogue.PlaneGapDeg] = f.metric[catalogue.PlaneAttackDeg] - f.metric[catalogue.PitchDescentDeg]
	if m.contact.Outcome == contact.Miss && pl.ball != nil {
		f.metric[catalogue.TimingLateS] = lateness(pl, pos)
	}
	if !lengths {
		return
	}
	if pl.speed > 0 {
		f.metric[catalogue.PitchSpeedMPS] = pl.speed
	}
	step := slideStepS
	if rng != nil {
		step = slideRoughS // a draw's edges need not be finer than its noise
	}
	zoneOf(f, s.card, barrel, pl, step)
}

// lateness is by how much the barrel, at pos at 0, comes after the ball at that place
// along the line.
func lateness(pl pitchLine, pos [2]float64) float64 {
	u, t := pl.line.Against(), 0.0
	for range lateRounds {
		p, v := pl.ball.At(t)
		t += ((pos[0]-p[0])*u[0] + (pos[1]-p[1])*u[1]) / (v[0]*u[0] + v[1]*u[1])
	}
	return -t
}

// zoneOf computes the zone and the timing window.
func zoneOf(f *figures, card Card, barrel sided, pl pitchLine, step float64) {
	from, to := math.Max(barrel.from, -windowBeforeS), math.Min(barrel.to, windowAfterS)
	z := zone.Find(barrel, pl.line, zone.Limits{DistanceM: card.DistanceM(), DirectionDeg: card.DirectionDeg(), FromS: from, ToS: to})
	f.metric[catalogue.PlaneOffsetM] = z.OffsetM
	if z.OK {
		f.metric[catalogue.ZoneEnterS], f.metric[catalogue.ZoneLeaveS], f.metric[catalogue.ZoneDurationS] = z.EnterS, z.LeaveS, z.DurationS()
		f.metric[catalogue.ZoneLengthM], f.metric[catalogue.ZoneBehindM], f.metric[catalogue.ZoneAheadM] = z.LengthM, z.BehindM, z.AheadM
	} else {
		// Never on the line and along it at once: no time, which is an answer.
		f.metric[catalogue.ZoneDurationS], f.metric[catalogue.ZoneLengthM] = 0, 0
	}
	put := func(s zone.Span, enter, leave, duration catalogue.Metric) {
		if s.OK {
			f.metric[enter], f.metric[leave], f.metric[duration] = s.EnterS, s.LeaveS, s.DurationS()
		} else {
			f.metric[duration] = 0
		}
	}
	put(z.Near, catalogue.ZoneNearEnterS, catalogue.ZoneNearLeaveS, catalogue.ZoneNearDurationS)
	put(z.Along, catalogue.ZoneAlongEnterS, catalogue.ZoneAlongLeaveS, catalogue.ZoneAlongDurationS)
	if pl.ball == nil {
		return
	}
	tm := zone.Meet(barrel, pl.ball, zone.Circles{
		BallRadiusM: card.BallRadiusM(), BarrelRadiusM: card.BarrelRadiusM() + barrel.motion.wrong.reach, SolidM: card.SolidM(), FromS: from, ToS: to, ReachS: slideS, StepS: step,
	})
	window := func(w zone.Window, early, late, all catalogue.Metric) {
		if w.OK {
			f.metric[early], f.metric[late], f.metric[all] = w.EarlyS, w.LateS, w.WindowS
		} else {
			f.metric[all] = 0
		}
	}
	window(tm.Solid, catalogue.TimingSolidEarlyS, catalogue.TimingSolidLateS, catalogue.TimingSolidWindowS)
	window(tm.Any, catalogue.TimingAnyEarlyS, catalogue.TimingAnyLateS, catalogue.TimingAnyWindowS)
}

// peakSpeed is the barrel's greatest speed before contact.
func peakSpeed(m motion, barrel sided) float64 {
	most := 0.0
	for t := 0.0; t > math.Max(barrel.from, -peakReachS); t -= peakStepS {
		_, v := barrel.At(t)
		most = math.Max(most, math.Hypot(math.Hypot(v[0], v[1]), m.depthVel(t+barrel.tc)))
	}
	return most
}
