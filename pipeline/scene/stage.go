package scene

import (
	"math"
	"slices"
)

// stage is the cage without people: rendered once, a little larger than the
// picture when the camera shakes.
type stage struct {
	w, h, margin int
	lin          []float32 // linear light, three values a pixel
	net          []float32 // how much of the pixel the net's strings cover
	near         []float32 // and those of a net before the lens; nil without
	set          set
}

// set is the furniture of the cage. Distances are in the world; far is the
// sign of y away from the camera.
type set struct {
	far             float64
	netY, wallY     float64
	posts           []float64
	balls           []Vec
	tee             bool
	teeAt           Vec
	jacket          bool
	jacketX         float64
	jacketColour    rgb
	screenX         float64
	turf, wall, pad rgb
	seed            uint64
	feetX, feetY    float64
	exposure        float32
	lamps           [3]float64
	scenery         string
	topM            float64 // of the hedge or fence
	lamp            lamp
	cones           []Vec
	coneColour      rgb
}

func newSet(s *Scene) set {
	p := s.P
	rnd := newNoise(p.Seed, 0x5e7)
	far := -p.cameraSide()
	t := set{far: far, netY: far * rnd.between(2.1, 2.6), wallY: far * rnd.between(3.6, 4.6), seed: p.Seed, exposure: p.exposed()}
	first := rnd.between(-3.2, -2.2)
	for x := first; x < 5; x += 2.4 {
		t.posts = append(t.posts, x)
	}
	t.turf = rgb{0.078, 0.150, 0.062}.mix(rgb{0.105, 0.150, 0.080}, float32(rnd.uniform()))
	walls := []rgb{{0.55, 0.56, 0.57}, {0.44, 0.47, 0.50}, {0.58, 0.55, 0.49}}
	t.wall = walls[rnd.next()%3]
	pads := []rgb{{0.06, 0.10, 0.18}, {0.11, 0.12, 0.125}, {0.045, 0.12, 0.09}}
	t.pad = pads[rnd.next()%3]
	t.screenX = rnd.between(1.5, 2.2)
	t.lamps = [3]float64{rnd.between(-2.5, -1.5), rnd.between(0, 0.8), rnd.between(2.5, 3.5)}
	foot := Vec{s.swing.shift.X, s.swing.shift.Y, 0}.flip(p.hitSide())
	t.feetX, t.feetY = foot.X-0.1, foot.Y+0.84*p.hitSide()
	n := 0
	if slices.Contains(p.Distract, "balls") {
		n = 7
	}
	for range n {
		t.balls = append(t.balls, Vec{rnd.between(-1.6, 1.9), far * rnd.between(-1.2, 1.7), ballRadiusM})
	}
	if slices.Contains(p.Distract, "jacket") {
		t.jacket = true
		t.jacketX = rnd.between(-1.5, 1.9)
		t.jacketColour = hex(p.BarrelColour).mix(rgb{0.2, 0.2, 0.2}, 0.12).times(float32(rnd.between(0.55, 0.95)))
	}
	if p.Kind == "tee" {
		t.tee, t.teeAt = true, s.teeBall.flip(p.hitSide())
	}
	t.furnish(p)
	return t
}

// bell falls from 1 at 0 much as exp(-q), and is quicker.
func bell(q float64) float64 { q = 1 + q/3; return 1 / (q * q * q) }

// within is a modulo m, in 0..m.
func within(a, m float64) float64 { return a - m*math.Floor(a/m) }

// over is coverage of a line of width w at distance d, seen through a pixel px wide.
func over(d, w, px float64) float32 {
	k := (w+px)/2 - d
	if k <= 0 {
		return 0
	}
	return float32(min(k, w, px) / px)
}

