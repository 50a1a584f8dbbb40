package scene

import "math"

// Truth is what a measurement of the clip should find.
type Truth struct {
	Schema  string       `json:"schema"`
	Params  Params       `json:"params"`
	Camera  Camera       `json:"camera"`
	FPS     float64      `json:"fps"`
	FileFPS float64      `json:"file_fps"`
	SpinRPM float64      `json:"spin_rpm"`
	Hit     bool         `json:"hit"`
	Outcome string       `json:"outcome"` // of Hit, Tip, Missed, Check, None
	Frames  []FrameTruth `json:"frames"`
	Swings  []SwingTruth `json:"swings"`
}

// TruthSchema names the form of the truth file.
const TruthSchema = "ashline.scene/2.1"

// FrameTruth is one frame at its mid-exposure.
type FrameTruth struct {
	Frame  int              `json:"frame"`
	TimeS  float64          `json:"t_s"`   // contact = 0, at the top row
	PTSS   float64          `json:"pts_s"` // in the file
	Barrel MarkTruth        `json:"barrel"`
	Hands  MarkTruth        `json:"hands"`
	Ball   *BallTruth       `json:"ball"` // null when there is none before the lens
	Knob   PointTruth       `json:"knob"`
	End    PointTruth       `json:"end"`
	Joints map[string]Joint `json:"joints"`
	Shake  [2]float64       `json:"shake_px"`  // against frame 0
	Turn   float64          `json:"shake_rad"` // about the picture's middle, before the shift
}

// PointTruth is a point in the picture (px) and the world (m).
type PointTruth struct {
	XPx float64 `json:"x_px"`
	YPx float64 `json:"y_px"`
	X   float64 `json:"x"`
	Y   float64 `json:"y"`
	Z   float64 `json:"z"`
}

// Joint is a joint, and how much of its band is not hidden when it wears one.
type Joint struct {
	PointTruth
	Worn    bool    `json:"worn"`
	Visible float64 `json:"visible"`
}

// MarkTruth is a moving mark: the middle of its band on the bat's axis.
type MarkTruth struct {
	PointTruth
	TimeS   float64    `json:"t_s"` // mid-exposure of the mark's own row
	VX      float64    `json:"vx"`  // m/s
	VY      float64    `json:"vy"`
	VZ      float64    `json:"vz"`
	Visible float64    `json:"visible"` // share of the band's near side not hidden, 0..1; a net before the lens hides nothing
	Streak  [4]float64 `json:"streak"`  // px, from start to end of the exposure
}

// BallTruth is the ball in one frame.
type BallTruth struct {
	MarkTruth
	InFrame  bool    `json:"in_frame"` // wholly
	RadiusPx float64 `json:"radius_px"`
}

// Truth gives the truth of the scene.
func (s *Scene) Truth() Truth {
	t := Truth{
		Schema: TruthSchema, Params: s.P, Camera: s.Cam, FPS: s.P.FPS, FileFPS: s.P.FileFPS,
		SpinRPM: s.spinRPM, Hit: s.hit, Outcome: s.outcome(),
	}
	for i := range s.timesS {
		t.Frames = append(t.Frames, s.frameTruth(i))
	}
	if s.session != nil {
		t.Swings = s.session.truths(s.timesS)
	} else {
		t.Swings = []SwingTruth{s.swingTruth()}
	}
	return t
}

// Swing gives the truth of the swing alone, which is quicker.
func (s *Scene) Swing() SwingTruth { return s.swingTruth() }

func (s *Scene) point(i int, f func(float64) Vec) (PointTruth, float64) {
	px, t := s.seen(i, f)
	q := f(t)
	return PointTruth{px.XPx, px.YPx, q.X, q.Y, q.Z}, t
}

func (s *Scene) mark(i int, f func(float64) Vec) MarkTruth {
	p, t := s.point(i, f)
	v := velocity(f, t)
	view := s.view(i)
	a, b := view.project(f(t-s.P.ShutterS/2)), view.project(f(t+s.P.ShutterS/2))
	return MarkTruth{PointTruth: p, TimeS: t, VX: v.X, VY: v.Y, VZ: v.Z, Streak: [4]float64{a.XPx, a.YPx, b.XPx, b.YPx}}
}

func (s *Scene) frameTruth(i int) FrameTruth {
	f := FrameTruth{
		Frame: i, TimeS: s.timesS[i], PTSS: s.ptsS[i],
		Shake: [2]float64{s.shakes[i].dxPx, s.shakes[i].dyPx}, Turn: s.shakes[i].rotRad,
		Barrel: s.mark(i, s.Mark), Hands: s.mark(i, s.Hands), Joints: map[string]Joint{},
	}
	sight := s.newSight(i)
	mid := s.P.BatLengthM - s.P.BandFromEndM
	f.Barrel.Visible = sight.band(f.Barrel.TimeS, mid, s.P.BandWidthM)
	if s.P.HandsColour != "none" {
		f.Hands.Visible = sight.band(f.Hands.TimeS, mid-s.P.MarksApartM, handsBandM)
	}
	f.Knob, _ = s.point(i, func(t float64) Vec { return s.onBat(t, 0) })
	f.End, _ = s.point(i, func(t float64) Vec { return s.onBat(t, s.P.BatLengthM) })
	for name := range s.pose(0).joints() {
		p, t := s.point(i, func(t float64) Vec { return s.pose(t).joints()[name] })
		j := Joint{PointTruth: p}
		for _, b := range s.P.Bands {
			if b == name {
				j.Worn = true
				j.Visible = sight.joint(t, name)
			}
		}
		f.Joints[name] = j
	}
	if q, ok := s.Ball(s.timesS[i]); ok && s.Cam.Project(q).DepthM > 0.3 {
		b := BallTruth{MarkTruth: s.mark(i, func(t float64) Vec { q, _ := s.Ball(t); return q })}
		depth := Vec{b.X, b.Y, b.Z}.sub(s.Cam.Position).dot(s.Cam.Forward)
		b.RadiusPx = ballRadiusM * s.Cam.FocalPx / depth
		r := b.RadiusPx
		b.InFrame = b.XPx >= r && b.YPx >= r && b.XPx <= float64(s.P.WidthPx-1)-r && b.YPx <= float64(s.P.HeightPx-1)-r
		b.Visible = sight.ball(b.TimeS)
		if s.hit && (b.TimeS-s.P.ShutterS/2)*(b.TimeS+s.P.ShutterS/2) < 0 {
			// The exposure holds the turn of the path; the streak is not a line.
			b.Streak = [4]float64{b.XPx, b.YPx, b.XPx, b.YPx}
		}
		f.Ball = &b
	}
	return f
}

