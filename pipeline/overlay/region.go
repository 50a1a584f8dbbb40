package overlay

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/media"
)

// Region is the screen of w × h px that shows the hitter of swing i, a metre at contact
// at least leastPxPerM large. A clip without a scale is shown as large as fills the
// screen. Mirrored puts the pitcher on the other side.
func Region(study metrics.Study, i int, info media.Info, w, h int, mirrored bool, leastPxPerM float64) Screen {
	return region(study.Swings[i], Scaled(study), info.Width, info.Height, w, h, mirrored, leastPxPerM)
}

// Scaled says that metres mean something in a clip.
func Scaled(study metrics.Study) bool { return study.Result.Quality.ScaleSource != "none" }

func region(cur metrics.Curves, scaled bool, wide, high, w, h int, mirrored bool, leastPxPerM float64) Screen {
	at := cur.Barrel(cur.ContactS)
	k := math.Max(float64(w)/float64(wide), float64(h)/float64(high))
	x, y := at[0], at[1]
	if scaled {
		perM := 1 / cur.View.MetresPerPixel(at)
		// The whole region, or as much of it as the picture fills the screen with.
		k = math.Max(k, math.Max(leastPxPerM, math.Min(float64(w)/regionWideM, float64(h)/regionHighM))/perM)
		x -= regionBackM * perM * cur.View.Sign
		y -= regionAboveM * perM
	}
	s := Screen{kx: k, ky: k}
	s.atX = inside(float64(w)/2-k*x, k*float64(wide), float64(w))
	s.atY = inside(float64(h)/2-k*y, k*float64(high), float64(h))
	if mirrored {
		s.kx, s.atX = -s.kx, float64(w-1)-s.atX
	}
	return s
}

// inside moves where a picture of a length starts on a screen so that it fills the
// screen, or stands in its middle where it cannot.
func inside(start, length, room float64) float64 {
	if length < room {
		return (room - length) / 2
	}
	return math.Min(0, math.Max(room-length, start))
}
