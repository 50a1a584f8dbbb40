package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/catalogue"
	"ashline/metrics/fit"
	"ashline/metrics/flight"
	"ashline/metrics/zone"
)

// sided is a smoothed motion on a clock that is 0 at contact; at 0 it is the
// motion before the impact.
type sided struct {
	path     *fit.Path
	motion   *motion
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

// pitchLine is the line of the pitch and, when it was tracked, the flight.
type pitchLine struct {
	line  zone.Line
	ball  zone.Path
	speed float64
	ok    bool
}

// shifted is a ball's flight on the clock of contact, carried on as if the ball
// had not been hit.
type shifted struct {
	ball ballPath
	tc   float64
}

// At implements zone.Path.
func (s shifted) At(t float64) (pos, vel [2]float64) { return s.ball.At(t + s.tc) }

func lineOf(b ballPath, tc float64) pitchLine {
	p, v := b.At(tc)
	return pitchLine{
		line: zone.Line{PointM: p, DescentDeg: math.Atan2(-v[1], -v[0]) * 180 / math.Pi},
		ball: shifted{b, tc}, speed: math.Hypot(v[0], v[1]), ok: true,
	}
}

// evaluate computes the figures of a motion; rng draws a random motion from what
// the samples allow, nil takes the expected one.
func (in *swingInput) evaluate(m motion, rng *rand.Rand) figures {
	f := noFigures()
	tc := m.contact.timeS
	path, ball := m.barrel.Mean(), m.contact.in
	if rng != nil {
		path, ball = m.barrel.Draw(rng), ball.draw(rng)
	}
	first, last := m.barrel.Span()
	barrel := sided{path, &m, tc, first - tc, last - tc}
	pos, vel := barrel.At(0)
	f.metric[catalogue.PlaneAttackDeg] = math.Atan2(vel[1], vel[0]) * 180 / math.Pi
	lengths := in.scale.Source != "guess"
	if lengths {
		f.metric[catalogue.SpeedBarrelContactMPS] = math.Hypot(math.Hypot(vel[0], vel[1]), m.depthVel(tc))
		f.metric[catalogue.SpeedBarrelPeakMPS] = (1 + m.wrong.speed) * in.peakSpeed(m, barrel)
	}
	pl := in.lineAt(m, ball, pos)
	if !pl.ok {
		return f
	}
	f.metric[catalogue.PitchDescentDeg] = pl.line.DescentDeg
	f.metric[catalogue.PlaneGapDeg] = f.metric[catalogue.PlaneAttackDeg] - f.metric[catalogue.PitchDescentDeg]
	if !lengths {
		return f
	}
	if pl.speed > 0 {
		f.metric[catalogue.PitchSpeedMPS] = pl.speed
	}
	step := 0.0005
	if rng != nil {
		step = 0.0015 // a draw's edges need not be finer than its noise
	}
	in.zone(&f, barrel, pl, step)
	return f
}

// slideS is how much earlier and later a swing is tried, s: the whole of the motion
// around contact.
const slideS = windowBeforeS

func (in *swingInput) zone(f *figures, barrel sided, pl pitchLine, step float64) {
	from, to := math.Max(barrel.from, -windowBeforeS), math.Min(barrel.to, windowAfterS)
	z := zone.Find(barrel, pl.line, zone.Limits{DistanceM: in.card.DistanceM(), DirectionDeg: in.card.DirectionDeg(), FromS: from, ToS: to})
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
		BallRadiusM: in.card.BallRadiusM(), BarrelRadiusM: in.card.BarrelRadiusM() + barrel.motion.wrong.reach, SolidM: in.card.SolidM(), FromS: from, ToS: to, ReachS: slideS, StepS: step,
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

// depthVel is the barrel's speed towards the camera; 0 where it is not known.
func (m motion) depthVel(t float64) float64 {
	if m.bat == nil || !m.lifted {
		return 0
	}
	return m.bat.At(t, fit.Before).Vel(m.bat.LeverM()).Y
}

// peakSpeed is the barrel's greatest speed before contact.
func (in *swingInput) peakSpeed(m motion, barrel sided) float64 {
	most := 0.0
	for t := 0.0; t > math.Max(barrel.from, -0.1); t -= 0.001 {
		_, v := barrel.At(t)
		most = math.Max(most, math.Hypot(math.Hypot(v[0], v[1]), m.depthVel(t+barrel.tc)))
	}
	return most
}

// lineAt is the pitch line at contact: the tracked ball's, or the card's where it
// states one. A computed flight passes where the ball was, else where the barrel
// was.
func (in *swingInput) lineAt(m motion, ball ballPath, barrel [2]float64) pitchLine {
	tracked := m.contact.hasIn
	switch {
	case in.card.Pitch.Line == "drawn" || in.card.Pitch.Line == "flight":
		at := barrel
		if tracked {
			at, _ = ball.At(m.contact.timeS)
		}
		pl := in.cardLine(at)
		if in.card.Pitch.Line == "flight" {
			pl.line.DescentDeg += m.wrong.descent
		}
		if tracked {
			own := lineOf(ball, m.contact.timeS)
			pl.ball, pl.speed = own.ball, own.speed
		}
		return pl
	case tracked:
		return lineOf(ball, m.contact.timeS)
	}
	return pitchLine{}
}

// cardLine is the pitch line of a card that states it: two points drawn on a
// frame, or a flight computed from the speed at release. A computed flight says
// how the ball falls but not where it passes: its line is laid through at.
func (in *swingInput) cardLine(at [2]float64) pitchLine {
	p := in.card.Pitch
	switch {
	case p.Line == "flight":
		descent, ok := in.flightDescent()
		return pitchLine{line: zone.Line{PointM: at, DescentDeg: descent}, ok: ok}
	case p.Line != "drawn" || len(p.Points) != 2:
		return pitchLine{}
	}
	a, b := in.view.At(p.Points[0], 0), in.view.At(p.Points[1], 0)
	if b.X > a.X {
		a, b = b, a
	}
	return pitchLine{line: zone.Line{PointM: [2]float64{b.X, b.Z}, DescentDeg: math.Atan2(a.Z-b.Z, a.X-b.X) * 180 / math.Pi}, ok: true}
}

// Where a pitch is released and passes the plate when the card does not say:
// an adult's mound, 60 ft 6 in less a stride; common practice.
const (
	releaseHeightM   = 1.8
	releaseDistanceM = 16.2
	plateHeightM     = 0.76
)

// flightDescent is how steeply the card's pitch falls at the plate.
func (in *swingInput) flightDescent() (float64, bool) {
	p := in.card.Pitch
	ball, err := flight.Named(p.Ball)
	if err != nil {
		return 0, false
	}
	or := func(v, otherwise float64) float64 {
		if v > 0 {
			return v
		}
		return otherwise
	}
	at, err := flight.ToPlate(flight.Release{
		SpeedMPS: p.SpeedMPS, HeightM: or(p.ReleaseHeightM, releaseHeightM),
		DistanceM: or(p.ReleaseDistanceM, releaseDistanceM), PlateHeightM: or(p.PlateHeightM, plateHeightM),
	}, flight.Params{Ball: ball, SpinRPM: p.SpinRPM})
	if err != nil {
		return 0, false
	}
	return at.DescentDeg(), true
}
