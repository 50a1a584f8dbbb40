package follow

import "math"

// Every tuned constant of the package. Where no other source is named, a number is a
// choice, made on rendered swings.

// What a clip must be, and where it is looked at first.
const (
	leastFrames = 8    // for a swing
	sameRate    = 0.02 // rates this close are the same rate with jitter
	// Frames that are looked at for where chroma lies, and each how many-th of them:
	// edges move little from one to the next.
	siteFrames = 48
	siteEvery  = 4
	// Shorter edges tell no direction: of the picture's height, and px.
	edgeLeast, edgeLeastPx = 0.06, 40.0
)

// How marks move. Where hands and joints are bounded, it is a choice of as much room as the
// barrel has.
const (
	barrelMaxMPS   = 55.0  // m/s: 1.5 × the fastest published adult bat (36.8, Inkster and others 2011)
	handsMaxMPS    = 16.0  // m/s
	jointMaxMPS    = 12.0  // m/s
	restAccel      = 150.0 // m/s²: what arms do to a bat that is not yet turning
	limbAccel      = 120.0 // m/s²
	barrelTurnM    = 0.9   // m: radius that a swung barrel goes round
	limbTurnM      = 0.5   // m
	impactFPS      = 300.0 // frames/s: above this rate an impact alone is a larger acceleration
	barrelFastMPS  = 8.0   // m/s: published youth swings reach 15, a waggle stays under 5
	handsFastMPS   = 3.0   // m/s
	barrelSwingM   = 0.5   // m: a swing covers 2 m and more at that speed, a sleeve's folds a few dm
	handsSwingM    = 0.2   // m
	gapS           = 0.10  // s: longest gap in a stretch of a path
	barrelReachM   = 0.06  // m: half hidden, a band seems so much off; and at
	barrelReachMPS = 12.0  // m/s more than it left with it goes on out of sight
	limbReachM     = 0.1   // m
	limbReachMPS   = 6.0   // m/s
)

// What else has a mark's colour moves as people do.
const (
	otherMPS   = 6.0   // m/s: a walk, an arm
	otherAccel = 150.0 // m/s²
	otherGapS  = 0.03  // s
	longS      = 0.05  // s: what is followed for longer at that speed is not there by chance
	apartM     = 0.15  // m: farther than that from the mark is another thing
)

// What a patch is worth by its look, nats.
const (
	lookMost  = 5.0
	lookScale = 40.0  // nats of pixels
	lookLeast = 1.5   // against specks, of which there are always some
	stillLog  = 1.0   // against what the background explains as well
	barrelM   = 0.066 // m: a barrel's diameter, 2.6 in
	handsM    = 0.05  // m: across a band of the hands or a joint
	bandM     = 0.05  // m: a band's width along the bat
	// The longest blur that still lets a band be seen draws its silhouette out, end-on a
	// tenth of it is left. Prices are for a factor of e beyond, squared.
	sizeMost, sizeLeast    = 6.0, 0.08
	largePrice, smallPrice = 1.5, 0.5
	// A band is not much larger at rest than in the swing, where blur spreads it, and its
	// hue changes with the side from which it is lit.
	largeShare = 2.0
	hueSD      = 12 * math.Pi / 180
	hueMost    = 4.0 // nats
	sureLeast  = 6   // frames that tell a look
	// Marks of one bat: how far apart, in units of their stated distance, or in m
	// without one.
	reachShare, reachM    = 1.2, 1.0
	reachSoft, reachPrice = 0.3, 2.0 // the price rises over so much of the reach
	otherPrice            = 6.0      // of what is surely another thing
	hueShareMax           = 0.05     // of the picture: with more of the colour a band cannot be told
	barrelLeast           = 8        // samples of a path of the barrel
	linkStep              = 25       // frames a report
)

// What a barrel's band that was found must look like, on clips of three renderers. Bands of the
// colour on the card came within 6° of its hue, covered 0.68 and more of their pixels where
// they are seen best, and spoke by 1 nat (before clay of their colour) to 4 for each chroma
// pixel of their silhouette. Wood was covered to 0.34, things of other colours were 25° and more
// off, and the hands' band taken for the barrel's spoke by 0.75.
const (
	evidenceLeast = 0.9 // nats a chroma pixel
	coverLeast    = 0.5 // upper quartile
	hueOffMost    = 18 * math.Pi / 180
	// hueLeastPx is the least silhouette whose hue is told, chroma px: a smaller one is all rim.
	hueLeastPx = 8.0
)

// How far apart the marks of one bat may look, in units of their distance in the
// plane of the pitch, and how often they must be seen so.
const (
	rodShare = 1.3
	rodLeast = 8 // frames
	// A swing turns the bat through the plane of the picture, where its marks are
	// that distance apart; perspective makes it 0.8 to 1.05 of it on rendered swings.
	apartShare = 0.65
	apartLeast = 20 // frames, for an answer
)

// Errors of a patch's centroid each way, px, from still and moving bands of known
// place in clips of two renderers: coding and the guess of what lies behind leave
// this much, more where only colour was to be had, which follows the light.
const (
	coveredSD = 0.40
	colourSD  = 0.60
	// On top, in shares of a patch's size.
	blurSD      = 0.02
	smallSD     = 0.15 // of a patch of no area
	smallPx     = 30.0 // px²: area from which none
	hiddenShare = 0.7  // of the neighbours' area: a smaller patch is partly hidden
	hiddenReach = 6    // frames to each side
	splitShare  = 0.08 // share of still pixels from which a patch is suspect
	nearGapS    = 0.03 // s: between two samples that a place may be taken from
)

