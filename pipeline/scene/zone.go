package scene

import "math"

// alongDeg is how far the barrel's travel may be off the reversed pitch line.
const alongDeg = 10

// zone finds the runs of time around contact, or nearest to it, in which the
// barrel is near the pitch line, travels along it, and both.
func (s *Scene) zone(to Numbers, f *film, line pitchLine) {
	reach := s.P.reachM()
	near := func(i int) float64 { return reach - math.Abs(line.above(f.x[i], f.z[i])) }
	along := func(i int) float64 {
		return alongDeg - math.Abs(wrapDeg(f.attack(i)-line.descent))
	}
	both := func(i int) float64 { return math.Min(near(i)/reach, along(i)/alongDeg) }
	f.run(near).put(to, "zone.near")
	f.run(along).put(to, "zone.along")
	r := f.run(both)
	r.put(to, "zone")
	if !r.ok {
		return
	}
	x0, z0 := f.at(r.enter)
	x1, z1 := f.at(r.leave)
	here := line.along(f.x[f.contact], f.z[f.contact])
	a, b := line.along(x0, z0), line.along(x1, z1)
	to.set("zone.length_m", b-a)
	to.set("zone.behind_m", here-a)
	to.set("zone.ahead_m", b-here)
}

func wrapDeg(d float64) float64 { return d - 360*math.Round(d/360) }

// span is a run of time.
type span struct {
	ok           bool
	enter, leave float64
}

func (r span) put(to Numbers, group string) {
	if r.ok {
		to.set(group+".enter_s", r.enter)
		to.set(group+".leave_s", r.leave)
		to.set(group+".duration_s", r.leave-r.enter)
	}
}

// run is the span in which value stays positive: the one that holds contact,
// else the nearest to it within a quarter of a second.
func (f *film) run(value func(int) float64) span {
	n := len(f.x)
	in := f.contact
	if value(in) < 0 {
		in = -1
		for d := 1; float64(d)*denseS < 0.25; d++ {
			if i := f.contact - d; i >= 0 && value(i) >= 0 {
				in = i
				break
			}
			if i := f.contact + d; i < n && value(i) >= 0 {
				in = i
				break
			}
		}
		if in < 0 {
			return span{}
		}
	}
	a, b := in, in
	for a > 0 && value(a-1) >= 0 {
		a--
	}
	for b < n-1 && value(b+1) >= 0 {
		b++
	}
	r := span{true, f.time(a), f.time(b)}
	if a > 0 {
		r.enter = f.crossing(a-1, value(a-1), value(a))
	}
	if b < n-1 {
		r.leave = f.crossing(b, value(b), value(b+1))
	}
	return r
}

// solidM is half an inch, the offset under which contact is called solid
// (common practice).
const solidM = 0.0127

const (
	slideS     = 0.120 // how far the swing is slid either way
	slideStepS = 0.0001
	touchStepS = 0.00001 // a graze shorter than this is no touch
	touchFromS = -0.22   // where a first touch is looked for, about contact
	touchToS   = 0.22
)

// timing slides the barrel's motion, as it was, against the pitch carried on
// as if not hit. A positive slide is a later swing.
func (s *Scene) timing(f *film) (solid, touch span) {
	touch = slideRuns(func(d float64) float64 { _, ok := s.firstTouch(f, d); return sign(ok) })
	solid = slideRuns(func(d float64) float64 {
		off, ok := s.firstTouch(f, d)
		return sign(ok && off <= solidM)
	})
	return solid, touch
}

// putWindow sets a run of slides: how much earlier and later the swing could have been.
func (r span) putWindow(to Numbers, group string) {
	if r.ok {
		to.set(group+".early_s", -r.enter)
		to.set(group+".late_s", r.leave)
		to.set(group+".window_s", r.leave-r.enter)
	}
}

func sign(ok bool) float64 {
	if ok {
		return 1
	}
	return -1
}

// slideRuns finds the run of slides around 0, or nearest to it.
func slideRuns(value func(float64) float64) span {
	n := int(math.Round(slideS / slideStepS))
	in, found := 0, false
	for d := 0; d <= n && !found; d++ {
		for _, k := range [2]int{-d, d} {
			if value(float64(k)*slideStepS) > 0 {
				in, found = k, true
				break
			}
		}
	}
	if !found {
		return span{}
	}
	edge := func(step int) float64 {
		k := in
		for k > -n && k < n && value(float64(k+step)*slideStepS) > 0 {
			k += step
		}
		lo, hi := float64(k)*slideStepS, float64(k+step)*slideStepS
		for range 30 {
			if mid := (lo + hi) / 2; value(mid) > 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	return span{true, edge(-1), edge(1)}
}

// firstTouch finds where the circles of ball and barrel first touch when the
// swing is later by d, and the offset: the distance between the line of
// relative motion and the line of centres' far end.
func (s *Scene) firstTouch(f *film, d float64) (float64, bool) {
	reach := s.P.reachM()
	gap := func(t float64) (dx, dz, g float64) {
		bx, bz := f.at(t - d)
		b := s.pitch.at(t + s.ballZero)
		dx, dz = b.x-bx, b.z-bz
		return dx, dz, math.Hypot(dx, dz) - reach
	}
	for t := touchFromS; t < touchToS; {
		_, _, g := gap(t)
		if g > 0 {
			// Neither is faster than 90 m/s together, so a wide gap may be leapt.
			t += math.Max(touchStepS, g/100)
			continue
		}
		lo, hi := t-touchStepS, t
		for range 40 {
			mid := (lo + hi) / 2
			if _, _, g := gap(mid); g > 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		const h = 1e-6
		x0, z0, _ := gap(hi - h)
		x1, z1, _ := gap(hi)
		vx, vz := (x1-x0)/h, (z1-z0)/h
		return math.Abs(x1*vz-z1*vx) / math.Hypot(vx, vz), true
	}
	return 0, false
}
