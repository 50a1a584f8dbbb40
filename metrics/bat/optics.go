package bat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/geom"
)

// Sight says what a camera sees of the two bands. A band is a ring of radius r
// and width w on a cylinder. Where the bat makes the angle φ with the line of
// sight the near half of the ring shows the area 2·r·w·sin φ. With u across the
// bat, −1 to 1, every part of u shows the same area, and lies c = √(1−u²) of the
// radius towards the camera, square to the bat; in the picture that is −cos φ·c·r
// along the bat.
//
// Each part sends light as it is lit: ambient + max(0, n·l) with the part's normal n
// and the lamp's direction and strength l. A sighting is the light that was seen, and
// its moments are those of u and c weighted so. In even light its middle lies π/4·r
// off the bat's axis, and its variance is r²/3 across the bat and w²/12·sin²φ +
// r²·cos²φ·(2/3 − π²/16) along it.
//
// Over an exposure of T the middle moves with the bat: its mean is off the middle at
// mid-exposure by acceleration·T²/24, and its variance grows by T²/12 along the
// travel. Chroma is averaged over 2 × 2 px and blurred again by the coding.
//
// Both rims of the ring are seen as arcs that bulge the same way, away from the
// barrel's side of it when that is the nearer end. What blurs evenly to both sides,
// motion and coding among it, adds nothing to a third central moment, so that it
// tells a bat that leans towards the camera from one that leans away.
type Sight struct {
	RadiusM   float64    // of the bat at the barrel's band
	WidthM    float64    // of the barrel's band
	ExposureS float64    // 0 unknown
	lamp      geom.World // 0 even light
	eye       geom.Eye
	perM      float64 // px per metre in the plane of the pitch
}

// Through is what is seen by view v.
func (s Sight) Through(v geom.View) Sight {
	s.eye = v.Eye()
	s.perM = 1 / v.MetresPerPixel(geom.Point{v.CX, v.CY})
	return s
}

// of is how s is seen: where only the hue was followed its place is the middle of what
// the hue covers, however lit.
func (s Sight) of(x Sighting) Sight {
	if !x.Shape.Skewed {
		s.lamp = geom.World{}
	}
	return s
}

// facing is how a bat at w that points along dir lies to the line of sight: the
// unit normal towards the camera, and cosine and sine of φ.
func (s Sight) facing(w, dir geom.World) (normal geom.World, cos, sin float64) {
	l := s.eye.LensAt()
	v := geom.Unit(r3.Sub(l, w))
	k := r3.Dot(dir, v)
	n := geom.Along(v, -k, dir)
	sin = math.Sqrt(r3.Dot(n, n))
	if sin > 1e-9 {
		n = geom.World{X: n.X / sin, Y: n.Y / sin, Z: n.Z / sin}
	}
	return n, k, sin
}

// shine holds the moments of a ring's light: its sum, 1 in even light, and for u
// across the bat and c towards the camera, in radii, the means and the central
// second and third moments.
type shine struct {
	sum, c, u          float64
	cc, cu, uu         float64
	ccc, ccu, cuu, uuu float64
}

// shineParts is the number of parts that the near half of a ring is summed in, even
// in angle.
const shineParts = 16

var shineAngles = func() (out [shineParts][2]float64) {
	for i := range out {
		out[i][0], out[i][1] = math.Sincos(math.Pi * ((float64(i)+0.5)/shineParts - 0.5))
	}
	return out
}()

// shine is the light of a ring whose near side has the normal n; t is square to n
// and to the bat.
func (s Sight) shine(n, t geom.World) shine {
	ln, lt := r3.Dot(n, s.lamp), r3.Dot(t, s.lamp)
	var w [shineParts]float64
	var m shine
	for i, a := range shineAngles {
		u, c := a[0], a[1]
		w[i] = c * (ambient + math.Max(0, ln*c+lt*u))
		m.sum += w[i]
		m.c += w[i] * c
		m.u += w[i] * u
	}
	m.c, m.u = m.c/m.sum, m.u/m.sum
	for i, a := range shineAngles {
		k, u, c := w[i]/m.sum, a[0]-m.u, a[1]-m.c
		m.cc, m.cu, m.uu = m.cc+k*c*c, m.cu+k*c*u, m.uu+k*u*u
		m.ccc, m.ccu = m.ccc+k*c*c*c, m.ccu+k*c*c*u
		m.cuu, m.uuu = m.cuu+k*c*u*u, m.uuu+k*u*u*u
	}
	m.sum *= math.Pi / shineParts / 2 / ambient
	return m
}

