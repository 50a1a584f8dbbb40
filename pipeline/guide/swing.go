package guide

import (
	"math"

	"ashline/metrics/zone"
)

const (
	acrossM = 0.85 // half-axes of the ellipse that a side view makes of the barrel's circle
	upM     = 0.50
	sweep   = 3.15 // rad, half of the angle that the barrel turns through
	barrelR = 0.033
	ballR   = 0.0369
	nearM   = barrelR + ballR
)

// swing is the example: the barrel's angle on its ellipse is
// φ(t) = φ₀ + sweep·tanh(t/τ), so that it starts and ends at rest and is fastest
// about contact.
type swing struct {
	attackDeg, descentDeg float64
	offsetM               float64 // of the barrel from the pitch line at contact
	barrelMPS, ballMPS    float64
}

// example is the swing of most drawings.
var example = swing{attackDeg: 9, descentDeg: 6, offsetM: 0.004, barrelMPS: 30, ballMPS: 36}

var _ zone.Path = swing{}

// start is φ₀, the angle at contact: there the ellipse rises at the attack angle.
func (s swing) start() float64 { return math.Atan(math.Tan(rad(s.attackDeg)) * acrossM / upM) }

// tau is the time constant τ that gives the barrel its speed at contact.
func (s swing) tau() float64 {
	sin, cos := math.Sincos(s.start())
	return sweep * math.Hypot(acrossM*cos, upM*sin) / s.barrelMPS
}

// At implements zone.Path: the barrel, with contact at the origin.
func (s swing) At(t float64) (pos, vel [2]float64) {
	tanh := math.Tanh(t / s.tau())
	sin0, cos0 := math.Sincos(s.start())
	sin, cos := math.Sincos(s.start() + sweep*tanh)
	rate := sweep / s.tau() * (1 - tanh*tanh)
	return [2]float64{acrossM * (sin - sin0), upM * (cos0 - cos)}, [2]float64{rate * acrossM * cos, rate * upM * sin}
}

// when is the time at which the barrel is at an angle of its ellipse.
func (s swing) when(angle float64) float64 { return s.tau() * math.Atanh((angle-s.start())/sweep) }

// finishS is when the barrel is highest, farS when it is nearest the pitcher.
func (s swing) finishS() float64 { return s.when(math.Pi) }
func (s swing) farS() float64    { return s.when(math.Pi / 2) }

// hands run along an ellipse of their own, ahead of the barrel at first and
// overtaken by it.
func (s swing) hands(t float64) [2]float64 {
	lead := math.Atanh(20.0 / 140)
	sin, cos := math.Sincos(rad(45 + 140*math.Tanh(t/(1.3*s.tau())-lead)))
	return [2]float64{-0.30 + 0.35*sin, 0.50 - 0.34*cos}
}

// hip and elbow are the back hip and the back elbow; the elbow draws closer to
// the hip until slotS and falls behind again.
func (s swing) hip(t float64) [2]float64 {
	return [2]float64{-0.56 + 0.06*math.Tanh((t+0.05)/0.05), 0.10}
}

func (s swing) elbow(t float64) [2]float64 {
	apart := 0.11 + 0.16*(1-1/math.Cosh((t-slotS)/0.05))
	return [2]float64{s.hip(t)[0] - apart, 0.34 - 0.08*math.Tanh((t-slotS)/0.05)}
}

const slotS = -0.075

func (s swing) speed(t float64) float64 {
	_, v := s.At(t)
	return math.Hypot(v[0], v[1])
}

const stepS = 0.0001

// launchS is the last instant before contact at which the barrel was slower than
// a tenth of its peak before contact.
func (s swing) launchS() float64 {
	peak := 0.0
	for t := 0.0; t > -5*s.tau(); t -= stepS {
		peak = math.Max(peak, s.speed(t))
	}
	t := 0.0
	for s.speed(t) >= peak/10 {
		t -= stepS
	}
	return t
}

// lagS is when the barrel is farthest behind the hands along the pitch.
func (s swing) lagS() float64 {
	best, at := math.Inf(-1), 0.0
	for t := s.launchS(); t <= 0; t += stepS {
		if d := s.behindHands(t); d > best {
			best, at = d, t
		}
	}
	return at
}

// behindHands is how far the barrel is behind the hands, as the pitch travels.
func (s swing) behindHands(t float64) float64 {
	p, _ := s.At(t)
	h, u := s.hands(t), s.line().Against()
	return (h[0]-p[0])*u[0] + (h[1]-p[1])*u[1]
}

// line is the pitch line: through the ball that touches the barrel at contact.
func (s swing) line() zone.Line {
	u := zone.Line{DescentDeg: s.descentDeg}.Against()
	along := math.Sqrt(nearM*nearM - s.offsetM*s.offsetM)
	return zone.Line{
		PointM:     [2]float64{along*u[0] + s.offsetM*u[1], along*u[1] - s.offsetM*u[0]},
		DescentDeg: s.descentDeg,
	}
}

func (s swing) zone() zone.Zone { return zone.Find(s, s.line(), zone.Limits{DistanceM: nearM}) }

func (s swing) timing() zone.Timing { return s.meet(s) }

func (s swing) meet(barrel zone.Path) zone.Timing {
	return zone.Meet(barrel, s.line().Ball(s.ballMPS), zone.Circles{BallRadiusM: ballR, BarrelRadiusM: barrelR})
}

// late is the same swing, begun later by lateS (earlier when negative).
type late struct {
	swing
	lateS float64
}

// At implements zone.Path.
func (l late) At(t float64) (pos, vel [2]float64) { return l.swing.At(t - l.lateS) }

// handsPath is how far the hands travel from launch to contact, along their path
// and straight.
func (s swing) handsPath() (arcM, chordM float64) {
	first := s.hands(s.launchS())
	prev := first
	for t := s.launchS(); t <= 0; t += stepS {
		h := s.hands(t)
		arcM += math.Hypot(h[0]-prev[0], h[1]-prev[1])
		prev = h
	}
	return arcM, math.Hypot(prev[0]-first[0], prev[1]-first[1])
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }
