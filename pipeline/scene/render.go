package scene

import (
	"math"
	"slices"
)

const (
	minSamples = 16 // of the bat and ball in one exposure; they also smooth edges
	maxSamples = 160
	stripRows  = 8 // rows that share a time with a rolling shutter
)

// studio is the memory one frame is rendered in.
type studio struct {
	base, acc []float32
	net       []float32
	people    *layer
	caps      []capsule
}

// Frame renders frame i as 8-bit sRGB, rows top to bottom, three bytes a pixel.
func (s *Scene) Frame(i int, buf []byte) error {
	if err := s.frameRange(i); err != nil {
		return err
	}
	w, h := s.P.WidthPx, s.P.HeightPx
	if len(buf) != 3*w*h {
		return refuse("buffer", len(buf), "is not the %d bytes of a frame", 3*w*h)
	}
	s.once.Do(func() { s.stage = newStage(s); s.crew = newCrew(s) })
	d, ok := s.pool.Get().(*studio)
	if !ok {
		d = &studio{base: make([]float32, 3*w*h), acc: make([]float32, 3*w*h), people: newLayer(w, h)}
		if s.stage.margin == 0 {
			d.net = s.stage.net
		}
	}
	defer s.pool.Put(d)
	i = s.shown(i)
	s.light(i, d)
	s.develop(i, d.acc)
	s.crew.sensor.expose(d.acc, buf, newNoise(s.P.Seed, 0xf000+uint64(i)))
	return nil
}

// light gathers the light of frame i into d.acc.
func (s *Scene) light(i int, d *studio) {
	v := s.view(i)
	s.stage.base(&v, d.base)
	copy(d.acc, d.base)
	n, nb := s.samples(i)
	rows := s.P.HeightPx
	if s.P.ReadoutMS > 0 {
		rows = stripRows
	}
	for top := 0; top < s.P.HeightPx; top += rows {
		bottom := min(top+rows, s.P.HeightPx)
		t := s.timesS[i]
		if s.P.ReadoutMS > 0 {
			t += s.rowTime(float64(top+bottom-1) / 2)
		}
		s.strip(d, &v, t, n, nb, top, bottom)
	}
	s.drawHider(d, &v)
	s.drawNearNet(d, &v)
}

// samples is how many instants of the bat and ball, and of people, make up the
// exposure: about one a pixel of motion, so that streaks have no gaps.
func (s *Scene) samples(i int) (n, nb int) {
	a, b := s.timesS[i]-s.P.ShutterS/2, s.timesS[i]+s.P.ShutterS/2
	move := func(f func(float64) Vec) float64 {
		p, q := s.Cam.Project(f(a)), s.Cam.Project(f(b))
		return math.Hypot(q.XPx-p.XPx, q.YPx-p.YPx)
	}
	px := move(func(t float64) Vec { return s.onBat(t, s.P.BatLengthM) })
	if ball, ok := s.Ball(s.timesS[i]); ok && s.inPicture(ball, 200) {
		px = math.Max(px, move(func(t float64) Vec { q, _ := s.Ball(t); return q }))
	}
	nb = int(clamp(math.Ceil(move(s.Hands)/1.5), 1, 12))
	if s.crew.rival != nil { // a bat among the people
		nb = max(nb, 8)
	}
	per := int(math.Ceil(clamp(px*1.3, minSamples, maxSamples) / float64(nb)))
	return per * nb, nb
}

func (s *Scene) inPicture(q Vec, margin float64) bool {
	px := s.Cam.Project(q)
	return px.DepthM > 0 && px.XPx > -margin && px.YPx > -margin &&
		px.XPx < float64(s.P.WidthPx)+margin && px.YPx < float64(s.P.HeightPx)+margin
}

