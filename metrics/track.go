package metrics

import (
	"ashline/metrics/bat"
	"ashline/metrics/geom"
)

// How says where a sample's position comes from.
type How string

// The three origins of a sample.
const (
	Seen   How = "seen"   // the mark's colour (the ball itself) was found in the frame
	Flow   How = "flow"   // carried over by optical flow
	Filled How = "filled" // only the smoothed path knows
)

// Sample is one observation of a mark or of the ball in one frame, in the
// upright, steadied picture.
type Sample struct {
	Frame int
	TimeS float64 // mid-exposure, capture time from the first frame
	XPx   float64
	YPx   float64
	VarXX float64 // px²
	VarXY float64
	VarYY float64
	How   How
	// StreakPx is the length of the blur streak, 0 unknown.
	StreakPx float64
	// SizePx is the extent across the streak, px; 0 unknown.
	SizePx float64
	// Shape is what is seen of the mark.
	Shape bat.Shape
}

// widened is the sample with more variance, px², each way.
func (s Sample) widened(more float64) Sample {
	s.VarXX += more
	s.VarYY += more
	return s
}

// band is the sample as a sighting of a bat's band.
func (s Sample) band() bat.Sighting {
	return bat.Sighting{Frame: s.Frame, TimeS: s.TimeS, Px: s.px(), VarXX: s.VarXX, VarXY: s.VarXY, VarYY: s.VarYY, Shape: s.Shape}
}

func (s Sample) px() geom.Point { return geom.Point{s.XPx, s.YPx} }

func bands(s []Sample) []bat.Sighting {
	out := make([]bat.Sighting, len(s))
	for i, x := range s {
		out[i] = x.band()
	}
	return out
}

// Track is everything that was followed in one clip, before any physics.
type Track struct {
	WidthPx  int
	HeightPx int
	// TimesS holds the capture time of each decoded frame.
	TimesS []float64
	// Barrel, Hands and Joints hold the samples that were seen or carried by
	// flow, in order of time; frames without one are absent.
	Barrel []Sample
	Hands  []Sample
	Joints map[string][]Sample
	// Pose holds joints that a network found in the picture, by the names of
	// PoseNames; nil when none was asked.
	Pose map[string][]Sample
	// Balls holds the ball's flights in order of time.
	Balls []BallFlight
	// Swings are the spans of frames that hold one swing each.
	Swings []Span
	// HueShare is the share of the pixels of the barrel's hue that its path holds
	// while it is fast, median over frames: 1 when nothing else has the hue.
	HueShare float64
	// ExposureS is the exposure time estimated from streaks, 0 unknown, and
	// ExposureSDS its s.d.
	ExposureS, ExposureSDS float64
}

// BallFlight is one ball seen on its way to the hitter and away from them.
type BallFlight struct {
	In  []Sample // before the turn
	Out []Sample // after it; empty when the ball was missed or lost
}

// Span is a half-open range of frames.
type Span struct{ From, To int }