// ground gives the turf with plate and chalk at (x, y).
func (t *set) ground(x, y, px float64) rgb {
	g := 0.55*grain(x*9, y*9, t.seed) + 0.35*grain(x*41, y*41, t.seed+1) + 0.3*grain(x*2.1, y*2.1, t.seed+2)
	if px < 0.012 {
		g += 0.35 * (grain(x*160, y*160, t.seed+3) - 0.5)
	}
	c := t.turf.times(float32(0.55 + 0.75*g))
	if t.scenery == "" && math.Abs(within(math.Abs(y-t.far*0.6), 3.6)-1.8) < 0.008 { // a seam of the carpet
		c = c.times(0.7)
	}
	// Wear where hitters stand.
	for _, side := range [2]float64{-1, 1} {
		d := math.Hypot((x+0.1)/0.75, (y-side*0.85)/0.35)
		if d < 1.3 {
			c = c.mix(rgb{0.11, 0.10, 0.075}, float32(0.45*(1-d/1.3)))
		}
	}
	chalk := float32(0)
	line := func(d, lo, hi, v float64) {
		if v > lo && v < hi {
			chalk = max(chalk, over(math.Abs(d), 0.05, px))
		}
	}
	for _, side := range [2]float64{-1, 1} {
		in, out := 0.368*side, 1.588*side
		lo, hi := math.Min(in, out), math.Max(in, out)
		line(y-in, -0.915, 0.915, x)
		line(y-out, -0.915, 0.915, x)
		line(x-0.915, lo, hi, y)
		line(x+0.915, lo, hi, y)
	}
	chalk *= float32(0.65 + 0.35*grain(x*25, y*25, t.seed+4))
	c = c.mix(rgb{0.72, 0.72, 0.70}, chalk*0.85)
	if plate(x, y) {
		c = rgb{0.80, 0.80, 0.78}.times(float32(0.9 + 0.1*grain(x*30, y*30, t.seed+5)))
	}
	lit := 0.70
	for _, lx := range t.lamps {
		lit += 0.22 * bell((x-lx)*(x-lx)/1.8)
	}
	d := math.Hypot((x-t.feetX)/0.62, (y-t.feetY)/0.30) // the hitter's shadow
	lit *= 1 - 0.42*bell(d*d)
	if t.scenery != "" {
		lit = t.lamp.matt(Vec{0, 0, 1}) * (1 - 0.5*t.shadow(x, y))
	}
	for _, b := range t.balls {
		if dx, dy := x-b.X, y-b.Y; math.Abs(dx) < 0.2 && math.Abs(dy) < 0.2 {
			lit *= 1 - 0.5*bell((dx*dx+dy*dy)/0.0025)
		}
	}
	return c.times(float32(lit))
}

// plate is home plate: 17 in wide, point towards the catcher.
func plate(x, y float64) bool {
	ay := math.Abs(y)
	return x <= 0.216 && ay <= 0.216 && x >= -0.216+ay
}

// backWall is the building's wall with its padded foot.
func (t *set) backWall(x, z, px float64) rgb {
	c := t.wall
	if z < 1.25 {
		c = t.pad
		u := within(x, 1.2)
		if u < 0.02 || u > 1.18 {
			c = c.times(0.55)
		}
		b := 2 * math.Abs(u/1.2-0.5)
		bulge := 1 - b*b*b*b*b*b
		c = c.times(float32(0.8 + 0.3*bulge))
	} else if px < 0.03 {
		c = c.times(float32(0.94 + 0.10*math.Sin(x*2*math.Pi/0.30)))
	}
	if math.Abs(z-1.27) < 0.025 {
		c = rgb{0.30, 0.26, 0.20}
	}
	c = c.times(float32(0.93 + 0.14*grain(x*3, z*3, t.seed+6)))
	lit := 0.55 + 0.10*math.Min(z, 3)
	high := 0.18 * bell((z-2.8)*(z-2.8)/3)
	for _, lx := range t.lamps {
		lit += high * bell((x-lx)*(x-lx)/1.5)
	}
	return c.times(float32(lit))
}

// strings is the net's coverage at (x, z) of its plane.
func (t *set) strings(x, z, px float64) float32 {
	if z < 0 || z > 3.6 {
		return 0
	}
	const mesh, cord = 0.045, 0.0026
	sag := 0.03 * math.Sin(x*2.6)
	u, v := (x+z+sag)/math.Sqrt2, (x-z-sag)/math.Sqrt2
	d := func(a float64) float64 { a = within(a, mesh); return math.Min(a, mesh-a) }
	cu, cv := over(d(u), cord, px), over(d(v), cord, px)
	return cu + cv - cu*cv
}

