package scene

import "math"

// paint is the bat's and the bands' colours.
type paint struct {
	wood, grip, barrel, hands rgb
	gripEnd                   float64 // m from the knob
	gloss, bandGloss          float64
	bandShine                 float64 // sharpness of the gloss
	look                      string
	bandLo, bandHi            float64 // barrel's band, m from the knob
	handLo, handHi            float64
	expose                    float32
	seed                      uint64
}

// The gloss of wood, cloth and metal is usualShine sharp. Reflective tape is foil: bright
// and broad, so that it is white wherever it throws the lamp back (chosen by eye).
const (
	usualShine = 24.0
	foil       = "foil"
	foilGloss  = 3.0
	foilShine  = 9.0
)

const handsBandM = 0.04 // width of the hands' band

func newPaint(p Params) paint {
	c := paint{look: p.BatLook, seed: p.Seed, expose: p.exposed(), barrel: hex(p.BarrelColour), bandGloss: 0.06, bandShine: usualShine}
	if p.BandFinish == foil {
		c.bandGloss, c.bandShine = foilGloss, foilShine
	}
	mark := p.BatLengthM - p.BandFromEndM
	c.bandLo, c.bandHi = mark-p.BandWidthM/2, mark+p.BandWidthM/2
	c.handLo, c.handHi = -1, -1
	if p.HandsColour != "none" {
		c.hands = hex(p.HandsColour)
		c.handLo, c.handHi = mark-p.MarksApartM-handsBandM/2, mark-p.MarksApartM+handsBandM/2
	}
	switch p.BatLook {
	case "dark":
		c.wood, c.gloss = rgb{0.030, 0.026, 0.025}, 0.35
	case "metal":
		c.wood, c.gloss = rgb{0.34, 0.36, 0.39}, 0.7
	default:
		c.wood, c.gloss = rgb{0.50, 0.31, 0.15}, 0.18
	}
	c.grip, c.gripEnd = c.wood, 0
	if p.BatLook != "wood" {
		c.grip, c.gripEnd = rgb{0.02, 0.02, 0.02}, 0.30
	}
	return c
}

// at is the bat's colour where a ray w met it.
func (c *paint) at(k strike, w Vec, lamp *lamp) rgb {
	col, gloss, shine := c.wood, c.gloss, usualShine
	switch {
	case k.s >= c.bandLo && k.s <= c.bandHi:
		col, gloss, shine = c.barrel, c.bandGloss, c.bandShine
	case k.s >= c.handLo && k.s <= c.handHi:
		col, gloss, shine = c.hands, c.bandGloss, c.bandShine
	case k.s < c.gripEnd:
		col, gloss = c.grip, 0.02
	case c.look == "wood":
		col = col.times(float32(0.88 + 0.24*grain(k.s*6, k.normal.Z*5+k.normal.X*3, c.seed)))
	}
	ndl := math.Max(0, k.normal.dot(lamp.dir))
	view := w.unit()
	lit := col.times(float32(lamp.even*0.34 + lamp.direct*0.60*ndl + lamp.even*0.12*math.Max(0, -k.normal.dot(view)) + lamp.upper(k.normal.Z)))
	half := lamp.dir.sub(view).unit()
	spec := float32(gloss * lamp.direct * math.Pow(math.Max(0, k.normal.dot(half)), shine))
	return rgb{lit[0] + spec, lit[1] + spec, lit[2] + spec}.times(c.expose)
}

// leather is the ball's colour: white with two seams.
func (c *paint) leather(n Vec, lamp *lamp, spin float64) rgb {
	sn, cs := math.Sincos(spin)
	x, z := cs*n.X-sn*n.Z, sn*n.X+cs*n.Z
	col := rgb{0.78, 0.77, 0.73}
	seam := math.Abs(z - 0.55*math.Cos(2*math.Atan2(n.Y, x)))
	if seam < 0.07 {
		col = rgb{0.55, 0.30, 0.27}
	}
	return col.times(float32(lamp.even*0.40+lamp.direct*0.58*math.Max(0, n.dot(lamp.dir))+lamp.upper(n.Z)) * c.expose)
}

