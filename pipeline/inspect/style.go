package inspect

// All constants of the package, choices that were looked at in pictures of rendered
// swings.

// What is shown of a clip.
const (
	wholeS    = 3.0  // s: clips up to this long are shown whole
	aroundS   = 0.3  // s, shown before and after a swing of a longer one
	mostShown = 3600 // frames: two minutes
)

// The picture.
const (
	ellipseSD    = 2.0  // s.d. that an ellipse shows
	ellipseTimes = 5.0  // enlarged by
	ellipseTrail = 6    // frames before the present one whose ellipses still show
	pathFreshS   = 0.20 // s, of the path drawn in full; what is older is faint
	stillShown   = 0.02 // share of still pixels from which the square is drawn
	palestRing   = 0.35 // opacity of a ring round the palest patch
)

// The strip, in parts of the size of its text.
const (
	minSheetPx  = 640  // px: width below which the columns do not fit
	stripRow    = 1.75 // height of a row
	stripName   = 8.5  // width
	stripColumn = 4.2  // width
	dialRadius  = 1.5
	leastDialPx = 1.0 // px: motion of the camera that fills the dial
	legendSign  = 3.4 // width of a sign
	legendGap   = 1.8
)
