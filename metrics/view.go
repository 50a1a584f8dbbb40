package metrics

import (
	"errors"
	"math"
)

// ErrNoScale says that the card gives no usable source of scale.
var ErrNoScale = errors.New("metrics: no source of scale")

// farM stands for "very far": with it perspective vanishes.
const farM = 1e5

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

// World is a place: x to the pitcher, y towards the camera, z up, m, origin at
// the foot of the lens's axis on the plane of the pitch.
type World struct{ X, Y, Z float64 }

// turned is a view with the sines and cosines of its angles.
type turned struct {
	View
	cr, sr, ct, st, cy, sy float64
}

func (v View) turned() turned {
	t := turned{View: v}
	t.sr, t.cr = math.Sincos(v.RollRad)
	t.st, t.ct = math.Sincos(v.TiltRad)
	t.sy, t.cy = math.Sincos(v.YawRad)
	return t
}

// ray returns right, down and forward of the pixel's ray in world axes.
func (v turned) ray(p Point) (a, d, b float64) {
	r0, d0 := p[0]-v.CX, p[1]-v.CY
	r, d := r0*v.cr-d0*v.sr, r0*v.sr+d0*v.cr
	f, d := v.FocalPx*v.ct+d*v.st, d*v.ct-v.FocalPx*v.st
	return r*v.cy + f*v.sy, d, f*v.cy - r*v.sy
}

// at is the place on the pixel's ray whose depth is y.
func (v turned) at(p Point, y float64) World {
	a, d, b := v.ray(p)
	k := (v.DistanceM - y) / b
	return World{X: v.Sign * a * k, Y: y, Z: -d * k}
}

// project is the inverse of at.
func (v turned) project(w World) Point {
	right, down, fwd := v.Sign*w.X, -w.Z, v.DistanceM-w.Y
	r, f := right*v.cy-fwd*v.sy, right*v.sy+fwd*v.cy
	f, d := f*v.ct-down*v.st, down*v.ct+f*v.st
	r, d = v.FocalPx*r/f, v.FocalPx*d/f
	return Point{v.CX + r*v.cr + d*v.sr, v.CY - r*v.sr + d*v.cr}
}

// At is the place on the pixel's ray whose depth is y.
func (v View) At(p Point, y float64) World { return v.turned().at(p, y) }

// Project is the inverse of At.
func (v View) Project(w World) Point { return v.turned().project(w) }

// MetresPerPixel is the scale in the plane of the pitch at a pixel, along the
// pitch.
func (v View) MetresPerPixel(p Point) float64 {
	a, b := v.At(Point{p[0] - 0.5, p[1]}, 0), v.At(Point{p[0] + 0.5, p[1]}, 0)
	return math.Hypot(b.X-a.X, b.Z-a.Z)
}

// Lens is the place of the lens.
func (v View) lens() World { return World{Y: v.DistanceM} }

// newView makes the view of a card without its scale: focal length 1.
func newView(c Card, widthPx, heightPx int) View {
	v := View{
		FocalPx: 1, CX: float64(widthPx-1) / 2, CY: float64(heightPx-1) / 2,
		DistanceM: farM, Sign: 1, RollRad: c.Camera.RollDeg * math.Pi / 180, TiltRad: c.Camera.TiltDeg * math.Pi / 180,
	}
	if len(c.Camera.Level) == 2 {
		p, q := c.Camera.Level[0], c.Camera.Level[1]
		if q[0] < p[0] {
			p, q = q, p
		}
		v.RollRad = -math.Atan2(q[1]-p[1], q[0]-p[0])
	}
	if !c.PitcherRight() {
		v.Sign = -1
	}
	v.YawRad = v.Sign * c.Camera.YawDeg * math.Pi / 180
	if c.Camera.DistanceM > 0 {
		v.DistanceM, v.Lens = c.Camera.DistanceM, true
	}
	return v
}

// scaled sets the focal length so that two pixels are lengthM apart in the
// plane of the pitch. plate is where the plate's centre is seen: the card's
// distance is the one from the lens to there, along that ray.
func (v View) scaled(p, q Point, lengthM float64, plate Point, slantM float64) View {
	px := math.Hypot(q[0]-p[0], q[1]-p[1])
	v.FocalPx = v.DistanceM * px / lengthM
	for range 60 {
		if v.Lens {
			a, d, b := v.turned().ray(plate)
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

// PitcherRight reports whether the pitch comes from the picture's right.
func (c Card) PitcherRight() bool {
	switch c.Camera.Pitcher {
	case "right":
		return true
	case "left":
		return false
	}
	// A camera at the open side of a right-handed hitter has the pitcher at its
	// right; each of the two changes mirrors that.
	return (c.Bats == "left") == (c.Camera.Side == "closed")
}

// Open reports whether the camera faces the hitter's chest.
func (c Card) Open() bool { return c.Camera.Side != "closed" }
