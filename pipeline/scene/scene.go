package scene

import (
	"math"
	"sync"
)

// Scene is one swing in the cage, ready to be rendered and measured. Its
// methods may be called from several goroutines.
type Scene struct {
	P   Params // with every default filled in
	Cam Camera

	swing     *swing
	bat       profile
	pitch     flight // as if never hit; its own clock
	exit      flight // after the hit, contact's clock
	exitY     float64
	spinRPM   float64
	hit       bool
	checked   bool
	noBall    bool
	teeBall   Vec
	swingZero float64 // swing's clock at contact
	ballZero  float64 // pitch's clock at contact
	ballY     float64

	timesS []float64 // mid-exposure, contact = 0
	ptsS   []float64 // in the file
	shakes []shake
	gains  []rgb // each frame's, of exposure and white balance; nil without
	hider  hider

	session *session // nil for a single swing

	once  sync.Once
	stage *stage
	crew  *crew
	pool  sync.Pool
}

// shake is a hand-held camera's motion in one frame against frame 0: a turn
// about the picture's middle, then a shift.
type shake struct{ dxPx, dyPx, rotRad float64 }

// New builds the scene of p.
func New(p Params) (*Scene, error) {
	p, err := p.withDefaults()
	if err != nil {
		return nil, err
	}
	late, timed, err := p.timingFault()
	if err != nil {
		return nil, err
	}
	if timed {
		p.TimingMS = late
	}
	if p.Graze {
		if *p.OffsetM, err = p.grazing(); err != nil {
			return nil, err
		}
	}
	s, err := build(p)
	if err != nil {
		return nil, err
	}
	if p.Rounds > 1 {
		if s.session, err = newSession(s); err != nil {
			return nil, err
		}
	}
	s.setTimes()
	s.setShake()
	s.setGains()
	s.setHider()
	return s, nil
}

// build sets pitch and swing, for parameters that are complete.
func build(p Params) (*Scene, error) {
	s := &Scene{P: p, bat: newProfile(p.BatLengthM, p.BarrelDiameterM)}
	s.Cam = newCamera(p, p.cameraSide())
	rnd := newNoise(p.Seed, 0x5c)
	s.ballY = rnd.between(-0.03, 0.03)
	descent := 0.0
	if p.thrown() {
		var err error
		if s.pitch, s.spinRPM, err = newPitch(p); err != nil {
			return nil, err
		}
		descent = s.pitch.at(0).descentDeg()
	}
	p.setAngles(descent)
	s.P = p
	ball := Vec{p.ContactXM, s.ballY, p.ContactHeightM}
	s.teeBall = ball
	ahead, dropped := *p.BatAheadDeg*degree, *p.BatDropDeg*degree
	d0 := Vec{math.Cos(dropped) * math.Sin(ahead), -math.Cos(dropped) * math.Cos(ahead), -math.Sin(dropped)}
	s.swing = newSwing(p, meet(ball, d0, descent, *p.OffsetM, p.reachM()), d0)
	s.meetBall()
	return s, nil
}

// meet gives the barrel mark's place at contact: offset above the pitch line
// and touching the ball with the bat along d; past the reach it passes over.
func meet(ball, d Vec, descentDeg, offset, reach float64) Vec {
	sn, cs := math.Sincos(descentDeg * degree)
	back, up := Vec{cs, 0, sn}, Vec{-sn, 0, cs} // back along the pitch, and across it
	b := -offset / reach
	dw, dp := d.dot(back)/d.Y, d.dot(up)/d.Y
	// The line of centres n = a·back + b·up + c·y is a unit across the bat.
	qa, qb, qc := 1+dw*dw, b*dw*dp, b*b*(1+dp*dp)-1
	disc := qb*qb - qa*qc
	if disc <= 0 {
		return ball.add(up.mul(offset))
	}
	a := (-qb + math.Sqrt(disc)) / qa
	n := back.mul(a).add(up.mul(b)).add(Vec{0, -(a*dw + b*dp), 0})
	return ball.sub(n.mul(reach))
}

