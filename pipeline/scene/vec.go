package scene

import "math"

// Vec is a point or direction in three dimensions, metres unless said.
type Vec struct{ X, Y, Z float64 }

func (a Vec) add(b Vec) Vec             { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a Vec) sub(b Vec) Vec             { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a Vec) mul(k float64) Vec         { return Vec{a.X * k, a.Y * k, a.Z * k} }
func (a Vec) dot(b Vec) float64         { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a Vec) norm() float64             { return math.Sqrt(a.dot(a)) }
func (a Vec) unit() Vec                 { return a.mul(1 / a.norm()) }
func (a Vec) lerp(b Vec, t float64) Vec { return a.add(b.sub(a).mul(t)) }

func (a Vec) cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// turn rotates a about the unit axis by rad, right-handed.
func (a Vec) turn(axis Vec, rad float64) Vec {
	s, c := math.Sincos(rad)
	return a.mul(c).add(axis.cross(a).mul(s)).add(axis.mul(axis.dot(a) * (1 - c)))
}

// towards turns the direction a by a share of the way to b, evenly.
func (a Vec) towards(b Vec, share float64) Vec {
	axis := a.cross(b)
	if axis.norm() < 1e-9 {
		return a
	}
	return a.turn(axis.unit(), share*math.Atan2(axis.norm(), a.dot(b)))
}

// flip mirrors a across the plane of the pitch when side is -1.
func (a Vec) flip(side float64) Vec { return Vec{a.X, a.Y * side, a.Z} }

const degree = math.Pi / 180

// ease rises from 0 at a to 1 at b with two continuous derivatives.
func ease(t, a, b float64) float64 {
	u := (t - a) / (b - a)
	if u <= 0 {
		return 0
	}
	if u >= 1 {
		return 1
	}
	return u * u * u * (10 + u*(6*u-15))
}

// logistic rises from 0 to 1 about mid; width is the time from 12 % to 88 %.
func logistic(t, mid, width float64) float64 {
	return 1 / (1 + math.Exp(-4*(t-mid)/width))
}

func clamp(v, lo, hi float64) float64 { return max(lo, min(hi, v)) }