// look gives the light along a ray, and how much of it the net covers.
func (t *set) look(eye, w Vec, focal float64) (rgb, float32) {
	if t.scenery != "" {
		return t.outdoors(eye, w, focal), 0
	}
	depth := math.Inf(1)
	var c rgb
	if w.Z < -1e-6 {
		depth = -eye.Z / w.Z
		q := eye.add(w.mul(depth))
		c = t.ground(q.X, q.Y, depth/focal)
	}
	along := w.Y * t.far
	if along > 1e-6 {
		if d := (t.wallY - eye.Y) / w.Y; d > 0 && d < depth {
			depth = d
			q := eye.add(w.mul(d))
			c = t.backWall(q.X, q.Z, d/focal)
		}
	}
	if math.IsInf(depth, 1) {
		c = rgb{0.3, 0.3, 0.32}
	}
	cover := float32(0)
	if along > 1e-6 {
		if d := (t.netY - eye.Y) / w.Y; d > 0 && d < depth {
			q := eye.add(w.mul(d))
			px := d / focal
			cover = t.strings(q.X, q.Z, px)
			c = c.mix(rgb{0.035, 0.035, 0.037}, cover)
			c, cover = t.netFurniture(c, cover, q, px)
			depth = d
		}
	}
	for _, at := range t.cones {
		rod := newRod(&coneProfile, at, Vec{0, 0, 1}, eye)
		if k, ok := rod.hit(w); ok && k.depth < depth {
			c, depth, cover = t.coneColour.times(float32(t.lamp.matt(k.normal))), k.depth, 0
		}
	}
	for _, b := range t.balls {
		if n, d, ok := sphere(eye, w, b, ballRadiusM); ok && d < depth {
			c = rgb{0.70, 0.69, 0.65}.times(float32(0.45 + 0.5*math.Max(0, n.Z)))
			depth, cover = d, 0
		}
	}
	if t.tee {
		c = t.teeStem(c, eye, w)
	}
	return c.times(t.exposure), cover
}

// netFurniture is what stands or hangs in the net's plane: posts, ropes, a
// protective screen, the jacket.
func (t *set) netFurniture(c rgb, cover float32, q Vec, px float64) (rgb, float32) {
	lay := func(col rgb, k float32) { c = c.mix(col, k); cover = max(cover, k) }
	for _, z := range [2]float64{0.04, 3.1} {
		lay(rgb{0.10, 0.10, 0.10}, over(math.Abs(q.Z-z), 0.018, px))
	}
	for _, x := range t.posts {
		d := q.X - x
		if k := over(math.Abs(d), 0.06, px); k > 0 && q.Z > 0 && q.Z < 3.3 {
			lay(rgb{0.34, 0.35, 0.36}.times(float32(0.45+0.75*math.Max(0, 1-math.Abs(d/0.03+0.3)))), k)
		}
	}
	// An L-screen pushed aside: tubes with a finer net.
	x, z := q.X-t.screenX, q.Z
	frame := float32(0)
	tube := func(d, lo, hi, v float64) {
		if v > lo && v < hi {
			frame = max(frame, over(math.Abs(d), 0.038, px))
		}
	}
	tube(x, 0, 2.1, z)
	tube(x-2.1, 0, 1.25, z)
	tube(x-1.0, 1.25, 2.1, z)
	tube(z-2.1, 0, 1.0, x)
	tube(z-1.25, 1.0, 2.1, x)
	tube(z-0.05, 0, 2.1, x)
	if z > 0 && z < 2.1 && x > 0 && (x < 1.0 || z < 1.25) && x < 2.1 {
		m := func(a float64) float64 { a = within(a, 0.03); return math.Min(a, 0.03-a) }
		lay(rgb{0.5, 0.5, 0.48}, 0.7*max(over(m(x), 0.003, px), over(m(z), 0.003, px)))
	}
	lay(rgb{0.30, 0.31, 0.33}, frame)
	if t.jacket {
		if col, ok := t.cloth(q.X-t.jacketX, q.Z); ok {
			lay(col, 1)
		}
	}
	return c, cover
}

// cloth is the jacket on its hook, x and z from the hook's foot.
func (t *set) cloth(x, z float64) (rgb, bool) {
	top, low := 1.72, 0.98
	if z > top || z < low {
		return rgb{}, false
	}
	v := (top - z) / (top - low)
	half := 0.05 + 0.20*math.Sqrt(math.Min(1, v*4)) + 0.03*v + 0.012*math.Sin(z*23)
	sleeve := math.Abs(math.Abs(x)-half-0.01) < 0.055 && v > 0.12 && v < 0.85
	if math.Abs(x) > half && !sleeve {
		return rgb{}, false
	}
	fold := 0.62 + 0.22*math.Sin(x*31+3*math.Sin(z*5)) + 0.2*(1-v) + 0.2*(grain(x*18, z*7, t.seed+8)-0.5)
	if sleeve {
		fold *= 0.85
	}
	return t.jacketColour.times(float32(fold)), true
}

