package contact

import (
	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// How says what a time of contact comes from.
type How string

// The five, the surest first.
const (
	Turn     How = "turn"     // the ball's path turns
	Approach How = "approach" // barrel and ball first touch
	Line     How = "line"     // the barrel is at the line of a pitch that it does not touch
	Crossing How = "crossing" // a ball off a tee begins its flight at the barrel
	Peak     How = "peak"     // the barrel is fastest
)

// Path is where something is in the plane of the pitch at a time, m.
type Path func(t float64) [2]float64

// Seen is what there is to find a contact from.
type Seen struct {
	// Before is the ball on its way in and, where it went on, beyond the barrel; After is
	// its way out when that is another. In the plane of the pitch, m.
	Before, After []fit.Sample
	Ball          flight.Ball
	Tee           bool
	ReachM        float64 // distance of the centres of ball and barrel that touch
	LensM         float64 // from the lens to the plane of the pitch
	FrameS        float64 // from frame to frame
	ExposureS     float64 // 0 unknown
	PeakS         float64 // when the barrel is fastest in the picture
	FromS, ToS    float64 // from when to when the barrel was seen
}

// Contact is when and how surely barrel and ball met.
type Contact struct {
	TimeS, SDS float64
	How        How
	Confidence float64
	Assumed    bool   // nothing of the ball says when
	Why        string // what the confidence lacks
	Pitch      Pitch
	Pitched    bool // there is a pitch
	Outcome    Outcome
	Chance     float64 // of the outcome
}

// Touched reports whether barrel and ball met.
func (c Contact) Touched() bool { return c.Outcome == Hit || c.Outcome == Tip }

// Unmet reports whether barrel and ball surely went their ways: nothing then bends the
// barrel's path.
func (c Contact) Unmet() bool { return c.Outcome == Miss || c.Outcome == Check }
