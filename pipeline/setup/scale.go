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

// Scale refuses a card whose stated scale contradicts the picture. Of two things that were seen
// one may have been something else.
func Scale(rulers []metrics.Ruler) error {
	for i, a := range rulers {
		if a.Source != "points" && a.Source != "plate" {
			continue
		}
		for _, b := range rulers[i+1:] {
			if math.Abs(math.Log(a.PxPerM/b.PxPerM)) > math.Max(agreeLog, agreeSD*math.Hypot(a.RelSD, b.RelSD)) {
				return fmt.Errorf("%w: by %s a metre is %.0f px of the picture, by %s %.0f px: one of the two is wrong", card.ErrBad, names[a.Source], a.PxPerM, names[b.Source], b.PxPerM)
			}
		}
	}
	return nil
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
