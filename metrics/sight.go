package metrics

import (
	"math"

	"ashline/metrics/fit"
)

// sight says what a camera sees of the two bands. A band is a ring of radius r
// and width w on a cylinder. Where the bat makes the angle φ with the line of
// sight the near half of the ring shows the area 2·r·w·sin φ. The middle of what
// is seen lies π/4·r·cos φ off the bat's axis, square to it and towards the
// camera. Across the bat the variance of what is seen is r²/3; along it, in the
// picture, w²/12·sin²φ + r²·cos²φ·(2/3 − π²/16), always the smaller. Over an
// exposure of T the middle moves with the bat: its mean is off the middle at
// mid-exposure by acceleration·T²/24, and its variance grows by T²/12 along the
// travel. Chroma is averaged over 2 × 2 px and blurred again by the coding.
//
// Both rims of the ring are seen as arcs that bulge the same way, away from the
// barrel's side of it when that is the nearer end. The third central moment of one
// step along the bat, in the picture towards the barrel, and two across it is
// π/48·r³·cos φ, that of three steps along it is a fifth of that times cos² φ. What
// blurs evenly to both sides, motion and coding among it, adds nothing to a third
// moment, so that it tells a bat that leans towards the camera from one that leans
// away.
type sight struct {
	eye       turned
	perM      float64 // px per metre in the plane of the pitch
	radiusM   float64 // of the bat at the barrel's band
	handleM   float64 // of the bat at the hands' band
	widthM    float64 // of the barrel's band
	exposureS float64 // 0 unknown
	// samplePx is the pitch of the samples that a band's area is counted in, px:
	// where the band is hardly thicker no sample is covered whole, and what is
	// covered in part counts for too much, by about the square of pitch over
	// thickness (from bands of known pose). 0 is a camera that counts exactly.
	samplePx float64
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
func (s sight) barrel(p pose, leverM float64) Point {
	w := p.Barrel(leverM)
	k := s.exposureS * s.exposureS / 24
	w.X += k * (p.HandsA.X + leverM*p.DirA.X)
	w.Y += k * (p.HandsA.Y + leverM*p.DirA.Y)
	w.Z += k * (p.HandsA.Z + leverM*p.DirA.Z)
	return s.middle(w, p.Dir, s.radiusM)
}

// hands is where a band on the handle is seen whose middle is offM from the middle
// of the hands, towards the barrel.
func (s sight) hands(p pose, offM float64) Point {
	w := World{p.Hands.X + offM*p.Dir.X, p.Hands.Y + offM*p.Dir.Y, p.Hands.Z + offM*p.Dir.Z}
	return s.middle(w, p.Dir, s.handleM)
}

// look is the size and shape of the barrel's band as seen: the share of its area
// when seen from the side in the plane of the pitch, and its covariance, px².
type look struct {
	area, xx, xy, yy float64
	third            [4]float64 // xxx, xxy, xyy, yyy, px³
}

// chromaPx is the pitch of chroma samples in 4:2:0 video, luma px.
const chromaPx = 2.0

// Third central moments of the ring's arc c = √(1−s²) over s in −1..1: E[c] = π/4,
// E[c²] = 2/3, E[c³] = 3π/16, E[s²] = 1/3, E[c·s²] = π/16.
const (
	bulgeAcross = math.Pi/12 - math.Pi/16
	bulgeAlong  = -(3*math.Pi/16 - 3*crescent*2/3 + 2*crescent*crescent*crescent)
)

// third is the tensor of third moments with abb along e once and across it twice,
// and aaa along it.
func third(ex, ey, abb, aaa float64) [4]float64 {
	nx, ny := -ey, ex
	return [4]float64{
		3*abb*ex*nx*nx + aaa*ex*ex*ex,
		abb*(ey*nx*nx+2*ex*nx*ny) + aaa*ex*ex*ey,
		abb*(ex*ny*ny+2*ey*nx*ny) + aaa*ex*ey*ey,
		3*abb*ey*ny*ny + aaa*ey*ey*ey,
	}
}

func (s sight) look(p pose, leverM float64) look {
	w := p.Barrel(leverM)
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
	r := s.radiusM * perM
	r2 := r * r
	across := r2 / 3
	thick := math.Max(s.widthM*perM*sin, s.samplePx)
	spill := 0.0
	if thick > 0 {
		spill = s.samplePx * s.samplePx / (thick * thick)
	}
	along := s.widthM*s.widthM*perM*perM/12*sin*sin + r2*cos*cos*(2.0/3-math.Pi*math.Pi/16)
	bv := World{p.HandsV.X + leverM*p.DirV.X, p.HandsV.Y + leverM*p.DirV.Y, p.HandsV.Z + leverM*p.DirV.Z}
	const dt = 1e-4
	m := v.project(World{w.X + dt*bv.X, w.Y + dt*bv.Y, w.Z + dt*bv.Z})
	bx, by := (m[0]-a[0])/dt*s.exposureS, (m[1]-a[1])/dt*s.exposureS
	return look{
		area:  sin * nearer * nearer * (1 + spill),
		xx:    along*ex*ex + across*ey*ey + bx*bx/12 + chromaVar,
		xy:    (along-across)*ex*ey + bx*by/12,
		yy:    along*ey*ey + across*ex*ex + by*by/12 + chromaVar,
		third: third(ex, ey, bulgeAcross*r2*r*cos, bulgeAlong*r2*r*cos*cos*cos),
	}
}

// bulges are how far a band's third moments are off what it should look like, in
// s.d. Each moment of the tensor counts as often as it stands in it.
func (s sight) bulges(l look, seen Shape) [4]float64 {
	px := s.radiusM * s.perM
	sd := bulgeSD*bulgeAcross*px*px*px + bulgePx3
	var out [4]float64
	for k, n := range [4]float64{1, math.Sqrt(3), math.Sqrt(3), 1} {
		out[k] = n * (l.third[k] - seen.Third[k]) / (math.Sqrt(3) * sd)
	}
	return out
}

// hiddenVar is the variance, px², that a sighting of the barrel's band has because
// less or more of its hue was seen than the bat's pose shows: part of the band is
// hidden or too pale, or another thing touches it, and the middle of what is left
// is off by some share of the band's extent.
func (b *bat) hiddenVar(s Sample) float64 {
	if s.Shape.Mass <= 0 || b.rows.whole <= 0 {
		return 0
	}
	l := b.sight.look(b.at(s.TimeS, fit.Before), b.leverM)
	share := s.Shape.Mass / b.rows.whole / l.area
	off := math.Max(0, math.Max(hiddenShare-share, share-spillShare))
	return off * off * (l.xx + l.yy)
}
