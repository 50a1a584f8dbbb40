package scene

import "math"

// view is the camera in one frame: projection, then the hand's shake.
type view struct {
	cam      *Camera
	sh       shake
	sin, cos float64
}

func newView(c *Camera, sh shake) view {
	sn, cs := math.Sincos(sh.rotRad)
	return view{c, sh, sn, cs}
}

// project gives where q is seen in the frame.
func (v *view) project(q Vec) Pixel {
	p := v.cam.Project(q)
	x, y := p.XPx-v.cam.CXPx, p.YPx-v.cam.CYPx
	p.XPx = v.cam.CXPx + v.cos*x - v.sin*y + v.sh.dxPx
	p.YPx = v.cam.CYPx + v.sin*x + v.cos*y + v.sh.dyPx
	return p
}

// still undoes the shake: where the pixel would be in frame 0.
func (v *view) still(xPx, yPx float64) (float64, float64) {
	x, y := xPx-v.sh.dxPx-v.cam.CXPx, yPx-v.sh.dyPx-v.cam.CYPx
	return v.cam.CXPx + v.cos*x + v.sin*y, v.cam.CYPx - v.sin*x + v.cos*y
}

// ray is the direction through a pixel of the frame.
func (v *view) ray(xPx, yPx float64) Vec {
	x, y := v.still(xPx, yPx)
	return v.cam.ray(x, y)
}

// view of frame i.
func (s *Scene) view(i int) view { return newView(&s.Cam, s.shakes[i]) }

// rowTime is when row y is exposed against the frame's time.
func (s *Scene) rowTime(yPx float64) float64 {
	return s.P.ReadoutMS / 1000 * clamp(yPx/float64(s.P.HeightPx-1), 0, 1)
}

// seen gives where a moving point is imaged in frame i at mid-exposure of its
// own row, and when that is.
func (s *Scene) seen(i int, f func(float64) Vec) (Pixel, float64) {
	v := s.view(i)
	t := s.timesS[i]
	px := v.project(f(t))
	if s.P.ReadoutMS > 0 {
		for range 20 {
			t = s.timesS[i] + s.rowTime(px.YPx)
			px = v.project(f(t))
		}
	}
	return px, t
}
