package metrics

import (
	"ashline/metrics/catalogue"
)

// Sizes and places that a card leaves out.
const (
	// ballInches are circumferences, the middle of the official range: baseball 9–9¼ in,
	// softballs 11⅞–12⅛ in and 10⅞–11⅛ in (Official Baseball Rules 3.01, Little League
	// Rule 1.09).
	baseballIn, softball11In, softball12In = 9.125, 11.0, 12.0
	inchM                                  = 0.0254
	// usualBatM is a bat of 33 in, the longest that Little League allows (Rule 1.10).
	usualBatM = 0.838
	// usualBarrelM is the radius of a barrel of 2.6 in; the widest that Little League
	// allows is 2⅝ in (Rule 1.10).
	usualBarrelM = 0.033
	usualFromEnd = 0.10 // m, middle of the barrel's band to the barrel's end; a choice
	gripM        = 0.12 // from the knob's end to the middle of the hands; common practice
	bandWidthM   = 0.05 // a band is two inches of tape; common practice
	usualHandsY  = 0.5  // m, from the plate's middle to a hitter's hands at contact; common practice
	usualM       = 5.5  // m, the camera's distance; common practice
	usualSwingS  = 0.17 // how long a swing takes to contact; common practice
	solidM       = 0.0127
	directionDeg = 10.0 // with solidM, half an inch, the limits of zone and solid contact; common practice
	// Where a pitch is released and passes the plate: an adult's mound, 60 ft 6 in less a
	// stride; common practice.
	releaseHeightM   = 1.8
	releaseDistanceM = 16.2
	plateHeightM     = 0.76
)

// What a card has wrong, s.d.: how well a coach measures with a tape, a phone that was
// levelled and set square by eye, and tape on a bat; common practice, but where it is
// said.
const (
	distanceSD   = 0.03  // relative, of the camera's distance
	usualSD      = 0.35  // of the logarithm of usualM
	apartSDM     = 0.006 // of the distance between the bands
	ballDepthSDM = 0.05  // of the depth of the ball's path
	radiusSD     = 0.03  // relative, of the crescent's size
	rollSDDeg    = 0.3
	tiltSDDeg    = 0.5
	yawSDDeg     = 1.0
	// reachSDM: official rules leave a ball's radius 0.5 mm each way (9–9¼ in), and a
	// barrel tapers by about a millimetre around its widest.
	reachSDM = 0.001
	// computedSDDeg is the error of a descent computed from a card: published drag and
	// lift coefficients leave half of it, a guessed spin the rest.
	computedSDDeg = 0.8
	// hiddenSpeedSD is the relative error of the part of a speed that depth hides; from
	// scenes of known truth.
	hiddenSpeedSD = 0.02
)

// Without the bat's direction: a band at 33 mm from the axis seen nearly end-on is off
// by up to 26 mm, and the bat turns at about 40 rad/s.
const (
	faceM   = 0.015
	faceMPS = 0.7
)

// The depth of the barrel at contact, s.d., m. It is tighter than the hand's breadth
// within which a ball that is hit passes it: the band's size and shape, which also say
// how deep the bat is, err together over all frames, and would win. Its honest error
// enters through the draws. From scenes of known truth.
const (
	depthSDM     = 0.03
	peakDepthSDM = 0.15 // where contact is only assumed
)

