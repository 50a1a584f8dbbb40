package metrics

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// ScaleUse says which source of scale was used.
type ScaleUse struct {
	Source string  // points, plate, ball, bat_marks, guess
	RelSD  float64 // relative standard error
	// Refused says which sources on the card were not used because they contradict
	// the others.
	Refused []string
}

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
		if px < clickLeast {
			continue
		}
		mid := geom.Point{(pts[0][0] + pts[1][0]) / 2, (pts[0][1] + pts[1][1]) / 2}
		sd := math.Hypot(math.Max(lengthSD, clickSD*math.Sqrt2/px), flatErr(v))
		return v.Scaled(pts[0], pts[1], length, mid, slant), ScaleUse{Source: source, RelSD: sd}
	}
	mid := geom.Point{v.CX, v.CY}
	w := float64(widthPx)
	return v.Scaled(geom.Point{0, v.CY}, geom.Point{w, v.CY}, guessWidthM, mid, slant), ScaleUse{Source: "guess", RelSD: guessRelSD}
}

// ruler is one thing of known length that was seen: by how much lengths must grow
// for it to have its length, and the relative error of that.
type ruler struct {
	source      string
	grow, relSD float64
}

// Ruler is what one thing of known length, stated or seen, says of a clip's scale.
type Ruler struct {
	Source string  // points, plate, ball, bat_marks
	PxPerM float64 // in the picture's middle
	RelSD  float64
}

// Rulers lists what tells a clip's scale, stated or seen.
func Rulers(t Track, c Card) []Ruler {
	v, s := NewView(c, t.WidthPx, t.HeightPx)
	all := rulersOf(v, s, t, c)
	out := make([]Ruler, len(all))
	for i, r := range all {
		out[i] = Ruler{r.source, 1 / (r.grow * v.MetresPerPixel(geom.Point{v.CX, v.CY})), r.relSD}
	}
	return out
}

// rulersOf lists all that tells the scale of a view: what the card states, and what is known
// of things that were tracked, the ball's breadth and the distance of the bat's marks when
// the bat lies in the plane of the picture.
func rulersOf(v geom.View, s ScaleUse, t Track, c Card) []ruler {
	var out []ruler
	if s.known() {
		out = append(out, ruler{s.Source, 1, s.RelSD})
	}
	return marksRuler(v, ballRuler(v, out, t, c), t, c)
}

// measuredView is the view with its scale taken from all that tells it. Each source counts
// by its error.
func measuredView(v geom.View, s ScaleUse, t Track, c Card) (geom.View, ScaleUse) {
	rulers := rulersOf(v, s, t, c)
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
// of them err; -1 without. Of two that differ the later one is: what is stated comes first.
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

// ballRuler adds the breadth of the pitched ball, which is that of the rules. It errs by its
// scatter, of which neighbours share a part, and the more the longer the streak that the ball draws.
func ballRuler(v geom.View, rulers []ruler, t Track, c Card) []ruler {
	var grow, streak []float64
	for _, b := range t.Balls {
		for _, x := range b.In {
			if wide := x.SizePx - ballWiderPx; wide > 0 {
				grow = append(grow, 2*c.BallRadiusM()/(wide*v.MetresPerPixel(geom.Point{x.XPx, x.YPx})))
				streak = append(streak, x.StreakPx/wide)
			}
		}
	}
	if len(grow) < ballsLeast {
		return rulers
	}
	mean, sd := stat.MeanStdDev(grow, nil)
	scatter := sd / mean * math.Sqrt(ballsAlike/float64(len(grow)))
	blur := streakRelSD * math.Max(0, fit.Median(streak)-1)
	return append(rulers, ruler{"ball", fit.Median(grow), math.Sqrt(ballRelSD*ballRelSD + scatter*scatter + blur*blur + flatErr(v)*flatErr(v))})
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

// lensM is the distance of the lens, that of usual cameras where it is not known.
func lensM(v geom.View) float64 {
	if v.Lens {
		return v.DistanceM
	}
	return usualM
}

// stated reports that a length on the card tells the scale.
func stated(c Card) bool {
	for _, s := range c.Scale {
		if len(s.Points) == 2 || len(s.Plate) == 2 {
			return true
		}
	}
	return false
}

// scaled reports that lengths are known.
func (s ScaleUse) known() bool { return s.Source != "guess" }
