package contact

// Outcome is what became of a swing.
type Outcome string

// The outcomes.
const (
	Hit   Outcome = "hit"   // the ball goes back towards the pitcher
	Tip   Outcome = "tip"   // it is touched, and goes on to the catcher
	Miss  Outcome = "miss"  // it is not touched
	Check Outcome = "check" // the barrel slows before it comes to the pitch line: no contact
	None  Outcome = "none"  // no ball was seen, so that nothing tells
)