// strip renders rows top..bottom, exposed about time t.
func (s *Scene) strip(d *studio, v *view, t float64, n, nb, top, bottom int) {
	lamp := &s.crew.lamp
	per := n / nb
	for j := range nb {
		tb := t + ((float64(j)+0.5)/float64(nb)-0.5)*s.P.ShutterS
		d.people.clear()
		d.caps = s.crew.people(s, tb, d.caps[:0])
		for k := range d.caps {
			d.people.draw(&d.caps[k], v, lamp, d.net, top, bottom)
		}
		l := d.people
		share := 1 / float32(nb)
		for y := l.y0; y < l.y1; y++ {
			for i := y*l.w + l.x0; i < y*l.w+l.x1; i++ {
				if c := l.cover[i]; c > 0 {
					for k := 3 * i; k < 3*i+3; k++ {
						d.acc[k] += share * (l.colour[k] - c*d.base[k])
					}
				}
			}
		}
		for k := range per {
			m := j*per + k
			ts := t + ((float64(m)+0.5)/float64(n)-0.5)*s.P.ShutterS
			// A low-discrepancy sequence over the pixel, so that the samples of
			// one exposure also smooth the edges.
			jx := math.Mod(0.5+float64(m)*0.7548776662466927, 1) - 0.5
			jy := math.Mod(0.5+float64(m)*0.5698402909980532, 1) - 0.5
			s.shot(d, v, ts, jx, jy, 1/float32(n), lamp, top, bottom)
		}
	}
}

// drawHider lays the near shape over everything.
func (s *Scene) drawHider(d *studio, v *view) {
	if !s.hider.on {
		return
	}
	for y := range s.P.HeightPx {
		for x := range s.P.WidthPx {
			sx, sy := v.still(float64(x), float64(y))
			c := float32(s.hider.cover(sx, sy))
			if c == 0 {
				continue
			}
			shade := float32(0.7+0.6*grain(sx/40, sy/60, s.P.Seed)) * s.stage.set.exposure
			for k := range 3 {
				i := 3*(y*s.P.WidthPx+x) + k
				d.acc[i] += c * (s.hider.colour[k]*shade - d.acc[i])
			}
		}
	}
}

// crew is what moves: the hitter's and the bystanders' looks, the bat's paint.
type crew struct {
	sensor *sensor
	hitter outfit
	others []extra
	paint  paint
	expose float32
	lamp   lamp
	rival  *rival
}

// extra is a person who is not the hitter.
type extra struct {
	o             outfit
	x, y, tall    float64
	dir           Vec
	speed, stride float64
	cuff          *rgb // colour of bands on the wrists
}

func newCrew(s *Scene) *crew {
	p := s.P
	rnd := newNoise(p.Seed, 0xc4e3)
	c := &crew{sensor: newSensor(p.Light), hitter: newOutfit(rnd), expose: p.exposed(), lamp: newLamp(p)}
	hue := hex(p.BarrelColour)
	if slices.Contains(p.Distract, "sleeve") {
		c.hitter.sleeve = hue.mix(rgb{0.25, 0.2, 0.25}, 0.35).times(0.8)
		c.hitter.longSleeve = true
	}
	far := -p.cameraSide()
	behind := s.stage.set.netY + far*0.5
	if slices.Contains(p.Distract, "bystander") {
		o := newOutfit(rnd)
		o.helmet, o.longSleeve = false, true
		o.jersey = hue.mix(rgb{0.2, 0.2, 0.2}, 0.1).times(float32(rnd.between(0.6, 0.95)))
		o.sleeve = o.jersey
		c.others = append(c.others, extra{o: o, x: rnd.between(-1.7, 2.0), y: behind, tall: rnd.between(0.92, 1.03), dir: Vec{0.3, -far, 0}.unit()})
	}
	if slices.Contains(p.Distract, "coach") {
		o := newOutfit(rnd)
		o.helmet = false
		dir := 1.0
		if rnd.uniform() < 0.5 {
			dir = -1
		}
		c.others = append(c.others, extra{
			o: o, x: rnd.between(-1, 1.2), y: behind + far*0.3, tall: rnd.between(0.95, 1.05),
			dir: Vec{dir, 0, 0}, speed: 1.3, stride: 1,
		})
	}
	if slices.Contains(p.Distract, "crowd") {
		var crowd []extra
		crowd, c.rival = newCrowd(p, behind)
		c.others = append(c.others, crowd...)
	}
	c.paint = newPaint(p)
	return c
}

// people gives everyone's capsules at time t.
func (c *crew) people(s *Scene, t float64, out []capsule) []capsule {
	for _, e := range c.others {
		q := e.walking(t)
		out = append(out, q.figure(e.o, true)...)
		if e.cuff != nil {
			out = append(out, q.cuffs(*e.cuff)...)
		}
	}
	if c.rival != nil {
		out = append(out, c.rival.figure(s, t)...)
	}
	q := s.pose(t)
	out = append(out, q.figure(c.hitter, false)...)
	out = append(out, q.bands(s.P.Bands, s.P.bandColour)...)
	for i := range out {
		out[i].colour = out[i].colour.times(c.expose)
	}
	return out
}
