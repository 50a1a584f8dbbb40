package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Point is a place in the upright picture, px: x right, y down.
type Point [2]float64

// World is a place, m, or a direction: x to the pitcher, y towards the camera, z up.
// A place counts from the foot of the lens's axis on the plane of the pitch.
type World = r3.Vec

// Along is the place a way of length m along dir from p.
func Along(p World, m float64, dir World) World { return r3.Add(p, r3.Scale(m, dir)) }

// Unit is a's direction; x of a vector without length.
func Unit(a World) World {
	s := math.Sqrt(r3.Dot(a, a))
	if s == 0 {
		return World{X: 1}
	}
	return World{X: a.X / s, Y: a.Y / s, Z: a.Z / s}
}

// Turn is the rotation, as axis times angle, rad, that takes a to b the short way;
// half a turn is about z.
func Turn(a, b World) World {
	c := r3.Cross(a, b)
	s := math.Sqrt(r3.Dot(c, c))
	if s < 1e-9 {
		if r3.Dot(a, b) > 0 {
			return World{}
		}
		return World{Z: math.Pi}
	}
	return r3.Scale(math.Atan2(s, r3.Dot(a, b))/s, c)
}

// Toward is the unit vector from p to q; right where they are one place.
func Toward(p, q Point) Point {
	x, y := q[0]-p[0], q[1]-p[1]
	if l := math.Hypot(x, y); l > 0 {
		return Point{x / l, y / l}
	}
	return Point{1, 0}
}