// middle is where the middle of the light of a band around w is seen.
func (s Sight) middle(w, dir geom.World, radius float64) geom.Point {
	n, _, _ := s.facing(w, dir)
	t := r3.Cross(dir, n)
	m := s.shine(n, t)
	c, u := m.c*radius, m.u*radius
	return s.eye.Project(geom.Along(geom.Along(w, c, n), u, t))
}

// barrel is where the barrel's band is seen, on average over the exposure.
func (s Sight) barrel(p Pose, leverM float64) geom.Point {
	k := s.ExposureS * s.ExposureS / 24
	return s.middle(geom.Along(p.At(leverM), k, p.Acc(leverM)), p.Dir, s.RadiusM)
}

// hands is where a band on the handle is seen whose middle is offM from the middle
// of the hands, towards the barrel.
func (s Sight) hands(p Pose, offM float64) geom.Point {
	return s.middle(p.At(offM), p.Dir, handleRadiusM)
}

// look is the light and shape of the barrel's band as seen: the share of the light
// that it sends when seen from the side in the plane of the pitch and in even light,
// and its covariance, px².
type look struct {
	area, xx, xy, yy float64
	third            [4]float64 // xxx, xxy, xyy, yyy, px³
}

func (s Sight) look(p Pose, leverM float64) look {
	w := p.At(leverM)
	n, cos, sin := s.facing(w, p.Dir)
	t := r3.Cross(p.Dir, n)
	m := s.shine(n, t)
	v := s.eye
	nearer := v.DistanceM / (v.DistanceM - w.Y)
	r := s.RadiusM * s.perM * nearer
	const d = 0.01
	at := v.Project(w)
	e := geom.Toward(at, v.Project(geom.Along(w, d, p.Dir)))
	// Across the bat in the picture, on the side that t leads to.
	f := geom.Toward(at, v.Project(geom.Along(w, d, t)))
	a := -r * cos // along e, of a radius towards the camera
	thick := s.WidthM * s.perM * nearer * sin
	along, cross, across := thick*thick/12+a*a*m.cc, a*r*m.cu, r*r*m.uu
	bv := p.Vel(leverM)
	const dt = 1e-4
	q := v.Project(geom.Along(w, dt, bv))
	bx, by := (q[0]-at[0])/dt*s.ExposureS, (q[1]-at[1])/dt*s.ExposureS
	return look{
		area:  sin * nearer * nearer * m.sum,
		xx:    along*e[0]*e[0] + 2*cross*e[0]*f[0] + across*f[0]*f[0] + bx*bx/12 + chromaVar,
		xy:    along*e[0]*e[1] + cross*(e[0]*f[1]+e[1]*f[0]) + across*f[0]*f[1] + bx*by/12,
		yy:    along*e[1]*e[1] + 2*cross*e[1]*f[1] + across*f[1]*f[1] + by*by/12 + chromaVar,
		third: third(e, f, a*a*a*m.ccc, a*a*r*m.ccu, a*r*r*m.cuu, r*r*r*m.uuu),
	}
}

// third is the tensor of third moments of what has those along e and f.
func third(e, f geom.Point, eee, eef, eff, fff float64) [4]float64 {
	at := func(i, j, k int) float64 {
		return eee*e[i]*e[j]*e[k] + eef*(e[i]*e[j]*f[k]+e[i]*f[j]*e[k]+f[i]*e[j]*e[k]) +
			eff*(e[i]*f[j]*f[k]+f[i]*e[j]*f[k]+f[i]*f[j]*e[k]) + fff*f[i]*f[j]*f[k]
	}
	return [4]float64{at(0, 0, 0), at(0, 0, 1), at(0, 1, 1), at(1, 1, 1)}
}

// bulges are how far a band's third moments are off what it should look like, in
// s.d. Each moment of the tensor counts as often as it stands in it.
func (s Sight) bulges(l look, seen Shape) [4]float64 {
	px := s.RadiusM * s.perM
	sd := bulgeSD*bulgeAcross*px*px*px + bulgePx3
	var out [4]float64
	for k, n := range [4]float64{1, math.Sqrt(3), math.Sqrt(3), 1} {
		out[k] = n * (l.third[k] - seen.Third[k]) / (math.Sqrt(3) * sd)
	}
	return out
}
