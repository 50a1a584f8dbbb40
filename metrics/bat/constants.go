package bat

import (
	"math"

	"ashline/metrics/geom"
)

// Geometry, in closed form.
const (
	// bulgeAcross is the third moment, one step along the bat and two across it, of a
	// ring seen end-on in even light, in radii: E[c] = π/4, E[u²] = 1/3, E[c·u²] = π/16.
	bulgeAcross = math.Pi/12 - math.Pi/16
)

// What a swing may do: a choice of white noise in the third derivative, of a size that
// lets a bat go from rest to 40 rad/s, and hands to 10 m/s, within a tenth of a second
// and slow down again. Published swings are about so fast (bat quickness about 0.2 s,
// barrel 29 m/s: Reilly-Boccia, Ficklin & Lund, Sport Journal).
const (
	turnJerk  = 3500.0 // rad/s² per √s
	handsJerk = 400.0  // m/s² per √s
	unitSD    = 0.01   // of the direction's length, which is 1
)

// LossShare is the share of its speed that a barrel loses to the ball: 10 to 15 %;
// common practice.
const LossShare = 0.125

// What an impact may do beside LossShare: a choice, several times what friction and a
// hitter's grip are thought to do.
const (
	turnKick   = 5.0    // rad/s
	handsKick  = 1.5    // m/s
	turnKick2  = 2000.0 // rad/s²
	handsKick2 = 300.0  // m/s²
)

// How hitters stand and move, about the plane of the pitch; common practice.
const (
	handsYSD        = 0.30 // m, of the hands' depth at contact about the usual
	handsYMPS       = 2.0  // m/s, s.d. of the hands' drift in depth
	handsMPS        = 7.0  // m/s, s.d. of the hands' speed in the plane of the picture
	recedeBeforeMPS = 1.5  // hands come to the plate before contact
	recedeAfterMPS  = 3.5  // and go with the turning body after it
	recedeS         = 0.15 // for so long on either side
	handsGapS       = 0.025
	// handleRadiusM is the radius of a handle under its tape.
	handleRadiusM = 0.0125
)

// usualLamp is light from above and somewhat from the camera's side, as in a cage, a
// field or a gym, in units of its strength; common practice. How strong it is, and from
// which side it comes, the band itself tells.
var usualLamp = geom.World{Y: 0.15, Z: 0.5}

// How light falls on a band, measured on scenes of known truth.
const (
	// ambient is the light that every part has, in the unit of the lamp's. Only the
	// ratio of the two counts.
	ambient = 0.5
	lampSD  = 0.2 // of each part of the lamp, about the usual
	shadePx = 0.5 // px, what the two middles err against each other
	thinPx  = 5.0 // a band as thin as this in the picture does not tell what it covers in shade
)

// chromaVar is the variance that the sampling of chroma adds along each axis, px²:
// a third for the average over two pixels, (2² − 1)/12 + 1/12, as much again for coding.
const chromaVar = 2.0 / 3

// What a sighting errs beside its own s.d., measured on scenes of known truth.
const (
	batPx       = 0.5   // px, the middle of the barrel's band
	handsPx     = 2.0   // px, that of the hands' band, which fingers cover in part
	slipSD      = 0.015 // m, by which they do so all the time
	areaSD      = 0.08  // of the area seen from the side, and as much of its own
	shapeSD     = 0.20  // of the band's variance across, likewise
	shapePx2    = 0.7   // px², coding and noise
	bulgeSD     = 0.08  // of the most that a band can bulge, likewise
	bulgePx3    = 5.0   // px³, noise
	hiddenShare = 0.85  // of the band's light: less was seen and part of it is hidden
	sideOn      = 0.3   // of the area seen from the side: less, and the whole light cannot be told
	spillShare  = 1.3   // of that light: more was seen and another thing touches it
	// offC is how many s.d. a sighting is off when it counts half, once the bat is
	// about right.
	offC = 3.0
	// strayHandSD is how many s.d. off the fitted bat a sighting of the hands' band is
	// that is of another thing.
	strayHandSD = 5.0
)

// offRounds are these in the first rounds: wider, lest the first guess's errors decide
// what is believed. A choice.
var offRounds = [...]float64{30, 30, 15, 8, 5}

// How the fit goes; choices, but for the sizes of things.
const (
	knotsS      = 0.0125 // between the splines' knots
	reachS      = 0.40   // before and after contact
	leastSeen   = 10     // sightings with a size
	solveRounds = 25
	solveGain   = 1e-3 // of the sum of squares, which another round must promise
	guessDamp   = 1e-6
	firstDamp   = 1e-3
	leastDamp   = 1e-6
	climbLeast  = 20.0 // by how much another lean must explain everything better
	climbRounds = 3
	growFromS   = 0.03 // the first span on each side of contact
	growLeast   = 8    // sightings in it
	growStep    = 1.4
	growTryS    = 0.06 // how far each first guess is tried
	growSampleS = 0.005
	growCarryS  = 0.03
	guessHandsM = 0.05 // s.d. of a first guess
	guessDir    = 0.1  // likewise, of the direction
)

// wholeGuesses are shares of the largest light seen that the whole band may have: it
// may not have been seen whole, or only near the camera.
var wholeGuesses = [...]float64{1, 0.75, 1.3}

// Where a bat may have passed the plane of the picture unseen: neither at contact
// nor long before or after. Choices.
const (
	turnNearS = 0.015
	turnFarS  = 0.20
	turnsMost = 4
	turnGapS  = 0.02 // a gap in which a bat may have turned
)

// What a first guess weighs: an angular acceleration of startTurn is as odd as hands at
// startHands, and each costs 1 a frame. Choices.
const (
	startTurn  = 2000.0 // rad/s²
	startHands = 8.0    // m/s
	// startUnheeded is the price of a stance that does not heed a sighting of the
	// hands' band, which may be of something else.
	startUnheeded = 2.0
	startLeast    = 0.35 // of the band's variance: less between long and short axis and a patch has no direction
	facingOdds    = 12.0 // price of a barrel that is on the wrong side of the hands at contact
	facingS       = 0.012
	tiltFloor     = 0.08
	lengthOver    = 1.25  // more than the bat's length between the bands is of another thing
	startPoses    = 3     // to start from
	startGapS     = 0.006 // between frames: closer, and noise outweighs the turning
	poseGapS      = 0.010 // longer than twice that and poses are put between
	handsGapMostS = 0.03  // between sightings of the hands' band over which it is carried
)
