package scene

import "math"

// SwingTruth is the swing by its definitions, taken from the continuous motion
// projected square onto the vertical plane of the pitch.
type SwingTruth struct {
	Index int       `json:"index"`
	Keys  KeysTruth `json:"keys"`
	// Metrics are the true metrics by their paths in metrics.json, as each is measured:
	// the body as the picture shows it, at the scale of the plate's centre, and the
	// barrel's speed in space. What the swing has not is left out.
	Metrics Numbers `json:"metrics"`
}

// Numbers are true numbers by their names.
type Numbers map[string]float64

// set keeps a number that is finite.
func (n Numbers) set(path string, v float64) {
	if finite(v) {
		n[path] = v
	}
}

// KeyTruth is one key position; frame counts from 0 at mid-exposure.
type KeyTruth struct {
	TimeS *float64 `json:"t_s"`
	Frame *float64 `json:"frame"`
}

// KeysTruth are the key positions.
type KeysTruth struct {
	Launch  KeyTruth `json:"launch"`
	Slot    KeyTruth `json:"slot"`
	Lag     KeyTruth `json:"lag"`
	Contact KeyTruth `json:"contact"`
	Finish  KeyTruth `json:"finish"`
}

// denseS is the step of the dense sampling, s (40 kHz).
const denseS = 1.0 / 40000

// wholeSwingS after contact the swing is over; the truth of the swing goes so
// far even when the clip ends before.
const wholeSwingS = 0.45

// launchShare is the share of the peak speed under which the swing has not
// begun, and has ended.
const launchShare = 0.10

// film is the barrel's continuous motion in the plane, densely sampled.
type film struct {
	from    float64
	x, z    []float64 // m
	vx, vz  []float64 // m/s
	hands   []float64 // speed, m/s
	ahead   []float64 // of it, towards the pitcher
	contact int       // index of t = 0
}

func (s *Scene) newFilm() *film {
	before := int(math.Round(0.60 / denseS))
	after := int(math.Round((math.Max(s.P.RunOutS, wholeSwingS) + 0.02) / denseS))
	n := before + after + 1
	f := &film{
		from: -float64(before) * denseS, contact: before,
		x: make([]float64, n), z: make([]float64, n), vx: make([]float64, n), vz: make([]float64, n),
		hands: make([]float64, n), ahead: make([]float64, n),
	}
	for i := range n {
		t := f.time(i)
		q, v, h := s.Mark(t), velocity(s.Mark, t), velocity(s.Hands, t)
		f.x[i], f.z[i], f.vx[i], f.vz[i], f.hands[i], f.ahead[i] = q.X, q.Z, v.X, v.Z, math.Hypot(h.X, h.Z), h.X
	}
	return f
}

func (f *film) time(i int) float64   { return f.from + float64(i)*denseS }
func (f *film) speed(i int) float64  { return math.Hypot(f.vx[i], f.vz[i]) }
func (f *film) attack(i int) float64 { return math.Atan2(f.vz[i], f.vx[i]) / degree }

// at gives the place at any time.
func (f *film) at(t float64) (x, z float64) {
	u := (t - f.from) / denseS
	i := int(clamp(math.Floor(u), 0, float64(len(f.x)-2)))
	u -= float64(i)
	x, _ = hermite(u, denseS, f.x[i], f.x[i+1], f.vx[i], f.vx[i+1])
	z, _ = hermite(u, denseS, f.z[i], f.z[i+1], f.vz[i], f.vz[i+1])
	return x, z
}

// crossing is the time between samples i and i+1 at which a value goes through
// zero, by straight line; the step is far shorter than any bar on a time.
func (f *film) crossing(i int, a, b float64) float64 {
	return f.time(i) + denseS*clamp(a/(a-b), 0, 1)
}

