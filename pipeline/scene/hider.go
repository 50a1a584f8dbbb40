package scene

import "math"

// hider is something near the camera that hides the barrel for some frames: a
// rounded dark shape that reaches to the picture's foot, in the still picture.
type hider struct {
	on             bool
	x0, y0, x1, y1 float64 // px
	soft           float64 // px, out of focus
	colour         rgb
}

// cover is the share of the pixel that the shape hides.
func (h *hider) cover(x, y float64) float64 {
	if !h.on {
		return 0
	}
	r := math.Min(24, (h.x1-h.x0)/2)
	qx := math.Max(h.x0+r-x, x-(h.x1-r))
	qy := math.Max(h.y0+r-y, y-(h.y1-r))
	d := math.Hypot(math.Max(qx, 0), math.Max(qy, 0)) + math.Min(math.Max(qx, qy), 0) - r
	return clamp(0.5-d/h.soft, 0, 1)
}

// setHider fits the shape over the barrel's path in the frames to be hidden.
func (s *Scene) setHider() {
	if s.P.HideFrames == 0 {
		return
	}
	rnd := newNoise(s.P.Seed, 0x41d)
	mid := 0
	for i, t := range s.timesS {
		if math.Abs(t-s.P.HideAtS) < math.Abs(s.timesS[mid]-s.P.HideAtS) {
			mid = i
		}
	}
	first := max(0, mid-s.P.HideFrames/2)
	last := min(len(s.timesS)-1, first+s.P.HideFrames-1)
	x0, y0, x1 := math.Inf(1), math.Inf(1), math.Inf(-1)
	reach := (s.P.BandWidthM/2 + s.P.BarrelDiameterM/2) * 1.15
	for i := first; i <= last; i++ {
		for k := range 3 {
			t := s.timesS[i] + float64(k-1)*s.P.ShutterS/2
			px := s.Cam.Project(s.Mark(t))
			r := reach*s.Cam.FocalPx/px.DepthM + 2
			x0, x1, y0 = math.Min(x0, px.XPx-r), math.Max(x1, px.XPx+r), math.Min(y0, px.YPx-r)
		}
	}
	dark := []rgb{{0.02, 0.022, 0.03}, {0.05, 0.05, 0.05}, {0.03, 0.045, 0.04}}
	h := hider{on: true, soft: 5, colour: dark[rnd.next()%3]}
	pad := h.soft/2 + 8
	h.x0, h.x1, h.y0, h.y1 = x0-pad, x1+pad, y0-pad, float64(s.P.HeightPx)*1.2
	s.hider = h
}
