package bat

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// Bat is the motion of one bat in space: where the middle of the hands is and which
// way the barrel points from it, each three cubic splines in time.
type Bat struct {
	sight  Sight
	leverM float64 // from the middle of the hands to the barrel's band, along the axis
	markM  float64 // from the middle of the hands to the hands' band, likewise
	knots  fit.Knots
	// x holds the unknowns, unknowns of them for each basis function: hands x, y, z,
	// then the direction to the barrel, whose length is held at 1.
	x []float64
	// slipM is how far towards the barrel the middle of what is seen of the hands'
	// band lies off the band's middle: fingers cover some of it.
	slipM float64
	// whole is the light of the whole band seen from the side, in the unit of
	// Shape.Mass; 0 unknown.
	whole    float64
	contactS float64
	marked   bool

	terms     []term // at the end of the fit
	misfit    float64
	normal    *fit.Normal // at x
	equations []equation  // the rows at x
	stray     map[int]bool
}

// equation is one row: its size, and its gradient in the unknowns from first on and
// in the slip.
type equation struct {
	first    int
	gradient []float64
	common   float64
	is       float64
}

// LeverM is the distance from the middle of the hands to the barrel's band, m.
func (b *Bat) LeverM() float64 { return b.leverM }

// MarkM is the distance from the middle of the hands to the hands' band, m; false
// where there is none, or where it is not known.
func (b *Bat) MarkM() (float64, bool) { return b.markM, b.marked }

// ContactS is the time of contact that the bat was fitted with.
func (b *Bat) ContactS() float64 { return b.contactS }

// Eye is the view that the bat was fitted in.
func (b *Bat) Eye() geom.Eye { return b.sight.eye }

// At is the pose at t, at the instant of contact on one side of it. Before and
// after what was seen it is that of the end: a cubic would leave at once.
func (b *Bat) At(t float64, side fit.Side) Pose {
	from, to := b.knots.Span()
	t = math.Max(from, math.Min(t, to))
	return poseOf(b.x, b.knots.At(t, side))
}

// Barrel is the place of the barrel's band on the axis at t.
func (b *Bat) Barrel(t float64, side fit.Side) geom.World { return b.At(t, side).At(b.leverM) }

// Axis moves a sighting of the barrel's band, averaged over the exposure, to the bat's
// axis at mid-exposure, px, and gives the depth there, m.
func (b *Bat) Axis(s Sighting) (geom.Point, float64) {
	p := b.At(s.TimeS, fit.Before)
	w := p.At(b.leverM)
	px, on, seen := s.lit(), b.sight.eye.Project(w), b.sight.of(s).barrel(p, b.leverM)
	return geom.Point{px[0] + on[0] - seen[0], px[1] + on[1] - seen[1]}, w.Y
}

// OnAxis is where the barrel's axis is in the picture at t, px; false outside of what
// was seen.
func (b *Bat) OnAxis(t float64) (geom.Point, bool) {
	if from, to := b.knots.Span(); t < from || t > to {
		return geom.Point{}, false
	}
	return b.sight.eye.Project(b.Barrel(t, fit.Before)), true
}

// Stray are the frames in which what was taken for the hands' band is not on the bat.
func (b *Bat) Stray() map[int]bool { return b.stray }

// HiddenVar is the variance, px², that a sighting of the barrel's band has because
// less or more of its hue was seen than the bat's pose shows: part of the band is
// hidden or too pale, or another thing touches it, and the middle of what is left
// is off by some share of the band's extent.
func (b *Bat) HiddenVar(s Sighting) float64 {
	if s.Shape.Mass <= 0 || b.whole <= 0 {
		return 0
	}
	l := b.sight.look(b.At(s.TimeS, fit.Before), b.leverM)
	share := s.Shape.Mass / b.whole / l.area
	off := math.Max(0, math.Max(hiddenShare-share, share-spillShare))
	return off * off * (l.xx + l.yy)
}

// PxVar is the larger variance of the barrel's place in the picture, px².
func (b *Bat) PxVar(t float64) float64 {
	x := b.variance(t, func(w geom.World) float64 { return b.sight.eye.Project(w)[0] })
	y := b.variance(t, func(w geom.World) float64 { return b.sight.eye.Project(w)[1] })
	return math.Max(x, y)
}

// variance is that of a function of the barrel's place at t.
func (b *Bat) variance(t float64, f func(geom.World) float64) float64 {
	s := b.knots.At(t, fit.Before)
	p := poseOf(b.x, s)
	w := p.At(b.leverM)
	const h = 1e-4
	at := f(w)
	gx, gy, gz := (f(r3.Add(w, geom.World{X: h}))-at)/h, (f(r3.Add(w, geom.World{Y: h}))-at)/h, (f(r3.Add(w, geom.World{Z: h}))-at)/h
	// The direction keeps its length: only what is square to it counts.
	k := r3.Dot(p.Dir, geom.World{X: gx, Y: gy, Z: gz})
	l := b.leverM / p.lengthOfDir
	g := [unknowns]float64{gx, gy, gz, l * (gx - k*p.Dir.X), l * (gy - k*p.Dir.Y), l * (gz - k*p.Dir.Z)}
	return b.normal.Variance(unknowns*s.First, through(s, 0, g))
}

// A term is one thing that a bat has to agree with: a law of swings or a sighting. Its
// residuals are divided by their s.d.
type term interface {
	// rows hands the residuals at b to add, and unless plain is set their gradients.
	rows(b *Bat, plain bool, add row)
}

// row takes one residual: its size r, and its gradient in the unknowns from first on
// and in the slip.
type row func(first int, gradient []float64, common, r float64)
