package geom

import "math"

// FarM is the distance of a lens that is not known, m: so far away that perspective
// vanishes.
const FarM = 1e5

// View is the camera's geometry: a pinhole looking across the pitch.
//
// World axes: right, down and depth are those of a camera that stands level and
// square to the plane of the pitch; x = Sign·right points to the pitcher, z =
// −down is up, y is the distance from the plane of the pitch towards the camera.
// A pixel is first levelled (turned by the roll about the centre of the picture),
// then its ray is turned by the tilt and the yaw, then cut with the plane of
// depth y.
type View struct {
	FocalPx   float64
	CX, CY    float64
	DistanceM float64 // lens to the plane of the pitch, perpendicular
	RollRad   float64
	TiltRad   float64 // positive turns the lens up
	YawRad    float64 // positive turns the lens to the picture's right
	Sign      float64 // +1 when the pitcher is at the picture's right
	Lens      bool    // the distance is known, so depth has an effect
}

// Eye is a view with the sines and cosines of its angles at hand.
type Eye struct {
	View
	cr, sr, ct, st, cy, sy float64
}

// Eye is the view made ready for many points.
func (v View) Eye() Eye {
	t := Eye{View: v}
	t.sr, t.cr = math.Sincos(v.RollRad)
	t.st, t.ct = math.Sincos(v.TiltRad)
	t.sy, t.cy = math.Sincos(v.YawRad)
	return t
}

// ray returns right, down and forward of the pixel's ray in world axes.
func (v Eye) ray(p Point) (a, d, b float64) {
	r0, d0 := p[0]-v.CX, p[1]-v.CY
	r, d := r0*v.cr-d0*v.sr, r0*v.sr+d0*v.cr
	f, d := v.FocalPx*v.ct+d*v.st, d*v.ct-v.FocalPx*v.st
	return r*v.cy + f*v.sy, d, f*v.cy - r*v.sy
}

// At is the place on the pixel's ray whose depth is y.
func (v Eye) At(p Point, y float64) World {
	a, d, b := v.ray(p)
	k := (v.DistanceM - y) / b
	return World{X: v.Sign * a * k, Y: y, Z: -d * k}
}

// Project is the inverse of At.
func (v Eye) Project(w World) Point {
	right, down, fwd := v.Sign*w.X, -w.Z, v.DistanceM-w.Y
	r, f := right*v.cy-fwd*v.sy, right*v.sy+fwd*v.cy
	f, d := f*v.ct-down*v.st, down*v.ct+f*v.st
	r, d = v.FocalPx*r/f, v.FocalPx*d/f
	return Point{v.CX + r*v.cr + d*v.sr, v.CY - r*v.sr + d*v.cr}
}

// At is the place on the pixel's ray whose depth is y.
func (v View) At(p Point, y float64) World { return v.Eye().At(p, y) }

// Project is the inverse of At.
func (v View) Project(w World) Point { return v.Eye().Project(w) }

// MetresPerPixel is the scale in the plane of the pitch at a pixel, along the
// pitch.
func (v View) MetresPerPixel(p Point) float64 {
	a, b := v.At(Point{p[0] - 0.5, p[1]}, 0), v.At(Point{p[0] + 0.5, p[1]}, 0)
	return math.Hypot(b.X-a.X, b.Z-a.Z)
}

// LensAt is the place of the lens.
func (v View) LensAt() World { return World{Y: v.DistanceM} }

// Scaled sets the focal length so that two pixels are lengthM apart in the
// plane of the pitch. plate is where the plate's centre is seen: the card's
// distance is the one from the lens to there, along that ray.
func (v View) Scaled(p, q Point, lengthM float64, plate Point, slantM float64) View {
	px := math.Hypot(q[0]-p[0], q[1]-p[1])
	v.FocalPx = v.DistanceM * px / lengthM
	for range 60 {
		if v.Lens {
			a, d, b := v.Eye().ray(plate)
			v.DistanceM = slantM * b / math.Sqrt(a*a+d*d+b*b)
		}
		a, b := v.At(p, 0), v.At(q, 0)
		got := math.Sqrt((b.X-a.X)*(b.X-a.X) + (b.Z-a.Z)*(b.Z-a.Z))
		step := got / lengthM
		v.FocalPx *= step
		if math.Abs(step-1) < 1e-12 {
			break
		}
	}
	return v
}

// Rescaled is the view with every length multiplied by k.
func (v View) Rescaled(k float64) View {
	v.FocalPx /= k
	return v
}
