package setup

import (
	"fmt"
	"math"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/card"
)

// agreeLog is how far apart two rulers of one clip may be, of the logarithm: 30 %. They err
// by 2 to 5 % each on rendered clips; a softball taken for a baseball is 32 % off.
const agreeLog = 0.26

// agreeSD is as much in their own errors, where these are larger.
const agreeSD = 3

// What a lens sees across the longer side of the picture, degrees: phones reach from about 15
// (a long lens) to 106 (the widest), from memory; a camcorder behind a fence may see less.
const leastAcrossDeg, mostAcrossDeg = 8.0, 115.0

// names are the rulers in the words of a card.
var names = map[string]string{
	"points": "scale.points", "plate": "scale.plate", "ball": "the ball's breadth with pitch.ball", "bat_marks": "the bat's marks with bat.marks_apart_m",
}

// Scale refuses a card whose stated scale contradicts the ball or, where none was seen, the
// bat's marks. Where ball and statement agree and the marks do not, stray is true: what was
// taken for the hands' mark is something else, or its distance is wrong. Without a statement
// nothing is contradicted.
func Scale(rulers []metrics.Ruler) (stray bool, err error) {
	by := map[string]metrics.Ruler{}
	for _, r := range rulers {
		by[r.Source] = r
	}
	stated, ok := by["points"]
	if !ok {
		if stated, ok = by["plate"]; !ok {
			return false, nil
		}
	}
	ball, seen := by["ball"]
	marks, marked := by["bat_marks"]
	switch {
	case seen && apart(stated, ball):
		return false, between(stated, ball, "")
	case marked && seen && apart(stated, marks) && apart(ball, marks):
		return true, nil
	case marked && !seen && apart(stated, marks):
		return false, between(stated, marks, ", or what was taken for the hands' mark is something else")
	}
	return false, nil
}

// apart tells that two rulers contradict each other.
func apart(a, b metrics.Ruler) bool {
	return math.Abs(math.Log(a.PxPerM/b.PxPerM)) > math.Max(agreeLog, agreeSD*math.Hypot(a.RelSD, b.RelSD))
}

func between(a, b metrics.Ruler, or string) error {
	return fmt.Errorf("%w: by %s a metre is %.0f px of the picture, by %s %.0f px: one of the two is wrong%s", card.ErrBad, names[a.Source], a.PxPerM, names[b.Source], b.PxPerM, or)
}

// Lens refuses a distance that no lens fits.
func Lens(v geom.View, widthPx, heightPx int) error {
	if !v.Lens {
		return nil
	}
	across := 2 * math.Atan(float64(max(widthPx, heightPx))/(2*v.FocalPx)) * 180 / math.Pi
	if across < leastAcrossDeg || across > mostAcrossDeg {
		return fmt.Errorf("%w: camera.distance_m (%.1f m to the plane of the pitch) and the scale make a lens that sees %.1f° across the picture: phones and camcorders see %g° to %g°", card.ErrBad, v.DistanceM, across, leastAcrossDeg, mostAcrossDeg)
	}
	return nil
}

// paceMost is faster than any barrel goes, m/s: 1.2 times the fastest published adult bat (36.8,
// Inkster and others 2011).
const paceMost = 45.0

// Pace refuses a card by which the barrel goes faster than any.
func Pace(mps float64) error {
	if mps > paceMost {
		return fmt.Errorf("%w: by the scale and the frame rate (camera.capture_fps, or the file's) the barrel reaches %.0f m/s, faster than any that was published: one of the two is wrong", card.ErrBad, mps)
	}
	return nil
}
