package metrics

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
	peakReachS    = 0.1
	peakStepS     = 0.001
	seenReachS    = 0.06 // about contact, in which the barrel's being seen counts for confidence
	// mostHidden is the share of a swing that the hands' mark may be hidden without a word.
	mostHidden  = 0.5
	markTiltMPS = 0.02 // of hands against barrel without depth; from scenes of known truth
)