// The motion around contact.
const (
	windowBeforeS = 0.12
	windowAfterS  = 0.12
	aroundOrder   = 4 // by evidence: see package fit
	wholeOrder    = 3 // likewise, over a whole swing
	aroundLeast   = 6 // samples; a choice
	smoothLeast   = 5 // likewise
	// An impact takes 3–5 m/s along the line of centres, which a hitter keeps within a
	// few degrees of the barrel's travel; friction and that angle leave a few tenths
	// across. Of its speed the barrel loses bat.LossShare, give or take lossSD, and of the
	// bend of its path twice that; common practice. What follows is left free.
	kinkMPS    = 8.0
	lossSD     = 0.04
	crossMPS   = 0.25
	crossMPS2  = 200.0
	crossMPS3  = 1e5
	kinkMPS2   = 1e4
	kinkMPS3   = 1e7
	kinkPxRise = 500.0 // 1/s, of the same in the picture, where the swing as a whole is smoothed
	// batSameS is how far contact may move without the bat being fitted again: half of
	// what a contact that counts as right may err.
	batSameS = 0.0005
	// sureness multiplies the s.d. of the bat's place: how far the truth lies off in
	// rendered scenes of known truth, in those s.d.
	sureness = 1.2
	// ballSDPx is the s.d. of the centre of a seen ball that is added to a sighting's
	// own: blur, seams and shading; from scenes of known truth.
	ballSDPx    = 0.3
	leastWeight = 1e-3 // of a sample; a choice
)

// Intervals and searches; choices.
const (
	// drawsPerSwing is the number of random motions behind an interval: the 2.5 %
	// quantile of 200 has a relative error of about a tenth of the interval.
	drawsPerSwing = 200
	slideS        = windowBeforeS // how much earlier and later a swing is tried: all of it
	slideStepS    = 0.0005
	slideRoughS   = 0.0015
	lateRounds    = 4
	peakReachS    = 0.1
	peakStepS     = 0.001
	seenReachS    = 0.06 // about contact, in which the barrel's being seen counts for confidence
	// mostHidden is the share of a swing that the hands' mark may be hidden without a word.
	mostHidden  = 0.5
	markTiltMPS = 0.02 // of hands against barrel without depth; from scenes of known truth
)

// The joints' bands.
const (
	// jointGapS is the longest gap between two sightings of a joint over which it is
	// carried: an arm turns by less than 20° in that. A choice.
	jointGapS = 0.05
	// A band that is seen at wholeWide of its width is whole, at partWide surely not: from
	// scenes of known truth.
	wholeWide, partWide = 0.90, 0.70
	// wholeOff is how far the middle of a band that is all seen is off, of how far it is
	// when nearly all of it is covered: from scenes of known truth.
	wholeOff = 0.15
	// endShare is what is seen of half a band that points at the camera, of the whole
	// half. A choice.
	endShare = 0.5
	// straightDeg is the angle from which an arm is called straight; common practice.
	straightDeg = 160
	// foreshortDeg is how far a limb points out of the picture when the angle seen is
	// no longer near the joint's own. A choice.
	foreshortDeg = 30.0
	// depthPairM is what perspective adds to the distance of two joints of which one is
	// nearer to the camera, m: a hand's breadth of depth at the usual distance.
	depthPairM = 0.006
)

// offAxis is how far the middle of what is seen of a band is from the joint, m (s.d.):
// along the limb towards the lead elbow, where a band may sit anywhere without turning
// it, and across it when nearly all of the band is covered.
type offAxis struct{ along, across float64 }

// aside are these by joint, from scenes of known truth; netAside is the same of what
// the network finds, of which nothing is known to be covered.
var (
	aside = map[string]offAxis{
		leadShoulder: {0.06, 0.020}, leadWrist: {0.02, 0.013}, leadElbow: {0.013, 0.013},
		backElbow: {0.012, 0.012}, backHip: {0.008, 0.008}, beltBuckle: {0.012, 0.012},
	}
	netAside = offAxis{0.03, 0.03}
)

// The swing as a whole.
const (
	// launchShare of the peak before contact is where a swing starts and ends, as key
	// positions are defined; thresholdSD is the error of its logarithm that smoothing
	// leaves, from scenes of known truth.
	launchShare = 0.10
	thresholdSD = 0.02
	// hiddenHandsSD is how far off the hands are, m, when their mark is never seen and
	// they follow from the barrel's band alone: from scenes of known truth.
	hiddenHandsSD = 0.035
	courseStepS   = 0.0005 // in which it is searched; a choice
	lagReachS     = 0.25   // before contact in which lag is looked for where launch is not known; a choice
	// turnS is how long a motion is followed beyond its farthest to be known to have
	// turned. A choice.
	turnS = 0.005
	// slowS is for how long a barrel is slow that has ended its swing. A choice.
	slowS = 0.02
	// lostS out of sight is time enough for a barrel to rise or turn unseen. A choice.
	lostS = 0.05
	// planeStepS is the step of the points that are plotted, and easeS over what time the
	// motion around contact goes over into the swing as a whole: the two are fitted apart
	// and differ by millimetres. Choices.
	planeStepS = 0.001
	easeS      = 0.02
)

