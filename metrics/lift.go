package metrics

import "math"

// crescent is the mean of the outward normal over the half of a cylinder that
// faces the camera, each part weighted by the area it shows: ∫cos²/∫cos = π/4
// of the radius. It is how far the middle of what is seen of a band lies from
// the bat's axis, towards the camera and square to the bat.
const crescent = math.Pi / 4

// rod is the bat as a rod of known length seen in perspective: the two bands
// give its tilt out of the plane of the pitch, and with it the depth of the
// barrel and where the axis runs inside the band that is seen.
type rod struct {
	view     View
	apartM   float64 // between the middles of the two bands
	barrelM  float64 // radius of the bat at the barrel's band
	handleM  float64 // radius at the hands' band
	nearer   float64 // +1: at contact the barrel is nearer the camera than the hands
	handsY   float64 // depth of the hands' band at t = 0
	handsVY  float64 // its drift, m/s
	retreat  float64 // added to the shares of the hands' retreat from the plate
	contactY float64 // depth of the barrel at t = 0
}

// onRay returns the two depths at which the pixel's ray is lengthM from c,
// the one farther from the camera first. When the ray passes at a greater
// distance, both are where it comes closest.
func (v View) onRay(p Point, c World, lengthM float64) (far, near float64, ok bool) {
	o, e := v.At(p, 0), v.At(p, 1)
	g := World{e.X - o.X, 1, e.Z - o.Z} // change of place per metre of depth
	d := World{o.X - c.X, o.Y - c.Y, o.Z - c.Z}
	gg, gd, dd := dot(g, g), dot(g, d), dot(d, d)
	disc := gd*gd - gg*(dd-lengthM*lengthM)
	if disc < 0 {
		return -gd / gg, -gd / gg, false
	}
	s := math.Sqrt(disc)
	return (-gd - s) / gg, (-gd + s) / gg, true
}

// anchor sets the depth of the hands from both bands' pixels at t = 0, when the
// barrel's depth is that of the ball.
func (r *rod) anchor(barrel, hands Point) {
	b, h := barrel, hands
	for range 4 {
		w := r.view.At(b, r.contactY)
		far, near, _ := r.view.onRay(h, w, r.apartM)
		r.handsY = far
		if r.nearer < 0 {
			r.handsY = near
		}
		b, h = r.axis(barrel, hands, w, r.view.At(h, r.handsY))
	}
}

// axis moves the pixels of the two bands' centroids to the bat's axis, given
// where barrel and hands are about.
func (r *rod) axis(barrel, hands Point, w, h World) (Point, Point) {
	return r.inside(barrel, w, h, r.barrelM), r.inside(hands, h, w, r.handleM)
}

// inside moves the pixel of a band's centroid at w, on a bat that reaches to
// the other place, to the axis.
func (r *rod) inside(px Point, w, other World, radius float64) Point {
	a := unit(World{w.X - other.X, w.Y - other.Y, w.Z - other.Z})
	l := r.view.lens()
	v := unit(World{l.X - w.X, l.Y - w.Y, l.Z - w.Z})
	k := dot(a, v)
	n := World{v.X - k*a.X, v.Y - k*a.Y, v.Z - k*a.Z}
	if s := math.Sqrt(dot(n, n)); s > 1e-6 {
		n = World{n.X / s, n.Y / s, n.Z / s}
	}
	q := crescent * radius
	on, face := r.view.Project(w), r.view.Project(World{w.X + q*n.X, w.Y + q*n.Y, w.Z + q*n.Z})
	return Point{px[0] + on[0] - face[0], px[1] + on[1] - face[1]}
}

// lift returns the two places on the bat's axis that the barrel may have at time
// t from contact: the one farther from the camera first.
func (r *rod) lift(t float64, barrel, hands Point) [2]World {
	y := r.handsDepth(t)
	var out [2]World
	for k := range out {
		b, h := barrel, hands
		for range 4 {
			hw := r.view.At(h, y)
			far, near, _ := r.view.onRay(b, hw, r.apartM)
			if k == 1 {
				far = near
			}
			out[k] = r.view.At(b, far)
			b, h = r.axis(barrel, hands, out[k], hw)
		}
	}
	return out
}

// Hands are nearest to the plate at contact. A hitter stands with the middle of
// the body 0.9 to 1 m from the plate's middle line: in the stance the hands are
// about 0.3 m in front of it, at contact 0.45 m, at the finish over the lead
// shoulder. As shares of the depth at contact; common practice, not measured.
const (
	retreatStance = 0.35
	retreatFinish = 0.60
	comeS         = 0.05 // before contact the hands are there
	retreatS      = 0.12 // s that coming and going take
)

// handsDepth is the depth of the hands at time t from contact.
func (r *rod) handsDepth(t float64) float64 {
	away := 0.0
	switch {
	case t < -comeS:
		away = (retreatStance + r.retreat) * ease((-t-comeS)/retreatS)
	case t > 0:
		away = (retreatFinish + r.retreat) * ease(t/retreatS)
	}
	near := math.Max(-1, math.Min(1, t/0.05)) * 0.05 // the drift is known only around contact
	return r.handsY*(1+away) + r.handsVY*near
}

// ease goes from 0 to 1 as u does, without a jump in speed.
func ease(u float64) float64 {
	u = math.Min(1, u)
	return u * u * (3 - 2*u)
}

// apparent is the length of the bat between its bands as the picture shows it at
// the hands' depth, in units of its true length.
func (r *rod) apparent(t float64, barrel, hands Point) float64 {
	y := r.handsDepth(t)
	a, b := r.view.At(hands, y), r.view.At(barrel, y)
	return math.Hypot(a.X-b.X, a.Z-b.Z) / r.apartM
}

func dot(a, b World) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

func unit(a World) World {
	s := math.Sqrt(dot(a, a))
	if s == 0 {
		return World{X: 1}
	}
	return World{a.X / s, a.Y / s, a.Z / s}
}
