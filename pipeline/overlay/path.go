package overlay

import (
	"math"
	"slices"
	"sort"

	"ashline/pipeline/draw"
)

// pathKind says how a part of the barrel's path is drawn.
type pathKind int

const (
	outOfZone pathKind = iota
	inZone
	guessedPath
)

// barrelPath is the barrel's way through one swing, px of the screen.
type barrelPath struct {
	timesS []float64
	at     []draw.Point
	kinds  []pathKind // of the part from point i to point i+1
}

// newBarrelPath samples the curve from fromS to toS. borders are times at which
// a point is wanted: the zone's ends and contact, where the colour changes or
// the path bends.
func newBarrelPath(curve func(float64) draw.Point, fromS, toS float64, borders []float64, kind func(t float64) pathKind) barrelPath {
	var p barrelPath
	if !(toS > fromS) {
		return p
	}
	n := max(2, int(math.Ceil((toS-fromS)/pathStepS)))
	for i := range n + 1 {
		p.timesS = append(p.timesS, fromS+(toS-fromS)*float64(i)/float64(n))
	}
	for _, t := range borders {
		if t > fromS && t < toS {
			p.timesS = append(p.timesS, t)
		}
	}
	sort.Float64s(p.timesS)
	p.timesS = slices.Compact(p.timesS)
	for i, t := range p.timesS {
		p.at = append(p.at, curve(t))
		if i > 0 {
			p.kinds = append(p.kinds, kind((p.timesS[i-1]+t)/2))
		}
	}
	return p
}

// kindsOf returns the kind of the path at a time, given the zone's ends, NaN
// when unknown, the times at which the barrel was seen, in rising order, and the
// time between two frames.
func kindsOf(enterS, leaveS float64, seenS []float64, frameS float64) func(t float64) pathKind {
	return func(t float64) pathKind {
		i := sort.SearchFloat64s(seenS, t)
		reach := unseenFrames*frameS + 1e-6
		seen := i < len(seenS) && seenS[i]-t <= reach || i > 0 && t-seenS[i-1] <= reach
		switch {
		case !seen:
			return guessedPath
		case t >= enterS && t <= leaveS:
			return inZone
		}
		return outOfZone
	}
}

// until is the path up to time t, its last point on the curve at t.
func (p barrelPath) until(t float64) barrelPath {
	n := sort.Search(len(p.timesS), func(i int) bool { return p.timesS[i] > t })
	if n == len(p.timesS) || n == 0 {
		return barrelPath{p.timesS[:n], p.at[:n], p.kinds[:max(n-1, 0)]}
	}
	out := barrelPath{slices.Clone(p.timesS[:n+1]), slices.Clone(p.at[:n+1]), p.kinds[:n]}
	a, b := p.at[n-1], p.at[n]
	k := (t - p.timesS[n-1]) / (p.timesS[n] - p.timesS[n-1])
	out.timesS[n] = t
	out.at[n] = draw.Point{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y)}
	return out
}

// draw puts the path on the canvas: one dark border under all of it, then the
// parts, those in the zone wider and on top.
func (p barrelPath) draw(c *draw.Canvas, place func(draw.Point) draw.Point, widthPx float64) {
	if len(p.at) < 2 {
		return
	}
	at := make([]draw.Point, len(p.at))
	for i, q := range p.at {
		at[i] = place(q)
	}
	style := map[pathKind]draw.Stroke{
		outOfZone:   {WidthPx: widthPx, Colour: draw.PathOutOfZone, CasingPx: widthPx * 0.35},
		guessedPath: {WidthPx: widthPx * 0.8, Colour: draw.PathGuessed, CasingPx: widthPx * 0.25, DashPx: 2.5 * widthPx, GapPx: 2 * widthPx},
		inZone:      {WidthPx: widthPx * 1.5, Colour: draw.PathInZone, CasingPx: widthPx * 0.35},
	}
	for _, k := range []pathKind{guessedPath, outOfZone, inZone} {
		for i := 0; i < len(p.kinds); {
			j := i + 1
			for j < len(p.kinds) && p.kinds[j] == p.kinds[i] {
				j++
			}
			if p.kinds[i] == k {
				c.Polyline(at[i:j+1], style[k])
			}
			i = j
		}
	}
}
