package draw

import (
	"testing"

	"ashline/pipeline/media"
)

// fullRange makes black 0 and white 255, so that luma over 255 is coverage.
var fullRange = media.ColourSpace{Matrix: "bt709", FullRange: true}

var opaque = Colour{255, 255, 255, 1}

// black returns a canvas on a black frame.
func black(tb testing.TB, w, h int) (*Canvas, *media.Frame) {
	tb.Helper()
	f := media.NewFrame(w, h)
	f.Fill(fullRange.YUV(0, 0, 0))
	return New(fullRange).On(f), f
}

// area is the sum of coverage, px².
func area(f *media.Frame) float64 {
	sum := 0
	for _, v := range f.Y {
		sum += int(v)
	}
	return float64(sum) / 255
}

// centroid is the mean place of the coverage, px.
func centroid(f *media.Frame) Point {
	var sx, sy, s float64
	for i, v := range f.Y {
		sx += float64(i%f.W) * float64(v)
		sy += float64(i/f.W) * float64(v)
		s += float64(v)
	}
	return Point{sx / s, sy / s}
}
