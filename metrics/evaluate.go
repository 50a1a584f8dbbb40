package metrics

import (
	"math"
	"math/rand/v2"

	"ashline/metrics/fit"
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

// At implements zone.Path.
func (s sided) At(t float64) (pos, vel [2]float64) {
	side := fit.Before
	if t > 0 {
		side = fit.After
	}
	pos, vel, _ = s.path.Side(t+s.tc, side)
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
	f[fContact] = tc
	path, ball := m.barrel.Mean(), m.contact.in
	if rng != nil {
		path, ball = m.barrel.Draw(rng), ball.draw(rng)
	}
	first, last := m.barrel.Span()
	barrel := sided{path, &m, tc, first - tc, last - tc}
	pos, vel := barrel.At(0)
	f[fAttack] = math.Atan2(vel[1], vel[0]) * 180 / math.Pi
	lengths := in.scale.Source != "guess"
	if lengths {
		f[fBarrelContact] = math.Hypot(math.Hypot(vel[0], vel[1]), m.depthVel(tc))
		f[fBarrelPeak] = (1 + m.wrong.speed) * in.peakSpeed(m, barrel)
	}
	var pl pitchLine
	if m.contact.hasIn {
		pl = lineOf(ball, tc)
	} else {
		pl = in.cardLine(pos)
	}
	if !pl.ok {
		return f
	}
	f[fDescent] = pl.line.DescentDeg
	f[fGap] = f[fAttack] - f[fDescent]
	if !lengths {
		return f
	}
	if pl.speed > 0 {
		f[fPitchSpeed] = pl.speed
	}
	step := 0.0005
	if rng != nil {
		step = 0.0015 // a draw's edges need not be finer than its noise
	}
	in.zone(&f, barrel, pl, step)
	return f
}

func (in *swingInput) zone(f *figures, barrel sided, pl pitchLine, step float64) {
	from, to := math.Max(barrel.from, -windowBeforeS), math.Min(barrel.to, windowAfterS)
	z := zone.Find(barrel, pl.line, zone.Limits{DistanceM: in.card.DistanceM(), DirectionDeg: in.card.DirectionDeg(), FromS: from, ToS: to})
	f[fOffset] = z.OffsetM
	if z.OK {
		f[fEnter], f[fLeave], f[fDuration] = z.EnterS, z.LeaveS, z.DurationS()
		f[fLength], f[fBehind], f[fAhead] = z.LengthM, z.BehindM, z.AheadM
	} else {
		// Never on the line and along it at once: no time, which is an answer.
		f[fDuration], f[fLength] = 0, 0
	}
	put := func(s zone.Span, enter, leave, duration figure) {
		if s.OK {
			f[enter], f[leave], f[duration] = s.EnterS, s.LeaveS, s.DurationS()
		} else {
			f[duration] = 0
		}
	}
	put(z.Near, fNearEnter, fNearLeave, fNearDuration)
	put(z.Along, fAlongEnter, fAlongLeave, fAlongDuration)
	if pl.ball == nil {
		return
	}
	tm := zone.Meet(barrel, pl.ball, zone.Circles{
		BallRadiusM: in.card.BallRadiusM(), BarrelRadiusM: in.card.BarrelRadiusM() + barrel.motion.wrong.reach, SolidM: in.card.SolidM(), FromS: from, ToS: to, StepS: step,
	})
	window := func(w zone.Window, early, late, all figure) {
		if w.OK {
			f[early], f[late], f[all] = w.EarlyS, w.LateS, w.WindowS
		} else {
			f[all] = 0
		}
	}
	window(tm.Solid, fSolidEarly, fSolidLate, fSolidWindow)
	window(tm.Any, fAnyEarly, fAnyLate, fAnyWindow)
}

// depthVel is the barrel's speed towards the camera; 0 where it is not known to
// depthVelSD.
func (m motion) depthVel(t float64) float64 {
	if m.depth == nil {
		return 0
	}
	s := m.depth.State(t, fit.Before)
	if s.Cov[2][2] > depthVelSD*depthVelSD {
		return 0
	}
	return s.Vel[0]
}

// depthVelSD is the s.d. of a depth's speed beyond which it is not used, m/s.
const depthVelSD = 4.0

// peakSpeed is the barrel's greatest speed before contact.
func (in *swingInput) peakSpeed(m motion, barrel sided) float64 {
	most := 0.0
	for t := 0.0; t > math.Max(barrel.from, -0.1); t -= 0.001 {
		_, v := barrel.At(t)
		most = math.Max(most, math.Hypot(math.Hypot(v[0], v[1]), m.depthVel(t+barrel.tc)))
	}
	return most
}

// cardLine is the pitch line of a card that states it: two points drawn on a
// frame.
func (in *swingInput) cardLine(barrel [2]float64) pitchLine {
	p := in.card.Pitch
	if p.Line != "drawn" || len(p.Points) != 2 {
		return pitchLine{}
	}
	a, b := in.view.At(p.Points[0], 0), in.view.At(p.Points[1], 0)
	if b.X > a.X {
		a, b = b, a
	}
	return pitchLine{line: zone.Line{PointM: [2]float64{b.X, b.Z}, DescentDeg: math.Atan2(a.Z-b.Z, a.X-b.X) * 180 / math.Pi}, ok: true}
}