// sight tells what hides a point in one frame.
type sight struct {
	s    *Scene
	view view
	caps []capsule
	at   float64
	have bool
}

func (s *Scene) newSight(i int) *sight { return &sight{s: s, view: s.view(i)} }

// people gives the hitter's capsules at t, without the bands.
func (g *sight) people(t float64) []capsule {
	if !g.have || g.at != t {
		g.caps, g.at, g.have = g.s.pose(t).figure(outfit{helmet: true}, false), t, true
	}
	return g.caps
}

// clear reports whether the surface point q is in the picture with nothing
// nearer before it; slack is how deep in a body still counts as on it.
func (g *sight) clear(q Vec, t, slack float64, withBat bool) bool {
	px := g.view.project(q)
	p := g.s.P
	if px.DepthM <= 0 || px.XPx < -0.5 || px.YPx < -0.5 || px.XPx > float64(p.WidthPx)-0.5 || px.YPx > float64(p.HeightPx)-0.5 {
		return false
	}
	if sx, sy := g.view.still(px.XPx, px.YPx); g.s.hider.cover(sx, sy) > 0.5 {
		return false
	}
	eye := g.view.cam.Position
	w := q.sub(eye)
	for _, c := range g.people(t) {
		if k := c.enters(eye, w); k < 1-slack/w.norm() {
			return false
		}
	}
	if withBat {
		knob, dir := g.s.Bat(t)
		rod := newRod(&g.s.bat, knob, dir, eye)
		if k, ok := rod.hit(w); ok && k.depth < 0.999 {
			return false
		}
	}
	return true
}

// enters gives where along the ray eye + k·w the capsule is first met, in k;
// +Inf when it is not. Marched, for a cone of two spheres has no short form.
func (c *capsule) enters(eye, w Vec) float64 {
	n := w.norm()
	k := 0.0
	for range 64 {
		q := eye.add(w.mul(k))
		d := c.b.sub(c.a)
		t := 0.0
		if dd := d.dot(d); dd > 1e-12 {
			t = clamp(q.sub(c.a).dot(d)/dd, 0, 1)
		}
		gap := q.sub(c.a.add(d.mul(t))).norm() - (c.ra + t*(c.rb-c.ra))
		if gap < 1e-4 {
			return k
		}
		k += gap / n
		if k > 1 {
			break
		}
	}
	return math.Inf(1)
}

// band is the share of the near side of a band of the bat that is seen.
func (g *sight) band(t, mid, width float64) float64 {
	knob, dir := g.s.Bat(t)
	eye := g.view.cam.Position
	rod := newRod(&g.s.bat, knob, dir, eye)
	side := dir.cross(eye.sub(knob)).unit()
	front := side.cross(dir)
	seen, all := 0, 0
	for i := range 5 {
		m := mid + (float64(i)/4-0.5)*width*0.96
		r := g.s.bat.radiusAt(m) * 1.002
		for j := range 16 {
			sn, cs := math.Sincos(2 * math.Pi * float64(j) / 16)
			q := knob.add(dir.mul(m)).add(side.mul(r * sn)).add(front.mul(r * cs))
			if k, ok := rod.hit(q.sub(eye)); ok && k.depth < 0.9995 {
				continue // the far side, or behind the bat itself
			}
			all++
			if g.clear(q, t, 0, false) {
				seen++
			}
		}
	}
	if all == 0 {
		return 0
	}
	return float64(seen) / float64(all)
}

// joint is the share of a joint's band that is seen.
func (g *sight) joint(t float64, name string) float64 {
	seen, all := 0, 0
	for _, c := range g.s.pose(t).bands([]string{name}, g.s.P.bandColour) {
		mid := c.a.lerp(c.b, 0.5)
		back := g.view.cam.Position.sub(mid).unit()
		for i := range 9 {
			right := g.view.cam.Right.mul(0.6 * c.ra * float64(i%3-1))
			down := g.view.cam.Down.mul(0.6 * c.ra * float64(i/3-1))
			q := mid.add(right).add(down).add(back.mul(0.5 * c.ra))
			all++
			if g.clear(q, t, 0.03, true) {
				seen++
			}
		}
	}
	return float64(seen) / float64(max(all, 1))
}

// ball is the share of the ball that is seen.
func (g *sight) ball(t float64) float64 {
	b, _ := g.s.Ball(t)
	back := g.view.cam.Position.sub(b).unit()
	seen := 0
	for i := range 9 {
		r := 0.62 * ballRadiusM
		q := b.add(g.view.cam.Right.mul(r * float64(i%3-1))).add(g.view.cam.Down.mul(r * float64(i/3-1))).add(back.mul(0.3 * ballRadiusM))
		if g.clear(q, t, 0, true) {
			seen++
		}
	}
	return float64(seen) / 9
}
