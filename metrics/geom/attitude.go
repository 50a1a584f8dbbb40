package geom

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Attitude is how a camera stands, read from the straight edges of what it sees: those that are
// upright in the world meet in one vanishing point, those that are level and along the pitch in
// another.
type Attitude struct {
	RollRad, TiltRad, YawRad float64 // as View has them
	// Upright and Level are the length of the edges that agree within agreeRad, px, and Off
	// the median angle by which upright edges miss the direction found. An edge agrees by
	// chance too: what counts is how many more do.
	Upright, Level float64
	OffRad         float64
}

const (
	uprightMost  = 16 * math.Pi / 180 // from the picture's upright
	levelMost    = 20 * math.Pi / 180 // from the levelled picture's rows
	agreeRad     = 0.3 * math.Pi / 180
	yawMost      = 30 * math.Pi / 180
	yawStep      = 0.1 * math.Pi / 180
	uprightTimes = 20  // rounds of reweighting
	scaleOfOff   = 1.5 // median offs from which an edge counts half
)

// AttitudeOf reads the attitude from segments, px, of a camera with the view's centre and focal
// length. Edges that are neither upright nor level do no harm.
func AttitudeOf(segments [][2]Point, v View) Attitude {
	var up, across []edge
	for _, s := range segments {
		e := edgeOf(s, v)
		if e.lengthPx == 0 {
			continue
		}
		if math.Abs(math.Atan2(s[1][0]-s[0][0], s[1][1]-s[0][1])) < uprightMost || math.Abs(math.Atan2(s[0][0]-s[1][0], s[0][1]-s[1][1])) < uprightMost {
			up = append(up, e)
		} else {
			across = append(across, e)
		}
	}
	var a Attitude
	if len(up) == 0 {
		return a
	}
	down := a.upright(up)
	a.RollRad = math.Atan2(down[0], down[1])
	a.TiltRad = math.Atan2(-down[2], math.Hypot(down[0], down[1]))
	v.RollRad, v.TiltRad = a.RollRad, a.TiltRad
	a.level(across, v)
	return a
}

// edge is a segment: the normal of the plane through it and the lens, unit, in the camera's
// axes (right, down, forward), and its length.
type edge struct {
	normal   [3]float64
	lengthPx float64
}

func edgeOf(s [2]Point, v View) edge {
	p := [3]float64{s[0][0] - v.CX, s[0][1] - v.CY, v.FocalPx}
	q := [3]float64{s[1][0] - v.CX, s[1][1] - v.CY, v.FocalPx}
	n := [3]float64{p[1]*q[2] - p[2]*q[1], p[2]*q[0] - p[0]*q[2], p[0]*q[1] - p[1]*q[0]}
	l := math.Sqrt(dot(n, n))
	if l == 0 {
		return edge{}
	}
	return edge{[3]float64{n[0] / l, n[1] / l, n[2] / l}, math.Hypot(s[1][0]-s[0][0], s[1][1]-s[0][1])}
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// off is the angle between an edge's plane and a direction.
func (e edge) off(dir [3]float64) float64 {
	return math.Asin(math.Min(1, math.Abs(dot(e.normal, dir))))
}

// upright finds the direction that most of the edges point along: the least of Σ w (n·v)²,
// reweighted so that strays lose their say.
func (a *Attitude) upright(edges []edge) [3]float64 {
	weights := make([]float64, len(edges))
	for i, e := range edges {
		weights[i] = e.lengthPx
	}
	var dir [3]float64
	offs := make([]float64, len(edges))
	for range uprightTimes {
		m := mat.NewSymDense(3, nil)
		for i, e := range edges {
			m.SymRankOne(m, weights[i], mat.NewVecDense(3, e.normal[:]))
		}
		var eig mat.EigenSym
		if !eig.Factorize(m, true) {
			break
		}
		var vectors mat.Dense
		eig.VectorsTo(&vectors)
		for i := range dir {
			dir[i] = vectors.At(i, 0)
		}
		if dir[1] < 0 {
			dir = [3]float64{-dir[0], -dir[1], -dir[2]}
		}
		for i, e := range edges {
			offs[i] = e.off(dir)
		}
		sorted := slices.Clone(offs)
		slices.Sort(sorted)
		a.OffRad = sorted[len(sorted)/2]
		scale := math.Max(1e-6, scaleOfOff*a.OffRad)
		for i, e := range edges {
			weights[i] = e.lengthPx / (1 + offs[i]*offs[i]/(scale*scale))
		}
	}
	for i, e := range edges {
		if offs[i] < agreeRad {
			a.Upright += e.lengthPx
		}
	}
	return dir
}

// level finds the yaw that gathers the most length of level edges.
func (a *Attitude) level(edges []edge, v View) {
	kept := slices.DeleteFunc(slices.Clone(edges), func(e edge) bool {
		// The edge's direction in the levelled picture is across its normal.
		r, d := e.normal[0]*math.Cos(v.RollRad)-e.normal[1]*math.Sin(v.RollRad), e.normal[0]*math.Sin(v.RollRad)+e.normal[1]*math.Cos(v.RollRad)
		return math.Abs(math.Atan2(r, math.Abs(d))) > levelMost
	})
	best := 0.0
	for yaw := -yawMost; yaw <= yawMost; yaw += yawStep {
		v.YawRad = yaw
		along := v.Eye().alongPitch()
		sum, worth := 0.0, 0.0
		for _, e := range kept {
			if off := e.off(along) / agreeRad; off < 1 {
				sum, worth = sum+e.lengthPx, worth+e.lengthPx*(1-off*off)
			}
		}
		if worth > best {
			best, a.Level, a.YawRad = worth, sum, yaw
		}
	}
}

// alongPitch is the world's rightward direction in the camera's axes.
func (v Eye) alongPitch() [3]float64 {
	r, f := v.cy, v.sy
	f, d := f*v.ct, f*v.st
	return [3]float64{r*v.cr + d*v.sr, -r*v.sr + d*v.cr, f}
}