// shot adds one instant of bat and ball to the exposure.
func (s *Scene) shot(d *studio, v *view, t, jx, jy float64, share float32, lamp *lamp, top, bottom int) {
	knob, dir := s.Bat(t)
	eye := v.cam.Position
	bat := newRod(&s.bat, knob, dir, eye)
	ball, haveBall := s.Ball(t)
	var bx0, by0, bx1, by1 int
	if haveBall {
		px := v.project(ball)
		r := ballRadiusM*v.cam.FocalPx/px.DepthM*1.02 + 1.5
		bx0, bx1 = max(0, int(px.XPx-r)), min(s.P.WidthPx, int(px.XPx+r)+2)
		by0, by1 = max(top, int(px.YPx-r)), min(bottom, int(px.YPx+r)+2)
		haveBall = px.DepthM > 0.3 && bx0 < bx1 && by0 < by1
	}
	put := func(i int, z float64, col rgb) {
		cover := d.people.cover[i]
		alpha := share
		if cover > 0 && float32(z) > d.people.depth[i] {
			alpha *= 1 - cover
			if alpha <= 0 {
				return
			}
		}
		for k := range 3 {
			under := d.base[3*i+k]*(1-cover) + d.people.colour[3*i+k]
			d.acc[3*i+k] += alpha * (col[k] - under)
		}
	}
	s.eachBatPixel(v, knob, dir, top, bottom, func(x, y int) {
		w := v.ray(float64(x)+jx, float64(y)+jy)
		k, ok := bat.hit(w)
		if !ok {
			return
		}
		if haveBall && x >= bx0 && x < bx1 && y >= by0 && y < by1 {
			if _, z, hit := sphere(eye, w, ball, ballRadiusM); hit && z < k.depth {
				return // the ball is nearer
			}
		}
		put(y*s.P.WidthPx+x, k.depth, s.crew.paint.at(k, w, lamp))
	})
	if !haveBall {
		return
	}
	spin := s.spinRPM / 60 * 2 * math.Pi * t
	for y := by0; y < by1; y++ {
		for x := bx0; x < bx1; x++ {
			w := v.ray(float64(x)+jx, float64(y)+jy)
			n, z, ok := sphere(eye, w, ball, ballRadiusM)
			if !ok {
				continue
			}
			if k, hit := bat.hit(w); hit && k.depth < z {
				continue
			}
			put(y*s.P.WidthPx+x, z, s.crew.paint.leather(n, lamp, spin))
		}
	}
}

// eachBatPixel visits, row by row, pixels that the bat may touch: those near
// its axis by the radius there.
func (s *Scene) eachBatPixel(v *view, knob, dir Vec, top, bottom int, visit func(x, y int)) {
	a, b := v.project(knob), v.project(knob.add(dir.mul(s.P.BatLengthM)))
	if !(a.DepthM > 0.3 && b.DepthM > 0.3) {
		return
	}
	near := math.Min(a.DepthM, b.DepthM)
	rb := s.bat.maxM*v.cam.FocalPx/near*1.05 + 1.5
	y0 := max(top, int(math.Floor(math.Min(a.YPx, b.YPx)-rb)))
	y1 := min(bottom, int(math.Ceil(math.Max(a.YPx, b.YPx)+rb))+1)
	dx, dy := b.XPx-a.XPx, b.YPx-a.YPx
	for y := y0; y < y1; y++ {
		lo, hi := 0.0, 1.0
		if math.Abs(dy) > 1e-6 {
			u0, u1 := (float64(y)-rb-a.YPx)/dy, (float64(y)+rb-a.YPx)/dy
			lo, hi = math.Max(0, math.Min(u0, u1)), math.Min(1, math.Max(u0, u1))
			if lo > hi {
				continue
			}
		}
		xa, xb := a.XPx+lo*dx, a.XPx+hi*dx
		x0 := max(0, int(math.Floor(math.Min(xa, xb)-rb)))
		x1 := min(s.P.WidthPx, int(math.Ceil(math.Max(xa, xb)+rb))+1)
		for x := x0; x < x1; x++ {
			visit(x, y)
		}
	}
}
