package pipeline

import (
	"math"

	"ashline/metrics"
)

// The part of the plane of the pitch that shows a whole hitter, m: as wide as the reach
// of a bat to both sides, as high as from the ground to a bat held up. Its middle is
// behind contact, where the hitter stands, and above it.
const (
	regionWideM  = 2.4
	regionHighM  = 2.75
	regionBackM  = 0.35
	regionAboveM = 0.45
)

// regionScreen is the screen of w × h px that shows the hitter of a swing in a picture
// of wide × high px, a metre at contact at least leastPxPerM large. A clip without a
// scale is shown as large as fills the screen. Mirrored puts the pitcher on the other
// side.
func regionScreen(cur metrics.Curves, scaled bool, wide, high, w, h int, mirrored bool, leastPxPerM float64) screen {
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
	s := screen{kx: k, ky: k}
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