// What a swing is.
const (
	minSwingMPS = 8.0  // m/s: published youth swings start at 15; a waggle stays under 5
	swingShare  = 0.5  // of the fastest swing in the clip
	beforeS     = 0.60 // s, kept before the fast part
	afterS      = 0.60 // s
	// fastPart is the share of the largest speed from which a barrel goes through the ball's
	// place: before, it goes down and back, after, it goes round.
	fastPart = 0.8
	restS    = 0.30 // s: this long below the least speed ends a swing
)

// What a ball is, and how it flies.
const (
	gravity      = 9.81 // m/s²: standard gravity, 9.80665, to three digits
	ballMinMPS   = 5.0  // m/s: a soft toss
	ballMaxMPS   = 60.0 // m/s
	ballExtra    = 40.0 // m/s²: lift, drag and a camera off square
	ballPoints   = 5
	ballSD       = 1.2  // px, of a blob before it is fitted as a disc
	ballMissing  = 4    // frames in a row
	ballLeast    = 0.2  // of the disc's area
	ballMost     = 5.0  // of it: a streak
	ballTravelM  = 0.5  // m
	pitchBeforeS = 0.15 // s: the pitch is in sight to this before the barrel's peak
	pitchAfterS  = 0.02 // s: and not only from this after it
	pitchLateS   = 0.08 // s: or without such a one from this, of an early swing or a checked one
	leaveReachM  = 0.35 // m, how far from the barrel a ball that leaves it may first be seen
	pitchRMS     = 4.0  // px, off a parabola
	overlapM     = 0.09 // m: a "ball" that stays this close to the barrel is the bat
	overlapMostM = 0.5  // m: a distance that counts for no more
	hitMaxMPS    = 75.0 // m/s
	hitMinMPS    = 4.0  // m/s, after a pitch
	teeMinMPS    = 8.0  // m/s, off a tee
	outPoints    = 3
	outMissing   = 2     // frames in a row
	outTravelM   = 0.2   // m
	outForS      = 0.15  // s after contact
	teeBeforeS   = 0.03  // s before the barrel's peak
	teeReachM    = 0.6   // m, how far from the barrel a ball hit off a tee may first be seen
	turnReachS   = 0.030 // s, of the turn from the last and first sightings
	turnReachM   = 0.07  // m, between the two flights where they come closest
	turnCosine   = 0.985 // of the angle between flights: with a smaller turn they are one
	turnSteps    = 40
)

// A ball measured as a disc.
const (
	fittedSD     = 0.15 // px, of a centre fitted as a disc
	unfittedSD   = 3.0  // px, of one weighed only
	unfittedMost = 4.0  // px, by which a flight's own scatter makes it larger
	wholeLeast   = 4    // discs of one flight: with so many, only discs count
	shutterLeast = 3    // fitted streaks that tell an exposure
	// How small and how large a ball may look, against one of the card's scale in the
	// plane of the pitch: a metre nearer or farther at four.
	looseLeast = 0.8
	looseMost  = 1.3
	// sizeSD is a disc's diameter in units of the s.d. of its pixels along one axis.
	sizeSD = 4.0
)

// A bridge by optical flow: where a mark's colour is lost for a few frames, its
// surroundings on the bat may still be followed, from both sides.
const (
	bridgeFrames = 24  // longest gap
	bridgeWindow = 15  // px, of the flow's window, each way from the point
	bridgeBack   = 1.0 // px, forward-and-back error of a step
	bridgeAgree  = 3.0 // px, between the two directions, and one more per ten frames
	bridgeOff    = 25  // px from where the path's ends say it should be
	bridgeEnds   = 3   // frames that tell the speed at an end
	// Error of a bridged place, px: at the gap's ends and a frame farther in.
	bridgeSD     = 1.0
	bridgeStepSD = 0.3
)

// Of a swing, the pose network sees this much before and after the barrel's fastest
// moment, and no more frames a second than an arm's motion needs.
const (
	poseBeforeS = 0.28 // s
	poseAfterS  = 0.22 // s
	poseFPS     = 120.0
	poseSlack   = 0.9 // of the time between two: a frame that comes a little early counts
)

// The square that the network is given: so much of the cage about the hands, first
// to find the hitter there or half a metre to either side, then about the person
// found.
const (
	poseViewM   = 2.5  // m, side
	poseBelowM  = 0.15 // m, its middle below the hands
	poseAsideM  = 0.5  // m
	poseRoom    = 1.35 // of the person's longer side
	poseTries   = 4    // frames in which nobody may be found before the search is given up
	wristReachM = 0.4  // m, of a wrist from the hands' mark or, without one, poseViewM/2 from the barrel
	leastJoint  = 0.3  // score below which a joint is not known
	leastFound  = 8    // joints of a person
	// posePlace is the s.d. of a joint's place at full score, as a share of the
	// person's longer side: what changes from frame to frame.
	posePlace = 0.008
)
