package metrics

import "math"

// PlateDepthM is the depth of home plate, front edge to rear tip: 17 in.
// Source: Official Baseball Rules 2.02 and Little League Rule 1.05 give 17 in of
// front and 8½ + 8½ in of depth.
const PlateDepthM = 17 * 0.0254

// ScaleUse says which source of scale was used.
type ScaleUse struct {
	Source string  // points, plate, ball, bat_marks, guess
	RelSD  float64 // relative standard error
}

// clickSD is the error of a point set by hand on a frame, px; common practice.
const clickSD = 1.2

// flatSD is the relative error of lengths about contact when the camera's distance
// is not known: a bat half a metre behind the plane of the pitch looks a tenth
// smaller from five metres. Far from contact it is farther, see farFlatSD.
const flatSD = 0.05

// farFlatSD is the same of the swing's ends.
const farFlatSD = 0.10

// NewView makes the camera's view of a card's clip. When no source of scale on
// the card can be used yet, the picture's width is guessed to show guessWidthM
// metres, Source is "guess" and lengths must not be reported.
func NewView(c Card, widthPx, heightPx int) (View, ScaleUse) {
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
		mid := Point{(pts[0][0] + pts[1][0]) / 2, (pts[0][1] + pts[1][1]) / 2}
		sd := math.Max(0.004, clickSD*math.Sqrt2/px)
		if !v.Lens {
			sd = math.Hypot(sd, flatSD)
		}
		return v.scaled(pts[0], pts[1], length, mid, slant), ScaleUse{source, sd}
	}
	mid := Point{v.CX, v.CY}
	w := float64(widthPx)
	return v.scaled(Point{0, v.CY}, Point{w, v.CY}, guessWidthM, mid, slant), ScaleUse{"guess", 0.3}
}

// guessWidthM is how much of the pitch a coach's picture usually shows across;
// common practice, used only to bound searches.
const guessWidthM = 4.0

// Rescaled returns the view with every length multiplied by k.
func (v View) Rescaled(k float64) View {
	v.FocalPx /= k
	return v
}
