package scene

import "math"

// profile is the bat as a surface of revolution: radii at stations along the
// axis from the knob's end, straight in between, closed by a flat disc.
type profile struct {
	at, radius []float64 // m
	lengthM    float64
	maxM       float64
}

func newProfile(lengthM, barrelM float64) profile {
	l, r := lengthM, barrelM/2
	return profile{
		at: []float64{0, 0.006, 0.016, 0.028, 0.30 * l, 0.42 * l, 0.54 * l, 0.63 * l, 0.70 * l, l - 0.040, l - 0.022, l - 0.009, l - 0.002, l},
		radius: []float64{
			0.018, 0.024, 0.023, 0.012, 0.0125, 0.40*r + 0.0035, 0.68 * r, 0.86 * r, r, r, 0.965 * r, 0.80 * r, 0.55 * r, 0.40 * r,
		},
		lengthM: l, maxM: r,
	}
}

// radiusAt is the radius at s metres from the knob's end.
func (p profile) radiusAt(s float64) float64 {
	for i := 1; i < len(p.at); i++ {
		if s <= p.at[i] {
			u := (s - p.at[i-1]) / (p.at[i] - p.at[i-1])
			return p.radius[i-1] + clamp(u, 0, 1)*(p.radius[i]-p.radius[i-1])
		}
	}
	return p.radius[len(p.radius)-1]
}

// rod is a bat placed before a camera, ready for rays from the lens.
type rod struct {
	p      *profile
	axis   Vec
	s0, cc float64
	q0     Vec
}

func newRod(p *profile, knob, axis, lens Vec) rod {
	d := lens.sub(knob)
	s0 := d.dot(axis)
	q0 := d.sub(axis.mul(s0))
	return rod{p, axis, s0, q0.dot(q0), q0}
}

// strike is where a ray meets the bat.
type strike struct {
	depth  float64 // along the ray, whose axial component is 1
	s      float64 // along the bat from the knob's end
	normal Vec
}

// hit follows the ray w from the lens. The radius changes in straight pieces,
// each a quadratic in depth.
func (b *rod) hit(w Vec) (strike, bool) {
	sw := w.dot(b.axis)
	qw := w.sub(b.axis.mul(sw))
	aa, bb := qw.dot(qw), b.q0.dot(qw)
	near := b.cc - bb*bb/aa
	rm := b.p.maxM
	if near > rm*rm {
		return strike{}, false
	}
	mid := -bb / aa
	half := math.Sqrt((rm*rm - near) / aa)
	sA, sB := b.s0+(mid-half)*sw, b.s0+(mid+half)*sw
	if sA > sB {
		sA, sB = sB, sA
	}
	if sB < 0 || sA > b.p.lengthM {
		return strike{}, false
	}
	best := strike{depth: math.Inf(1)}
	slope := 0.0
	for i := 1; i < len(b.p.at); i++ {
		lo, hi := b.p.at[i-1], b.p.at[i]
		if hi < sA {
			continue
		}
		if lo > sB {
			break
		}
		k := (b.p.radius[i] - b.p.radius[i-1]) / (hi - lo)
		r0, r1 := b.p.radius[i-1]+k*(b.s0-lo), k*sw
		a, h, c := aa-r1*r1, bb-r0*r1, b.cc-r0*r0
		disc := h*h - a*c
		if disc < 0 {
			continue
		}
		root := math.Sqrt(disc)
		for _, z := range [2]float64{(-h - root) / a, (-h + root) / a} {
			s := b.s0 + z*sw
			if z > 0 && z < best.depth && s >= lo && s <= hi && r0+z*r1 > 0 {
				best.depth, best.s = z, s
				slope = k
			}
		}
	}
	found := !math.IsInf(best.depth, 1)
	if found {
		q := b.q0.add(qw.mul(best.depth))
		best.normal = q.unit().sub(b.axis.mul(slope)).unit()
	}
	// The flat discs at both ends.
	if sw != 0 {
		for i, s := range [2]float64{0, b.p.lengthM} {
			z := (s - b.s0) / sw
			q := b.q0.add(qw.mul(z))
			r := b.p.radius[i*(len(b.p.radius)-1)]
			if z > 0 && z < best.depth && q.dot(q) <= r*r {
				best = strike{z, s, b.axis.mul(float64(2*i - 1))}
				found = true
			}
		}
	}
	return best, found
}
