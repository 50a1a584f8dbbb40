package scene

import "math"

// A session is several rounds in one clip, each a pitch and a swing of its own, and what
// a hitter does between: waggles, a rehearsal in slow motion, a rest. Its clock is 0 at
// the first contact.
type session struct {
	rounds []*Scene
	atS    []float64 // of the rounds' contacts
	acts   []act
}

// act is a part of a session that is not a way from one to the next.
type act struct {
	fromS, toS float64
	stand      func(t float64) stand
}

// stand is a right-handed hitter with the bat.
type stand struct {
	grip, dir Vec
	body      pose
}

// When a session's rounds have their contacts, and where its other parts lie, s.
var roundsAtS = []float64{0, 4.6, 8.4}

const (
	roundFromS, roundToS        = -1.25, 0.5 // about a contact
	rehearsalS, rehearsalHalfS  = 2.0, 0.85
	restFromS, restToS          = 5.8, 5.9
	slowMotion                  = 0.35 // speed of the rehearsal
	waggleFromS, waggleToS      = -1.9, -0.72
	waggleHz, waggleRad         = 1.7, 0.5
	ballGoneS                   = 1.2 // after contact
	sessionLeadInS, sessionEndS = 2.4, 1.2
)

// newSession builds the rounds after the first one, in which the same hitter stands and
// meets the ball a little otherwise.
func newSession(first *Scene) (*session, error) {
	p := first.P
	alone := &Scene{
		P: p, Cam: first.Cam, swing: first.swing, bat: first.bat, pitch: first.pitch, exit: first.exit, exitY: first.exitY,
		spinRPM: first.spinRPM, hit: first.hit, checked: first.checked, noBall: first.noBall, teeBall: first.teeBall,
		swingZero: first.swingZero, ballZero: first.ballZero, ballY: first.ballY,
	}
	alone.P.RunOutS = ballGoneS
	s := &session{rounds: []*Scene{alone}, atS: roundsAtS[:p.Rounds]}
	rnd := newStream(p.Seed, 0x5e55)
	for len(s.rounds) < p.Rounds {
		q := p
		q.Rounds, q.RunOutS, q.Seed = 0, ballGoneS, rnd.next()
		q.AttackDeg = Num(*p.AttackDeg + rnd.between(-3, 3))
		q.BatAheadDeg = Num(clamp(*p.BatAheadDeg+rnd.between(-8, 8), -45, 45))
		q.OffsetM = Num(rnd.between(-0.012, 0.012))
		q.ContactXM += rnd.between(-0.08, 0.08)
		q.ContactHeightM += rnd.between(-0.08, 0.08)
		r, err := build(q)
		if err != nil {
			return nil, err
		}
		s.rounds = append(s.rounds, r)
	}
	s.plan()
	return s, nil
}

// plan sets the acts.
func (s *session) plan() {
	for k, r := range s.rounds {
		a := act{s.atS[k] + roundFromS, s.atS[k] + roundToS, func(t float64) stand { return r.waggling(t - s.atS[k]) }}
		switch k {
		case 0:
			a.fromS = math.Inf(-1)
		case 1:
			s.acts = append(s.acts, act{rehearsalS - rehearsalHalfS, rehearsalS + rehearsalHalfS, func(t float64) stand {
				return r.standing((t - rehearsalS) * slowMotion)
			}})
		case 2:
			s.acts = append(s.acts, act{restFromS, restToS, func(float64) stand { return r.resting() }})
		}
		s.acts = append(s.acts, a)
	}
	s.acts[len(s.acts)-1].toS = math.Inf(1)
}

// at gives the hitter at time t: in an act, or on the way from one to the next.
func (s *session) at(t float64, tall float64) stand {
	k := 0
	for k+1 < len(s.acts) && t >= s.acts[k+1].fromS {
		k++
	}
	a := s.acts[k]
	if t <= a.toS || k+1 == len(s.acts) {
		return a.stand(t)
	}
	b := s.acts[k+1]
	w := ease(t, a.toS, b.fromS)
	p, q := a.stand(t), b.stand(t)
	out := stand{grip: p.grip.lerp(q.grip, w), dir: p.dir.towards(q.dir, w), body: p.body}
	from, to := p.body.points(), q.body.points()
	for i, v := range out.body.points() {
		*v = from[i].lerp(*to[i], w)
	}
	out.body.hold(out.grip, out.dir, tall)
	return out
}

// hold puts the hands on the bat.
func (q *pose) hold(grip, dir Vec, tall float64) {
	q.leadHand, q.backHand = grip.sub(dir.mul(0.045)), grip.add(dir.mul(0.045))
	q.leadElbow = limb(q.leadShoulder, q.leadHand, 0.29*tall, 0.31*tall, Vec{0.25, -0.5, -1})
	q.backElbow = limb(q.backShoulder, q.backHand, 0.29*tall, 0.31*tall, Vec{-0.9, 0.15, -0.8})
	q.leadWrist = q.leadHand.add(q.leadElbow.sub(q.leadHand).unit().mul(0.075))
	q.backWrist = q.backHand.add(q.backElbow.sub(q.backHand).unit().mul(0.075))
}

// standing is the round's hitter at its own time.
func (s *Scene) standing(t float64) stand {
	grip, dir := s.swing.at(s.held(t + s.swingZero))
	return stand{grip, dir, s.swing.pose(s.held(t+s.swingZero), s.P.HitterHeightM/1.80)}
}

// waggling has the bat go round in the stance before the pitch.
func (s *Scene) waggling(t float64) stand {
	w := ease(t, waggleFromS, waggleFromS+0.3) - ease(t, waggleToS-0.3, waggleToS)
	q := s.standing(t)
	if w == 0 {
		return q
	}
	sn, cs := math.Sincos(2 * math.Pi * waggleHz * t)
	q.dir = q.dir.turn(Vec{0, 1, 0}, w*waggleRad*sn).turn(Vec{1, 0, 0}, 0.6*w*waggleRad*cs)
	q.grip = q.grip.add(Vec{0.03 * sn, 0, 0.02 * cs}.mul(w))
	q.body.hold(q.grip, q.dir, s.P.HitterHeightM/1.80)
	return q
}

// resting has the bat hang before the body.
func (s *Scene) resting() stand {
	q := s.standing(-1)
	q.grip = q.body.chest.add(Vec{0.05, -0.30, -0.45})
	q.dir = Vec{0.45, -0.55, -0.7}.unit()
	q.body.hold(q.grip, q.dir, s.P.HitterHeightM/1.80)
	return q
}

// ball is the ball of the round that has one.
func (s *session) ball(t float64) (Vec, bool) {
	for k, r := range s.rounds {
		if u := t - s.atS[k]; u < ballGoneS {
			return r.Ball(u)
		}
	}
	return Vec{}, false
}

// truths are the swings of all rounds, on the session's clock and frames.
func (s *session) truths(timesS []float64) []SwingTruth {
	var out []SwingTruth
	for k, r := range s.rounds {
		r.timesS = make([]float64, len(timesS))
		for i, t := range timesS {
			r.timesS[i] = t - s.atS[k]
		}
		w := r.swingTruth()
		w.Index = k
		for _, key := range []*KeyTruth{&w.Keys.Launch, &w.Keys.Slot, &w.Keys.Lag, &w.Keys.Contact, &w.Keys.Finish} {
			if key.TimeS != nil {
				*key.TimeS += s.atS[k]
			}
		}
		out = append(out, w)
	}
	return out
}
