package zone

import "math"

// Path is a motion in the plane: position (m) and velocity (m/s) at time t (s).
type Path interface {
	At(t float64) (pos, vel [2]float64)
}

// Line is the pitch line: a point on it and its descent.
type Line struct {
	PointM     [2]float64
	DescentDeg float64 // positive when the ball falls
}

// Against is the unit direction against the pitch: towards the pitcher and, for
// a falling ball, upwards.
func (l Line) Against() [2]float64 {
	s, c := math.Sincos(l.DescentDeg * math.Pi / 180)
	return [2]float64{c, s}
}

// Place is where p lies: along the line, towards the pitcher from its point,
// and off it, positive above.
func (l Line) Place(p [2]float64) (alongM, offM float64) {
	u := l.Against()
	d := [2]float64{p[0] - l.PointM[0], p[1] - l.PointM[1]}
	return d[0]*u[0] + d[1]*u[1], u[0]*d[1] - u[1]*d[0]
}

// Ball is the motion of a ball that passes the line's point at t = 0 with
// constant speed, as if not hit.
func (l Line) Ball(speedMPS float64) Straight {
	u := l.Against()
	return Straight{PointM: l.PointM, VelMPS: [2]float64{-speedMPS * u[0], -speedMPS * u[1]}}
}

// Straight is a uniform motion, at PointM when t = 0.
type Straight struct {
	PointM, VelMPS [2]float64
}

var _ Path = Straight{}

// At implements Path.
func (s Straight) At(t float64) (pos, vel [2]float64) {
	return [2]float64{s.PointM[0] + s.VelMPS[0]*t, s.PointM[1] + s.VelMPS[1]*t}, s.VelMPS
}
