package metrics

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashline/metrics/geom"
)

// PlateDepthM is the depth of home plate, front edge to rear tip: 17 in.
// Source: Official Baseball Rules 2.02 and Little League Rule 1.05 give 17 in of
// front and 8½ + 8½ in of depth.
const PlateDepthM = 17 * 0.0254

// ScaleUse says which source of scale was used.
type ScaleUse struct {
	Source string  // points, plate, ball, bat_marks, guess
	RelSD  float64 // relative standard error
	// Refused says which sources on the card were not used because they contradict
	// the others.
	Refused []string
}

// clickSD is the error of a point set by hand on a frame, px; common practice.
const clickSD = 1.5

// flatSD is the relative error of lengths about contact when the camera's distance
// is not known: a bat half a metre behind the plane of the pitch looks a tenth
// smaller from five metres. Far from contact it is farther, see farFlatSD.
const flatSD = 0.05

// farFlatSD is the same of the swing's ends, and farSD what a bat's lean leaves
// there when the distance is known: from scenes of known truth.
const (
	farFlatSD = 0.10
	farSD     = 0.015
)

// NewView makes the camera's view of a card's clip from the card alone. When no
// source of scale on it can be used yet, the picture's width is guessed to show
// guessWidthM metres, Source is "guess" and lengths must not be reported.
func NewView(c Card, widthPx, heightPx int) (geom.View, ScaleUse) {
	v := newView(c, widthPx, heightPx)
	slant := v.DistanceM
	for _, s := range c.Scale {
		pts, length, source := s.Points, s.LengthM, "points"
		if len(s.Plate) == 2 {
			pts, length, source = s.Plate, PlateDepthM, "plate"
		}
		if len(pts) != 2 || length <= 0 {
			continue
		}
		px := math.Hypot(pts[1][0]-pts[0][0], pts[1][1]-pts[0][1])
		if px < 4 {
			continue
		}
		mid := geom.Point{(pts[0][0] + pts[1][0]) / 2, (pts[0][1] + pts[1][1]) / 2}
		sd := math.Hypot(math.Max(0.004, clickSD*math.Sqrt2/px), flatErr(v))
		return v.Scaled(pts[0], pts[1], length, mid, slant), ScaleUse{Source: source, RelSD: sd}
	}
	mid := geom.Point{v.CX, v.CY}
	w := float64(widthPx)
	return v.Scaled(geom.Point{0, v.CY}, geom.Point{w, v.CY}, guessWidthM, mid, slant), ScaleUse{Source: "guess", RelSD: 0.3}
}

// ruler is one thing of known length that was seen: by how much lengths must grow
// for it to have its length, and the relative error of that.
type ruler struct {
	source      string
	grow, relSD float64
}

// Rulers that the clip itself holds. From scenes of known scale: what lens and codec
// add to a ball's breadth, and how far its size and the marks' distance scatter.
const (
	ballWiderPx = 0.6
	ballRelSD   = 0.02
	ballsLeast  = 6
	marksRelSD  = 0.03
	marksLeast  = 30  // frames with both marks: fewer, and the bat may never have lain flat
	marksFlat   = 5   // of them at least show the bat as long as it is: more is a stray sighting
	oddSD       = 3.5 // beyond which sources of scale contradict each other
)

// measuredView is the view with its scale taken from what was tracked too, as far as the
// card lists it: the ball's size, and the distance of the bat's marks when the bat
// lies in the plane of the picture. Each source counts by its error.
func measuredView(v geom.View, s ScaleUse, t Track, c Card) (geom.View, ScaleUse) {
	var rulers []ruler
	if s.known() {
		rulers = append(rulers, ruler{s.Source, 1, s.RelSD})
	}
	for _, x := range c.Scale {
		switch {
		case x.Ball:
			rulers = ballRuler(v, rulers, t, c)
		case x.BatMarks:
			rulers = marksRuler(v, rulers, t, c)
		}
	}
	if len(rulers) == 0 {
		return v, s
	}
	var refused []string
	for i := odd(rulers); i >= 0; i = odd(rulers) {
		r := rulers[i]
		rulers = but(rulers, i)
		grow, _ := together(rulers)
		refused = append(refused, fmt.Sprintf("scale: %s is %.0f %% off the other sources and not used", r.source, 100*math.Abs(math.Exp(grow)/r.grow-1)))
	}
	best := slices.MinFunc(rulers, func(a, b ruler) int { return cmp.Compare(a.relSD, b.relSD) })
	grow, relSD := together(rulers)
	return v.Rescaled(math.Exp(grow)), ScaleUse{Source: best.source, RelSD: relSD, Refused: refused}
}

