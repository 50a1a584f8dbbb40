package overlay

import (
	"math"

	"ashline/pipeline/draw"
	"ashline/pipeline/footage"
)

// All constants of the package. Where no other source is named, a number is a choice
// that was looked at in pictures of rendered swings.

// Speeds: seconds of capture that one shown frame stands for. At footage.ShownFPS, 30
// frames a second, they slow the swing down 2.7, 4, 8 and 16 times.
const (
	realPaceS   = 1.0 / footage.ShownFPS
	outsideS    = 1.0 / 80
	swingPaceS  = 1.0 / 120
	approachS   = 1.0 / 240
	zonePaceS   = 1.0 / 480
	approachFor = 0.060 // s, each side of contact
	zoneFor     = 0.025 // s, each side of contact
	// mostRepeats bounds how often one frame is shown, so that a clip of few
	// frames a second does not come to a halt.
	mostRepeats = 4
	// reachedShare of the time between two frames: a little more than half, so that
	// rounding leaves no instant between two frames.
	reachedShare = 0.501
)

// How many shown frames longer what a coach looks at stands.
const (
	ContactHold = 18 // 0.6 s
	KeyHold     = 9  // of each other key position: 0.3 s
	EndHold     = 24 // 0.8 s
)

// Seconds shown before launch and after finish, and around contact when those
// are not known.
const (
	leadInS    = 0.10
	leadOutS   = 0.10
	noLaunchS  = 0.25
	noFinishS  = 0.30
	afterPathS = 0.02 // of the path drawn beyond the finish
)

// The barrel's path.
const (
	pathStepS = 0.001 // s between its points
	// unseenFrames is how far from the nearest sighting, in frames, the path
	// still counts as seen.
	unseenFrames = 1.5
)

// How far the pitch line is drawn to each side of contact, m, and the band that
// goes with it.
const (
	lineBeforeM = 4.0
	lineAfterM  = 1.2
	bandBeforeM = 1.2
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

// Size of one picture of the strip, px.
const (
	stripWide = 480
	stripHigh = 540
	stripGap  = 8
)

// The panel, in parts of the size of its text.
const (
	panelRow    = 1.42 // height of a row
	panelPad    = 0.6
	panelSmall  = 0.72
	panelMargin = 0.7
)

// Lines and text.
const (
	leastTextPx = 8.0
	textWidths  = 24.0 // texts of its own size beside each other that fill the frame at least
	leastLinePx = 2.0  // of the path
	lineShare   = 0.2  // of the text's size
	bodyWidth   = 0.7  // of the path's
)

// mphPerMPS is exact: a mile is 1609.344 m (international yard and pound agreement, 1959).
const mphPerMPS = 3600 / 1609.344

func labelStyle(c *draw.Canvas) draw.TextStyle {
	return draw.TextStyle{SizePx: textPx(c), Bold: true, Plate: draw.Plate, Inside: true}
}

// textPx is the size of the overlay's text: readable on a phone, and on an
// upright picture small enough to leave room for the hitter.
func textPx(c *draw.Canvas) float64 {
	w, h := c.Size()
	return math.Max(leastTextPx, math.Min(draw.TextPx(w, h), float64(w)/textWidths))
}