// meetBall finds contact, or without it when the barrel is at the pitch's line, and
// sets both clocks to it.
func (s *Scene) meetBall() {
	p := s.P
	if p.Kind == "dry" {
		s.noBall = true
		s.swingZero = peakOf(func(t float64) float64 {
			s.swingZero = t
			return s.barrelSpeed(0)
		}, -0.06, 0.06)
		return
	}
	late := p.TimingMS / 1000
	if p.Kind == "tee" {
		late = 0
	}
	gap := func(w float64) float64 { // surface to surface, ball's clock
		s.swingZero, s.ballZero = w-late, w
		return s.gapM(0)
	}
	const from, to, step = -0.15, 0.15, 0.0002
	at := math.NaN()
	for w := from; w < to; w += step {
		if gap(w+step) <= 0 {
			lo, hi := w, w+step
			for range 60 {
				if mid := (lo + hi) / 2; gap(mid) > 0 {
					lo = mid
				} else {
					hi = mid
				}
			}
			at = hi
			break
		}
	}
	if math.IsNaN(at) {
		at, s.checked = s.passing(late)
		s.swingZero, s.ballZero = at-late, at
		return
	}
	s.hit = true
	s.swingZero, s.ballZero = at-late, at
	s.swing.impactAt = s.swingZero
	s.strikeBall()
}

// gapM is the distance between the surfaces of ball and bat.
func (s *Scene) gapM(t float64) float64 {
	ball, _ := s.ballUnhit(t)
	knob, dir := s.batAt(t)
	along := clamp(ball.sub(knob).dot(dir), 0, s.P.BatLengthM)
	return ball.sub(knob.add(dir.mul(along))).norm() - ballRadiusM - s.bat.radiusAt(along)
}

// strikeBall sets the ball's path after contact: collinear speed, direction
// between the bat's travel and the line of centres, sideways with the bat.
func (s *Scene) strikeBall() {
	ball, _ := s.ballUnhit(0)
	knob, dir := s.batAt(0)
	along := clamp(ball.sub(knob).dot(dir), 0, s.P.BatLengthM)
	n := ball.sub(knob.add(dir.mul(along))).unit()
	const h = 1e-5
	foot := func(t float64) Vec {
		k, d := s.batAt(t)
		return k.add(d.mul(along))
	}
	v := foot(0).sub(foot(-h)).mul(1 / h)
	in := 0.0
	if s.P.thrown() {
		in = s.pitch.at(s.ballZero).speed()
	}
	before, _ := s.ballUnhit(-h)
	pitched := ball.sub(before).mul(1 / h)
	w := v.sub(pitched).unit()
	if w.dot(n) < glancing {
		s.tip(ball, n, v, pitched)
		return
	}
	s.swing.kick(s.P, n, w)
	speed := restitutionEA*in + (1+restitutionEA)*v.norm()
	out := v.unit().add(n.mul(0.9)).unit()
	s.exitY = out.Y * speed
	a := baseballAir(0)
	start := ballState{ball.X, ball.Z, out.X * speed, out.Z * speed}
	s.exit = a.fly(start, 0, s.P.RunOutS+0.2)
}

// batAt gives the knob's end and the direction of the bat for a right-handed
// hitter.
func (s *Scene) batAt(t float64) (knob, dir Vec) {
	grip, dir := s.swing.at(s.held(t + s.swingZero))
	return grip.sub(dir.mul(gripM)), dir
}

// Bat gives the knob's end and the bat's direction in the world.
func (s *Scene) Bat(t float64) (knob, dir Vec) {
	if s.session != nil {
		q := s.session.at(t, s.P.HitterHeightM/1.80)
		knob, dir = q.grip.sub(q.dir.mul(gripM)), q.dir
	} else {
		knob, dir = s.batAt(t)
	}
	side := s.P.hitSide()
	return knob.flip(side), dir.flip(side)
}

// Mark is the middle of the barrel's band on the bat's axis, world.
func (s *Scene) Mark(t float64) Vec { return s.onBat(t, s.P.BatLengthM-s.P.BandFromEndM) }

// Hands is the middle of the hands' band on the bat's axis, world.
func (s *Scene) Hands(t float64) Vec {
	return s.onBat(t, s.P.BatLengthM-s.P.BandFromEndM-s.P.MarksApartM)
}

func (s *Scene) onBat(t, m float64) Vec {
	knob, dir := s.Bat(t)
	return knob.add(dir.mul(m))
}

// Ball is the ball's centre in the world; false before release and when there
// is none.
func (s *Scene) Ball(t float64) (Vec, bool) {
	if s.noBall {
		return Vec{}, false
	}
	if s.session != nil {
		return s.session.ball(t)
	}
	side := s.P.hitSide()
	if s.hit && t > 0 {
		e := s.exit.at(t)
		return Vec{e.x, s.ballY + s.exitY*t, math.Max(e.z, ballRadiusM)}.flip(side), true
	}
	b, ok := s.ballUnhit(t)
	return b.flip(side), ok
}

