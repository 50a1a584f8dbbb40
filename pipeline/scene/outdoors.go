package scene

import (
	"math"
	"slices"
)

// The sceneries, besides the cage.
const (
	hedgeScenery = "hedge" // grass, and a hedge close behind
	clayScenery  = "clay"  // bare clay, far off a fence and trees
)

var sceneries = []string{"", hedgeScenery, clayScenery}

// coneProfile is a marker cone, 26 cm high.
var coneProfile = profile{
	at: []float64{0, 0.015, 0.016, 0.25, 0.26}, radius: []float64{0.13, 0.13, 0.10, 0.022, 0.012}, lengthM: 0.26, maxM: 0.13,
}

// furnish sets what is outdoors, and the cones.
func (t *set) furnish(p Params) {
	rnd := newStream(p.Seed, 0x0d00)
	t.scenery, t.lamp = p.Scenery, newLamp(p)
	switch p.Scenery {
	case hedgeScenery:
		t.wallY, t.topM = t.far*rnd.between(2.0, 5), rnd.between(1.9, 3.4)
		t.turf = rgb{0.085, 0.135, 0.035}.mix(rgb{0.15, 0.15, 0.05}, float32(rnd.uniform()))
	case clayScenery:
		t.wallY, t.topM = t.far*rnd.between(7, 14), rnd.between(1.6, 2.2)
		t.turf = rgb{0.36, 0.145, 0.062}.mix(rgb{0.42, 0.20, 0.10}, float32(rnd.uniform()))
	}
	if slices.Contains(p.Distract, "cones") {
		t.coneColour = hex(p.BarrelColour)
		for range 6 {
			t.cones = append(t.cones, Vec{rnd.between(-2, 2.3), t.far * rnd.between(0.4, 3.2), 0})
		}
	}
}

// outdoors gives the light along a ray under the open sky.
func (t *set) outdoors(eye, w Vec, focal float64) rgb {
	depth := math.Inf(1)
	c := t.skyAlong(w)
	if w.Z < -1e-6 {
		depth = -eye.Z / w.Z
		q := eye.add(w.mul(depth))
		c = t.ground(q.X, q.Y, depth/focal)
	}
	if d := (t.wallY - eye.Y) / w.Y; w.Y*t.far > 1e-6 && d > 0 && d < depth {
		q := eye.add(w.mul(d))
		if col, ok := t.backdrop(q.X, q.Z, d/focal); ok {
			c, depth = col, d
		}
	}
	for _, at := range t.cones {
		rod := newRod(&coneProfile, at, Vec{0, 0, 1}, eye)
		if k, ok := rod.hit(w); ok && k.depth < depth {
			c, depth = t.coneColour.times(float32(t.lamp.matt(k.normal))), k.depth
		}
	}
	for _, b := range t.balls {
		if n, d, ok := sphere(eye, w, b, ballRadiusM); ok && d < depth {
			c, depth = rgb{0.70, 0.69, 0.65}.times(float32(0.45+0.5*math.Max(0, n.Z))), d
		}
	}
	if t.tee {
		c = t.teeStem(c, eye, w)
	}
	return c.times(t.exposure)
}

// skyAlong is bright near the horizon and blue above; overcast, grey all over.
func (t *set) skyAlong(w Vec) rgb {
	up := float32(clamp(w.unit().Z*2.5, 0, 1))
	if t.lamp.sky > 0 {
		return rgb{0.78, 0.80, 0.83}.mix(rgb{0.62, 0.65, 0.69}, up)
	}
	return rgb{0.70, 0.78, 0.88}.mix(rgb{0.24, 0.38, 0.66}, up)
}

// backdrop is what stands at the far end, at (x, z) of its plane: a hedge, or a fence
// with trees behind.
func (t *set) backdrop(x, z, px float64) (rgb, bool) {
	lit := t.lamp.matt(Vec{0, -t.far, 0}) + 0.25
	if t.scenery == hedgeScenery {
		top := t.topM + 0.25*(grain(x*1.7, 0.5, t.seed+20)-0.5) + 0.10*(grain(x*9, 0.5, t.seed+21)-0.5)
		if z > top {
			return rgb{}, false
		}
		return t.leaves(x, z, 1, px).times(float32(lit * (0.75 + 0.35*z/t.topM))), true
	}
	if z <= t.topM {
		c := rgb{0.025, 0.085, 0.045}.times(float32(0.8 + 0.3*grain(x*1.3, z*0.6, t.seed+22)))
		if within(x, 3) < 0.07 {
			c = rgb{0.30, 0.31, 0.31}
		}
		return c.times(float32(lit)), true
	}
	if z > 4.5+5*(grain(x*0.22, 0.5, t.seed+23)-0.4) {
		return rgb{}, false
	}
	return t.leaves(x, z, 0.4, px).times(float32(0.75 * lit)), true
}

// leaves is foliage: clumps, twigs and leaves of 3 to 6 cm, with dark gaps between. fine
// scales them up when small.
func (t *set) leaves(x, z, fine, px float64) rgb {
	x, z = x*fine, z*fine
	clump, twig, leaf := grain(x*2.3, z*2.3, t.seed+24), grain(x*9, z*8, t.seed+25), grain(x*27, z*23, t.seed+26)
	light := 0.30*clump + 0.55*twig + 0.75*leaf
	if px*fine < 0.010 {
		light += 0.45 * (grain(x*63, z*55, t.seed+27) - 0.5)
	}
	light = clamp(1.9*(light-0.52), 0.04, 1.25)
	hue := grain(x*17+40, z*15, t.seed+28)
	return rgb{0.075, 0.135, 0.030}.mix(rgb{0.24, 0.32, 0.06}, float32(hue*hue)).times(float32(light))
}

// shadow is how much of the sun a hitter's shadow takes at (x, y) of the ground: long
// under a low sun, away from it.
func (t *set) shadow(x, y float64) float64 {
	if t.lamp.sky > 0 || t.lamp.dir.Z < 0.1 {
		return 0
	}
	dark := 0.0
	for k := range 7 {
		h := 0.15 + 0.25*float64(k) // of the body that throws it, m
		sx, sy := t.feetX-t.lamp.dir.X/t.lamp.dir.Z*h, t.feetY-t.lamp.dir.Y/t.lamp.dir.Z*h
		d := math.Hypot((x-sx)/0.26, (y-sy)/0.26)
		dark = math.Max(dark, bell(d*d*d))
	}
	return dark
}
