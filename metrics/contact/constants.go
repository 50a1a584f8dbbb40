package contact

import "math"

// A pitch's lift: most pitches and machines throw with backspin, where seam-averaged
// lift coefficients of 0.1 to 0.2 are usual and reach 0.3; topspin turns the sign
// (Nathan, Am. J. Phys. 76 (2008) 119, from memory).
const (
	liftC  = 0.12
	liftSD = 0.15
)

// The flight of a hit ball.
const (
	// sprayMPS is the prior s.d. of the speed towards or from the camera: 30° off
	// the plane at 35 m/s.
	sprayMPS = 17.0
	// hitAccMPS2 is what a hit ball's lift and the spread of its drag bend it by; from
	// scenes of known truth.
	hitAccMPS2 = 8.0
)

// Where barrel and ball can meet.
const (
	// turnReachS is how far the ball's turn may be from the barrel's peak speed: a bat is
	// fastest some milliseconds before it meets the ball or after. A choice.
	turnReachS = 0.06
	// peakSDS is that time's error, s, where it stands for contact; common practice.
	peakSDS = 0.005
	// turnOffM is how far the ball's turn may be from the barrel's band: a bat that meets
	// the ball near its hands points at the camera rather than across. A choice.
	turnOffM = 0.35
	// touchM is the error of the distance between ball and barrel where they touch:
	// the ball does not meet the band's middle but some way along a bat that points
	// askew, and the band's middle is not the bat's axis; from scenes of known truth.
	touchM = 0.02
	// turnLeastMPS is how much a ball's velocity changes at least where it turns: of an
	// approach at 60 m/s so much is lost when the bat overlaps it by 0.1 mm. Sightings leave
	// about turnSDMPS. Choices.
	turnLeastMPS, turnSDMPS = 3.0, 1.0
	// backSDMPS is the s.d. of the speed towards the pitcher of what leaves the bat, by what
	// its way to or from the camera hides. A choice.
	backSDMPS = 2.0
	// A ball that flies on as if not hit is seen within onFlightM of its flight, and
	// onFlightMPS farther by the time since it was last seen before. Choices.
	onFlightM, onFlightMPS = 0.03, 1.0
	// glancing is the least share of ball's and barrel's radii by which the ball is
	// before the barrel when they touch: with less, the time says nothing. A choice.
	glancing = 0.3
	// slowMPS is the least speed at which a ball leaves the barrel of a tee's swing. A
	// choice.
	slowMPS = 0.1
	// leaveS is how long before its first sighting a ball off a tee is looked for. A
	// choice.
	leaveS = 0.03
)

// How a barrel passes the line of a pitch.
const (
	// fastShare of its peak speed is what a barrel has, against the pitch, in the fast part
	// of a swing, as contact is defined.
	fastShare = 0.5
	// passReachS is how far from its peak speed a barrel may be at the line. A choice.
	passReachS = 0.12
	// lineDeg is the error of the angle between barrel and line. A choice.
	lineDeg    = 1.0
	passStepS  = 0.00025
	passRounds = 5
)

// How sure a contact is.
const (
	// apartSD is how many s.d. turn and touch may differ. A choice: 95 %.
	apartSD = 2.0
	// sureS is how near the truth a contact must be to count as right. A choice: a
	// barrel at 30 m/s moves 15 mm.
	sureS = 0.0005
	// What is said of a contact that no s.d. tells: choices.
	surePeak, sureTouch, sureLeft, sureAlone, sureNone, sureOn = 0.2, 0.6, 0.7, 0.5, 0.5, 0.98
)

// How the searches go; choices.
const (
	pitchLeast   = 4  // sightings of a pitch
	outUse       = 10 // sightings after the turn
	outLeast     = 3  // of them
	turnFrames   = 3.0
	turnRounds   = 4
	turnLooks    = 24
	turnNarrows  = 16
	closeLooks   = 240
	closeNarrows = 60
	touchRounds  = 6
	hitRounds    = 6
	// tableS is how far before and after its last sighting a flight is laid out, s.
	tableS = 0.2
)

// medianTwo is the median distance of a standard normal scatter on two axes: √(2·ln 2).
var medianTwo = math.Sqrt(2 * math.Ln2)