// sureKeys is how sure the times of key positions other than contact are; common
// practice.
var sureKeys = [catalogue.NumKeys]float64{catalogue.Launch: 0.8, catalogue.Slot: 0.7, catalogue.Lag: 0.8, catalogue.Finish: 0.7}

// The barrel's place frame by frame; choices.
const (
	// fillSDPx is the uncertainty beyond which a frame without a sighting stays
	// empty: there the path is not known.
	fillSDPx = 2.0
	// hiddenPx is the uncertainty, from how little of the band a sighting shows,
	// from which it is the bat's motion rather than the sighting that says where
	// the barrel is.
	hiddenPx = 1.0
	// contradictSD is how many s.d. a sighting and the bat's place may be apart.
	contradictSD = 3.0
)

// The exposure by streaks.
const (
	// streaksLeast is how many streaks tell an exposure. A choice.
	streaksLeast = 5
	// streakBlurPx2 is what a lens, a codec and a ball of another size than stated
	// may add to or take from the square of a streak's length: what a slow ball or a
	// fast shutter leaves is short against that. From scenes of known truth.
	streakBlurPx2 = 6.0
	// ballShare is the error of the ball's size, by which a streak is longer than speed
	// makes it: rules leave 1.4 % (9–9¼ in), the scale the rest.
	ballShare = 0.02
	// toneShare is what a camera's curve of light does to the faint ends; from scenes of
	// known truth.
	toneShare = 0.015
)

// PlateDepthM is the depth of home plate, front edge to rear tip: 17 in.
// Source: Official Baseball Rules 2.02 and Little League Rule 1.05 give 17 in of
// front and 8½ + 8½ in of depth.
const PlateDepthM = 17 * inchM

// Scale by what is stated or clicked.
const (
	clickSD    = 1.5   // px, of a point set by hand on a frame; common practice
	clickLeast = 4.0   // px between two points that are a scale; a choice
	lengthSD   = 0.004 // relative, of a stated length; common practice
	guessRelSD = 0.3   // of a scale that is guessed; a choice
	// flatSD is the relative error of lengths about contact when the camera's distance
	// is not known: a bat half a metre behind the plane of the pitch looks a tenth
	// smaller from five metres. Far from contact it is farther: farFlatSD is the same of
	// the swing's ends, and farSD what a bat's lean leaves there when the distance is
	// known; from scenes of known truth.
	flatSD    = 0.05
	farFlatSD = 0.10
	farSD     = 0.015
	// guessWidthM is how much of the pitch a coach's picture usually shows across;
	// common practice, used only to bound searches.
	guessWidthM = 4.0
)

// A barrel that is out of sight for so long before contact may have gone another way than the
// likeliest: near contact its direction turns by 1 to 2° a millisecond. Choices.
const (
	unseenMostS  = 0.012
	unseenFrames = 1.6
)

// Rulers that the clip itself holds. From scenes of known scale: what lens and codec
// add to a ball's breadth, and how far its size and the marks' distance scatter.
const (
	ballWiderPx = 0.6
	ballRelSD   = 0.02
	// streakRelSD is for each breadth that the ball moves during the exposure beyond the first:
	// faint sides are lost or found wider. So many neighbours see one background.
	streakRelSD = 0.1
	ballsAlike  = 3.0
	ballsLeast  = 6
	marksRelSD  = 0.03
	marksLeast  = 30  // frames with both marks: fewer, and the bat may never have lain flat
	marksFlat   = 5   // of them at least show the bat as long as it is: more is a stray sighting
	oddSD       = 3.5 // beyond which sources of scale contradict each other
)
