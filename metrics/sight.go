package metrics

import "math"

// sight says what a camera sees of the two bands. A band is a ring of radius r
// and width w on a cylinder. Where the bat makes the angle φ with the line of
// sight the near half of the ring shows the area 2·r·w·sin φ. The middle of what
// is seen lies π/4·r·cos φ off the bat's axis, square to it and towards the
// camera. Across the bat the variance of what is seen is r²/3; along it, in the
// picture, w²/12·sin²φ + r²·cos²φ·(2/3 − π²/16), always the smaller. Over an
// exposure of T the middle moves with the bat: its mean is off the middle at
// mid-exposure by acceleration·T²/24, and its variance grows by T²/12 along the
// travel. Chroma is averaged over 2 × 2 px and blurred again by the coding.
type sight struct {
	eye       turned
	perM      float64 // px per metre in the plane of the pitch
	radiusM   float64 // of the bat at the barrel's band
	handleM   float64 // of the bat at the hands' band
	widthM    float64 // of the barrel's band
	exposureS float64 // 0 unknown
}

// through is what is seen by another view.
func (s sight) through(v View) sight {
	s.eye = v.turned()
	s.perM = 1 / v.MetresPerPixel(Point{v.CX, v.CY})
	return s
}

// crescent is the mean of the outward normal over the half of a cylinder that
// faces the camera, each part weighted by the area it shows: ∫cos²/∫cos = π/4.
const crescent = math.Pi / 4

// chromaVar is the variance that the sampling of chroma adds along each axis, px²:
// a third for the average over two pixels, as much again for coding.
const chromaVar = 2.0 / 3

// handleRadiusM is the radius of a handle under its tape; common practice.
const handleRadiusM = 0.0125

// facing is how a bat at w that points along dir lies to the line of sight: the
// unit normal towards the camera, and cosine and sine of φ.
func (s sight) facing(w, dir World) (normal World, cos, sin float64) {
	l := s.eye.lens()
	v := unit(World{l.X - w.X, l.Y - w.Y, l.Z - w.Z})
	k := dot(dir, v)
	n := World{v.X - k*dir.X, v.Y - k*dir.Y, v.Z - k*dir.Z}
	sin = math.Sqrt(dot(n, n))
	if sin > 1e-9 {
		n = World{n.X / sin, n.Y / sin, n.Z / sin}
	}
	return n, k, sin
}

// middle is where the middle of a band around w is seen.
func (s sight) middle(w, dir World, radius float64) Point {
	n, _, _ := s.facing(w, dir)
	q := crescent * radius
	return s.eye.project(World{w.X + q*n.X, w.Y + q*n.Y, w.Z + q*n.Z})
}

// barrel is where the barrel's band is seen, on average over the exposure.
func (s sight) barrel(p pose, apartM float64) Point {
	w := p.Barrel(apartM)
	k := s.exposureS * s.exposureS / 24
	w.X += k * (p.HandsA.X + apartM*p.DirA.X)
	w.Y += k * (p.HandsA.Y + apartM*p.DirA.Y)
	w.Z += k * (p.HandsA.Z + apartM*p.DirA.Z)
	return s.middle(w, p.Dir, s.radiusM)
}

// hands is where the hands' band is seen when slipM of it, towards the barrel, is
// what its middle is off.
func (s sight) hands(p pose, slipM float64) Point {
	w := World{p.Hands.X + slipM*p.Dir.X, p.Hands.Y + slipM*p.Dir.Y, p.Hands.Z + slipM*p.Dir.Z}
	return s.middle(w, p.Dir, s.handleM)
}

// look is the size and shape of the barrel's band as seen: the share of its area
// when seen from the side in the plane of the pitch, and its covariance, px².
type look struct{ area, xx, xy, yy float64 }

func (s sight) look(p pose, apartM float64) look {
	w := p.Barrel(apartM)
	_, cos, sin := s.facing(w, p.Dir)
	v := s.eye
	nearer := v.DistanceM / (v.DistanceM - w.Y)
	perM := s.perM * nearer
	const d = 0.01
	a, b := v.project(w), v.project(World{w.X + d*p.Dir.X, w.Y + d*p.Dir.Y, w.Z + d*p.Dir.Z})
	ex, ey := b[0]-a[0], b[1]-a[1]
	if l := math.Hypot(ex, ey); l > 0 {
		ex, ey = ex/l, ey/l
	}
	r2 := s.radiusM * s.radiusM * perM * perM
	across := r2 / 3
	along := s.widthM*s.widthM*perM*perM/12*sin*sin + r2*cos*cos*(2.0/3-math.Pi*math.Pi/16)
	bv := World{p.HandsV.X + apartM*p.DirV.X, p.HandsV.Y + apartM*p.DirV.Y, p.HandsV.Z + apartM*p.DirV.Z}
	const dt = 1e-4
	m := v.project(World{w.X + dt*bv.X, w.Y + dt*bv.Y, w.Z + dt*bv.Z})
	bx, by := (m[0]-a[0])/dt*s.exposureS, (m[1]-a[1])/dt*s.exposureS
	return look{
		area: sin * nearer * nearer,
		xx:   along*ex*ex + across*ey*ey + bx*bx/12 + chromaVar,
		xy:   (along-across)*ex*ey + bx*by/12,
		yy:   along*ey*ey + across*ex*ex + by*by/12 + chromaVar,
	}
}
