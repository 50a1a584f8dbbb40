package scene

import "math"

// What a phone, the hand that holds it and what stands close before it do to a picture.

// setGains sets how each frame's exposure and white balance drift: the automatic ones
// follow what moves in the picture, in ramps of some tenths of a second.
func (s *Scene) setGains() {
	if s.P.DriftStops == 0 && s.P.DriftWhite == 0 {
		return
	}
	rnd := newStream(s.P.Seed, 0xd71f)
	ramps := func() []float64 { // from -1 to 1 somewhere in the clip
		n := len(s.timesS)
		first, span := s.timesS[0], s.timesS[n-1]-s.timesS[0]
		out := make([]float64, n)
		for k := range 3 {
			at := first + span*(float64(k)+rnd.uniform())/3
			width, size := rnd.between(0.15, 0.5), rnd.between(0.5, 1)*sign(rnd.uniform() < 0.5)
			for i, t := range s.timesS {
				out[i] += size * logistic(t, at, width)
			}
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, v := range out {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		for i := range out {
			out[i] = 2*(out[i]-lo)/math.Max(hi-lo, 1e-9) - 1
		}
		return out
	}
	stops, white := ramps(), ramps()
	s.gains = make([]rgb, len(stops))
	for i := range s.gains {
		k, w := math.Exp2(s.P.DriftStops*stops[i]), s.P.DriftWhite*white[i]
		s.gains[i] = rgb{float32(k * (1 + w)), float32(k), float32(k * (1 - w))}
	}
}

// develop lets the frame's drift act on its light.
func (s *Scene) develop(i int, lin []float32) {
	if s.gains == nil {
		return
	}
	for k := range lin {
		lin[k] *= s.gains[i][k%3]
	}
}

// A bump of the camera swings out in bumpFadesS at bumpHz.
const (
	bumpHz     = 7
	bumpFadesS = 0.09
)

// moves reports whether the camera stands anything but still.
func (p Params) moves() bool { return p.ShakePx != 0 || p.PanPx != 0 || p.BumpPx != 0 }

// sway adds a slow pan and a bump to the camera's motion.
func (s *Scene) sway() {
	rnd := newStream(s.P.Seed, 0xb0b)
	sn, cs := math.Sincos(2 * math.Pi * rnd.uniform())
	n := len(s.timesS)
	span := s.timesS[n-1] - s.timesS[0]
	for i, t := range s.timesS {
		k := &s.shakes[i]
		k.dxPx += s.P.PanPx * (t - s.timesS[0]) / span
		if d := t - s.P.BumpAtS; d > 0 {
			a := s.P.BumpPx * math.Exp(-d/bumpFadesS) * math.Sin(2*math.Pi*bumpHz*d)
			k.dxPx += cs * a
			k.dyPx += sn * a
			k.rotRad += 0.0005 * a
		}
	}
}

// Of a stuttering phone's frames so many are dropped, and shown twice in the place of
// the next.
const (
	droppedShare = 0.03
	doubledShare = 0.03
)

// uneven reports whether frames have times of their own in the file.
func (p Params) uneven() bool { return p.VariableRate || p.Stutter }

// shown is the frame whose picture frame i is: the one before, when doubled.
func (s *Scene) shown(i int) int {
	for i > 0 && s.timesS[i] == s.timesS[i-1] {
		i--
	}
	return i
}

// apertureM is how wide a phone's lens opens (f/1.8 at 5 mm, from memory).
const apertureM = 0.0028

// nearNet is how much of each pixel of the stage a net before the lens covers: cords of
// 2.5 mm, 45 mm apart, out of focus by the lens's aperture.
func nearNet(p Params, c *Camera, st *stage) []float32 {
	if p.NearNetM == 0 {
		return nil
	}
	const mesh, cord = 0.045, 0.0025
	rnd := newStream(p.Seed, 0x2e7)
	sn, cs := math.Sincos(math.Pi/4 + rnd.between(-0.2, 0.2))
	px := p.NearNetM / c.FocalPx
	blur := px + apertureM*(1-p.NearNetM/p.DistanceM)
	u0, v0 := rnd.between(0, mesh), rnd.between(0, mesh)
	line := func(a float64) float32 { a = within(a, mesh); return over(math.Min(a, mesh-a), cord, blur) }
	out := make([]float32, st.w*st.h)
	for y := range st.h {
		for x := range st.w {
			u, v := (float64(x-st.margin)-c.CXPx)*px, (float64(y-st.margin)-c.CYPx)*px
			sag := 0.015 * (grain(u*4, v*4, p.Seed+40) - 0.5)
			a, b := line(cs*u-sn*v+u0+sag), line(sn*u+cs*v+v0-sag)
			out[y*st.w+x] = a + b - a*b
		}
	}
	return out
}

// drawNearNet lays the net before the lens over everything.
func (s *Scene) drawNearNet(d *studio, v *view) {
	st := s.stage
	if st.near == nil {
		return
	}
	cord := rgb{0.05, 0.05, 0.052}.times(st.set.exposure)
	for y := range s.P.HeightPx {
		for x := range s.P.WidthPx {
			sx, sy := v.still(float64(x), float64(y))
			ix := int(clamp(math.Round(sx)+float64(st.margin), 0, float64(st.w-1)))
			iy := int(clamp(math.Round(sy)+float64(st.margin), 0, float64(st.h-1)))
			c := st.near[iy*st.w+ix]
			if c == 0 {
				continue
			}
			for k := range 3 {
				i := 3*(y*s.P.WidthPx+x) + k
				d.acc[i] += c * (cord[k] - d.acc[i])
			}
		}
	}
}