// teeStem is the batting tee under the ball.
func (t *set) teeStem(c rgb, eye, w Vec) rgb {
	top := t.teeAt.Z - ballRadiusM
	if w.Z < 0 { // its foot, a flat disc
		q := eye.add(w.mul(-eye.Z / w.Z))
		if math.Hypot(q.X-t.teeAt.X, q.Y-t.teeAt.Y) < 0.16 {
			c = rgb{0.03, 0.03, 0.032}
		}
	}
	if d := (t.teeAt.Y - eye.Y) / w.Y; d > 0 {
		q := eye.add(w.mul(d))
		if x := q.X - t.teeAt.X; math.Abs(x) < 0.021 && q.Z > 0 && q.Z < top {
			c = rgb{0.05, 0.05, 0.055}.times(float32(0.5 + 0.8*(1-math.Abs(x/0.021))))
		}
	}
	return c
}

// sphere gives the normal and depth at which a ray first meets a ball.
func sphere(eye, w, at Vec, r float64) (Vec, float64, bool) {
	d := eye.sub(at)
	a, b, c := w.dot(w), d.dot(w), d.dot(d)-r*r
	disc := b*b - a*c
	if disc < 0 {
		return Vec{}, 0, false
	}
	z := (-b - math.Sqrt(disc)) / a
	if z <= 0 {
		return Vec{}, 0, false
	}
	return d.add(w.mul(z)).mul(1 / r), z, true
}

// newStage renders the cage with four rays a pixel.
func newStage(s *Scene) *stage {
	m := 0
	for _, k := range s.shakes {
		reach := math.Max(math.Abs(k.dxPx), math.Abs(k.dyPx)) + math.Abs(k.rotRad)*math.Hypot(s.Cam.CXPx, s.Cam.CYPx)
		m = max(m, int(math.Ceil(reach))+2)
	}
	if !s.P.moves() {
		m = 0
	}
	st := &stage{w: s.P.WidthPx + 2*m, h: s.P.HeightPx + 2*m, margin: m, set: newSet(s)}
	st.lin = make([]float32, 3*st.w*st.h)
	st.net = make([]float32, st.w*st.h)
	for y := range st.h {
		for x := range st.w {
			var sum rgb
			var net float32
			for k := range 4 {
				dx, dy := float64(k&1)/2-0.25, float64(k>>1)/2-0.25
				c, n := st.set.look(s.Cam.Position, s.Cam.ray(float64(x-m)+dx, float64(y-m)+dy), s.Cam.FocalPx)
				sum = rgb{sum[0] + c[0]/4, sum[1] + c[1]/4, sum[2] + c[2]/4}
				net += n / 4
			}
			i := y*st.w + x
			copy(st.lin[3*i:], sum[:])
			st.net[i] = net
		}
	}
	st.near = nearNet(s.P, &s.Cam, st)
	return st
}

// base fills out with the cage as frame view v sees it.
func (st *stage) base(v *view, out []float32) {
	if st.margin == 0 {
		copy(out, st.lin)
		return
	}
	w, h := st.w-2*st.margin, st.h-2*st.margin
	m := float64(st.margin)
	for y := range h {
		for x := range w {
			sx, sy := v.still(float64(x), float64(y))
			sx, sy = clamp(sx+m, 0, float64(st.w)-1.001), clamp(sy+m, 0, float64(st.h)-1.001)
			ix, iy := int(sx), int(sy)
			fx, fy := float32(sx-float64(ix)), float32(sy-float64(iy))
			a := st.lin[3*(iy*st.w+ix) : 3*(iy*st.w+ix)+6 : 3*(iy*st.w+ix)+6]
			b := st.lin[3*((iy+1)*st.w+ix) : 3*((iy+1)*st.w+ix)+6 : 3*((iy+1)*st.w+ix)+6]
			o := out[3*(y*w+x) : 3*(y*w+x)+3 : 3*(y*w+x)+3]
			for k := range 3 {
				up := a[k] + fx*(a[k+3]-a[k])
				lo := b[k] + fx*(b[k+3]-b[k])
				o[k] = up + fy*(lo-up)
			}
		}
	}
}
