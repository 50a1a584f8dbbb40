package steady

import "math"

// Transform is an affine map of the picture: x' = XX·x + XY·y + TX and
// y' = YX·x + YY·y + TY.
type Transform struct {
	XX, XY, TX float64
	YX, YY, TY float64
}

// Still is the transform that changes nothing.
var Still = Transform{XX: 1, YY: 1}

// Apply takes a point of the frame to the first frame.
func (t Transform) Apply(x, y float64) (float64, float64) {
	return t.XX*x + t.XY*y + t.TX, t.YX*x + t.YY*y + t.TY
}

// Inverse takes points of the first frame to the frame.
func (t Transform) Inverse() Transform {
	d := t.XX*t.YY - t.XY*t.YX
	u := Transform{XX: t.YY / d, XY: -t.XY / d, YX: -t.YX / d, YY: t.XX / d}
	u.TX = -(u.XX*t.TX + u.XY*t.TY)
	u.TY = -(u.YX*t.TX + u.YY*t.TY)
	return u
}

// Moved is the largest distance, px, that the transform moves a corner of a
// picture of w × h px.
func (t Transform) Moved(w, h int) float64 {
	most := 0.0
	for _, c := range [][2]float64{{0, 0}, {float64(w), 0}, {0, float64(h)}, {float64(w), float64(h)}} {
		x, y := t.Apply(c[0], c[1])
		most = math.Max(most, math.Hypot(x-c[0], y-c[1]))
	}
	return most
}