// together is the logarithm of what rulers say, each weighed by its error, and the
// error of that: larger where they differ by more than they are said to err (Birge's
// ratio).
func together(rulers []ruler) (grow, relSD float64) {
	sum, weight := 0.0, 0.0
	for _, r := range rulers {
		w := 1 / (r.relSD * r.relSD)
		sum, weight = sum+w*math.Log(r.grow), weight+w
	}
	grow = sum / weight
	chi2 := 0.0
	for _, r := range rulers {
		d := (math.Log(r.grow) - grow) / r.relSD
		chi2 += d * d
	}
	return grow, math.Sqrt(math.Max(1, chi2/math.Max(1, float64(len(rulers)-1))) / weight)
}

// odd is the ruler that is farthest from the others, when that is farther than all
// of them err; -1 without. Of two that differ the later one is, as a card lists the
// best first.
func odd(rulers []ruler) int {
	at, most := -1, oddSD
	for i, r := range rulers {
		grow, relSD := together(but(rulers, i))
		if d := math.Abs(math.Log(r.grow)-grow) / math.Hypot(r.relSD, relSD); d > most {
			at, most = i, d
		}
	}
	if at >= 0 && len(rulers) == 2 {
		return 1
	}
	return at
}

// but is all rulers but one.
func but(rulers []ruler, i int) []ruler {
	return slices.Concat(rulers[:i], rulers[i+1:])
}

// ballRuler adds the breadth of the pitched ball, which is that of the rules.
func ballRuler(v geom.View, rulers []ruler, t Track, c Card) []ruler {
	var grow []float64
	for _, b := range t.Balls {
		for _, x := range b.In {
			if wide := x.SizePx - ballWiderPx; wide > 0 {
				grow = append(grow, 2*c.BallRadiusM()/(wide*v.MetresPerPixel(geom.Point{x.XPx, x.YPx})))
			}
		}
	}
	if len(grow) < ballsLeast {
		return rulers
	}
	return append(rulers, ruler{"ball", median(grow), math.Hypot(ballRelSD, flatErr(v))})
}

// marksRuler adds the largest distance between the marks of the bat, which then lies
// about as deep as hands do.
func marksRuler(v geom.View, rulers []ruler, t Track, c Card) []ruler {
	at := map[int]Sample{}
	for _, h := range t.Hands {
		at[h.Frame] = h
	}
	var apart []float64
	for _, b := range t.Barrel {
		if h, ok := at[b.Frame]; ok {
			k := v.MetresPerPixel(geom.Point{b.XPx, b.YPx})
			apart = append(apart, k*math.Hypot(b.XPx-h.XPx, b.YPx-h.YPx))
		}
	}
	if len(apart) < marksLeast || c.Bat.MarksApartM <= 0 {
		return rulers
	}
	distance, handsY := lensM(v), c.handsYM()
	slices.Sort(apart)
	seen := apart[len(apart)-marksFlat] * (distance - handsY) / distance
	return append(rulers, ruler{"bat_marks", c.Bat.MarksApartM / seen, math.Hypot(marksRelSD, flatErr(v))})
}

// flatErr is the relative error of lengths that a camera of unknown distance leaves.
func flatErr(v geom.View) float64 {
	if v.Lens {
		return 0
	}
	return flatSD
}

// guessWidthM is how much of the pitch a coach's picture usually shows across;
// common practice, used only to bound searches.
const guessWidthM = 4.0

// newView makes the view of a card without its scale: focal length 1.
func newView(c Card, widthPx, heightPx int) geom.View {
	v := geom.View{
		FocalPx: 1, CX: float64(widthPx-1) / 2, CY: float64(heightPx-1) / 2,
		DistanceM: geom.FarM, Sign: 1, RollRad: c.Camera.RollDeg * math.Pi / 180, TiltRad: c.Camera.TiltDeg * math.Pi / 180,
	}
	if len(c.Camera.Level) == 2 {
		p, q := c.Camera.Level[0], c.Camera.Level[1]
		if q[0] < p[0] {
			p, q = q, p
		}
		v.RollRad = -math.Atan2(q[1]-p[1], q[0]-p[0])
	}
	if !c.PitcherRight() {
		v.Sign = -1
	}
	v.YawRad = v.Sign * c.Camera.YawDeg * math.Pi / 180
	if c.Camera.DistanceM > 0 {
		v.DistanceM, v.Lens = c.Camera.DistanceM, true
	}
	return v
}
