package scene

import "math"

// Camera is a pinhole camera. Its picture coordinates are pixels, x right and
// y down from the centre of the top-left pixel.
type Camera struct {
	FocalPx   float64 `json:"f_px"`
	CXPx      float64 `json:"cx_px"`
	CYPx      float64 `json:"cy_px"`
	Position  Vec     `json:"position_m"`
	Right     Vec     `json:"right"`    // unit vectors of the picture's axes in the world;
	Down      Vec     `json:"down"`     // as rows they are the rotation matrix
	Forward   Vec     `json:"forward"`  //
	MPerPx    float64 `json:"m_per_px"` // at the plate's centre, along the picture's x axis
	Pitcher   string  `json:"pitcher"`  // side of the picture that the pitch comes from
	WidthPx   int     `json:"width_px"`
	HeightPx  int     `json:"height_px"`
	DistanceM float64 `json:"distance_m"`
}

// newCamera places the camera of p; side is the sign of its y.
func newCamera(p Params, side float64) Camera {
	yaw, tilt, roll := p.YawDeg*degree, p.TiltDeg*degree, p.RollDeg*degree
	ahead := Vec{math.Sin(yaw), -side * math.Cos(yaw), 0}
	right := ahead.cross(Vec{0, 0, 1})
	up := Vec{0, 0, 1}
	forward := ahead.mul(math.Cos(tilt)).add(up.mul(math.Sin(tilt)))
	down := forward.cross(right)
	c := Camera{
		CXPx:      float64(p.WidthPx-1) / 2,
		CYPx:      float64(p.HeightPx-1) / 2,
		Position:  Vec{p.StationXM, side * p.DistanceM, p.CameraHeightM},
		Right:     right.mul(math.Cos(roll)).add(down.mul(math.Sin(roll))),
		Down:      down.mul(math.Cos(roll)).sub(right.mul(math.Sin(roll))),
		Forward:   forward,
		WidthPx:   p.WidthPx,
		HeightPx:  p.HeightPx,
		DistanceM: p.DistanceM,
	}
	c.FocalPx = float64(p.WidthPx) * p.DistanceM / p.ViewWidthM
	c.Pitcher = "right"
	if right.X < 0 {
		c.Pitcher = "left"
	}
	a, b := c.Project(Vec{-0.216, 0, 0}), c.Project(Vec{0.216, 0, 0})
	c.MPerPx = 0.432 / math.Hypot(b.XPx-a.XPx, b.YPx-a.YPx)
	return c
}

// Pixel is a place in the picture with the depth it was seen at.
type Pixel struct {
	XPx, YPx float64
	DepthM   float64 // along the optical axis; not positive behind the lens
}

// Project gives where the world point q is seen.
func (c *Camera) Project(q Vec) Pixel {
	d := q.sub(c.Position)
	z := d.dot(c.Forward)
	if z < 1e-6 {
		return Pixel{math.NaN(), math.NaN(), z}
	}
	k := c.FocalPx / z
	return Pixel{c.CXPx + k*d.dot(c.Right), c.CYPx + k*d.dot(c.Down), z}
}

// ray is the direction through a pixel, with unit component along the axis, so
// that its parameter is depth.
func (c *Camera) ray(xPx, yPx float64) Vec {
	return c.Forward.
		add(c.Right.mul((xPx - c.CXPx) / c.FocalPx)).
		add(c.Down.mul((yPx - c.CYPx) / c.FocalPx))
}