func (s *Scene) swingTruth() SwingTruth {
	f := s.newFilm()
	out := SwingTruth{Metrics: Numbers{}}
	set := out.Metrics.set
	c := f.contact
	peakBefore := 0.0
	for i := range f.x {
		v := f.speed(i)
		if i <= c {
			peakBefore = math.Max(peakBefore, v)
		}
	}
	// Launch: last instant before contact under a tenth of that peak.
	launch := 0
	launchS := math.NaN()
	for i := c; i > 0; i-- {
		if f.speed(i) < launchShare*peakBefore {
			launch = i
			launchS = f.crossing(i, f.speed(i)-launchShare*peakBefore, f.speed(i+1)-launchShare*peakBefore)
			break
		}
	}
	pitch := s.pitchLine()
	w := [2]float64{math.Cos(pitch.descent * degree), math.Sin(pitch.descent * degree)}
	lag := launch
	farthest := math.Inf(-1)
	for i := launch; i <= c; i += 4 {
		h := s.Hands(f.time(i))
		if d := (h.X-f.x[i])*w[0] + (h.Z-f.z[i])*w[1]; d > farthest {
			farthest, lag = d, i
		}
	}
	finish := c
	for i := c; i < len(f.z) && (i < c+200 || f.speed(i) >= launchShare*peakBefore); i++ {
		if f.z[i] > f.z[finish] {
			finish = i
		}
	}
	slotS, lagS, finishS := f.slot(launch, lag), f.time(lag), f.time(finish)
	if s.checked {
		set("pitch.descent_deg", pitch.descent)
		set("pitch.speed_mps", pitch.speed)
		return out
	}
	out.Keys = KeysTruth{s.key(launchS), s.key(slotS), s.key(lagS), s.key(0), s.key(finishS)}
	set("plane.attack_deg", f.attack(c))
	if pitch.ok {
		set("pitch.descent_deg", pitch.descent)
		set("pitch.speed_mps", pitch.speed)
		set("plane.gap_deg", f.attack(c)-pitch.descent)
		set("plane.offset_m", pitch.above(f.x[c], f.z[c]))
		s.zone(out.Metrics, f, pitch)
		if !s.hit {
			set("timing.late_s", s.lateS(pitch, f.x[c], f.z[c]))
		}
		solid, touch := s.timing(f)
		solid.putWindow(out.Metrics, "timing.solid")
		touch.putWindow(out.Metrics, "timing.any")
	}
	hands := 0.0
	for i := launch; i <= c; i++ {
		hands = math.Max(hands, f.hands[i])
	}
	peak3 := 0.0
	for i := launch; i < len(f.x); i += 4 {
		peak3 = math.Max(peak3, velocity(s.Mark, f.time(i)).norm())
	}
	set("speed.barrel_contact_mps", velocity(s.Mark, 0).norm())
	set("speed.barrel_peak_mps", peak3)
	set("speed.hands_peak_mps", hands)
	set("tempo.launch_contact_s", -launchS)
	set("tempo.launch_lag_s", lagS-launchS)
	set("tempo.lag_contact_s", -lagS)
	if finite(launchS) {
		s.body(out.Metrics, launchS, slotS, lagS)
	}
	forward := c
	for i := c; i < len(f.x); i++ {
		if f.x[i] > f.x[forward] {
			forward = i
		}
	}
	set("finish.height_m", f.z[finish]-f.z[c])
	set("finish.above_shoulder_m", f.z[finish]-s.pose(finishS).leadShoulder.Z)
	set("finish.extension_m", f.x[forward]-f.x[c])
	set("finish.extension_s", f.time(forward))
	return out
}

// slot is when, after launch and before lag, the hands' speed towards the pitcher first
// reaches half of its peak before contact; NaN when it does so before or after.
func (f *film) slot(launch, lag int) float64 {
	peak := 0.0
	for i := launch; i <= f.contact; i++ {
		peak = math.Max(peak, f.ahead[i])
	}
	for i := launch; i < lag; i++ {
		if f.ahead[i+1] >= peak/2 {
			if f.ahead[i] >= peak/2 {
				break
			}
			return f.crossing(i, f.ahead[i]-peak/2, f.ahead[i+1]-peak/2)
		}
	}
	return math.NaN()
}

// some gives a number, null when it is not finite.
func some(v float64) *float64 {
	if !finite(v) {
		return nil
	}
	return &v
}

// key places a time among the frames.
func (s *Scene) key(t float64) KeyTruth {
	if !finite(t) {
		return KeyTruth{}
	}
	i, n := 0, len(s.timesS)
	for i < n-2 && s.timesS[i+1] < t {
		i++
	}
	f := float64(i) + (t-s.timesS[i])/(s.timesS[i+1]-s.timesS[i])
	return KeyTruth{some(t), some(f)}
}

// pitchLine is the tangent of the pitch at contact.
type pitchLine struct {
	ok                   bool
	x, z, descent, speed float64
}

func (s *Scene) pitchLine() pitchLine {
	if !s.P.thrown() {
		return pitchLine{}
	}
	b := s.pitch.at(s.ballZero)
	return pitchLine{true, b.x, b.z, b.descentDeg(), b.speed()}
}

// above is the distance over the line, along how far towards the pitcher.
func (l pitchLine) above(x, z float64) float64 {
	sn, cs := math.Sincos(l.descent * degree)
	return -(x-l.x)*sn + (z-l.z)*cs
}

func (l pitchLine) along(x, z float64) float64 {
	sn, cs := math.Sincos(l.descent * degree)
	return (x-l.x)*cs + (z-l.z)*sn
}