// ballUnhit is the pitch carried on as if the ball had not been hit.
func (s *Scene) ballUnhit(t float64) (Vec, bool) {
	if !s.P.thrown() {
		return s.teeBall, !s.noBall
	}
	w := t + s.ballZero
	b := s.pitch.at(w)
	return Vec{b.x, s.ballY, b.z}, w >= s.pitch.begins()
}

// pose is the hitter in the world.
func (s *Scene) pose(t float64) pose {
	if s.session != nil {
		return s.session.at(t, s.P.HitterHeightM/1.80).body.flip(s.P.hitSide())
	}
	return s.swing.pose(s.held(t+s.swingZero), s.P.HitterHeightM/1.80).flip(s.P.hitSide())
}

// velocity is the derivative of a path in the world.
func velocity(f func(float64) Vec, t float64) Vec {
	const h = 1e-5
	return f(t + h).sub(f(t - h)).mul(1 / (2 * h))
}

// barrelSpeed is the mark's speed in the plane of the pitch.
func (s *Scene) barrelSpeed(t float64) float64 {
	v := velocity(s.Mark, t)
	return math.Hypot(v.X, v.Z)
}

// peakOf finds where f is largest between lo and hi: a scan, then golden section.
func peakOf(f func(float64) float64, lo, hi float64) float64 {
	const n = 1200
	h := (hi - lo) / n
	best, at := math.Inf(-1), lo
	for i := range n + 1 {
		if v := f(lo + float64(i)*h); v > best {
			best, at = v, lo+float64(i)*h
		}
	}
	a, b := math.Max(lo, at-h), math.Min(hi, at+h)
	const g = 0.6180339887498949
	for range 60 {
		c, d := b-g*(b-a), a+g*(b-a)
		if f(c) > f(d) {
			b = d
		} else {
			a = c
		}
	}
	return (a + b) / 2
}

// fileTicks is the clock of the written files, ticks a second.
const fileTicks = 90000

func (s *Scene) setTimes() {
	p := s.P
	rnd := newNoise(p.Seed, 0x71)
	before := int(math.Ceil(p.LeadInS * p.FPS))
	n := before + int(math.Ceil(p.RunOutS*p.FPS)) + 1
	slow := p.FPS / p.FileFPS
	for i := range n {
		t := (float64(i-before) - p.Phase) / p.FPS
		if p.VariableRate {
			if i > 0 && rnd.uniform() < 0.02 {
				continue
			}
			if i > 0 {
				t += rnd.between(-0.15, 0.15) / p.FPS
				ticks := math.Round((t - s.timesS[0]) * slow * fileTicks)
				t = s.timesS[0] + ticks/fileTicks/slow
			}
		}
		if p.Stutter && i > 0 {
			u := rnd.uniform()
			if u < droppedShare {
				continue
			}
			if u < droppedShare+doubledShare {
				s.ptsS = append(s.ptsS, (t-s.timesS[0])*slow)
				s.timesS = append(s.timesS, s.timesS[len(s.timesS)-1])
				continue
			}
		}
		s.timesS = append(s.timesS, t)
		s.ptsS = append(s.ptsS, (t-s.timesS[0])*slow)
	}
}

// Frames is the number of frames.
func (s *Scene) Frames() int { return len(s.timesS) }

func (s *Scene) setShake() {
	s.shakes = make([]shake, len(s.timesS))
	defer s.sway()
	if s.P.ShakePx == 0 {
		return
	}
	rnd := newNoise(s.P.Seed, 0x5e)
	wander := func() func(float64) float64 { // unit variance, 0.5 to 6 Hz
		const n = 7
		var amp, hz, ph [n]float64
		sum := 0.0
		for k := range n {
			hz[k] = 0.5 * math.Pow(12, (float64(k)+rnd.uniform())/n)
			amp[k] = 1 / math.Sqrt(hz[k])
			ph[k] = rnd.between(0, 2*math.Pi)
			sum += amp[k] * amp[k] / 2
		}
		return func(t float64) float64 {
			v := 0.0
			for k := range n {
				v += amp[k] * math.Sin(2*math.Pi*hz[k]*t+ph[k])
			}
			return v / math.Sqrt(sum)
		}
	}
	x, y, r := wander(), wander(), wander()
	first := s.timesS[0]
	for i, t := range s.timesS {
		s.shakes[i] = shake{
			s.P.ShakePx * (x(t) - x(first)), s.P.ShakePx * (y(t) - y(first)), s.P.ShakePx * 0.0007 * (r(t) - r(first)),
		}
	}
}

// frameRange checks a frame's number.
func (s *Scene) frameRange(i int) error {
	if i < 0 || i >= len(s.timesS) {
		return refuse("frame", i, "is not among the %d frames", len(s.timesS))
	}
	return nil
}
