package metrics

import (
	"math"
)

// The marks on the body, by the names they have on the card.
const (
	leadElbow    = "lead_elbow"
	leadShoulder = "lead_shoulder"
	leadWrist    = "lead_wrist"
	backElbow    = "back_elbow"
	backHip      = "back_hip"
	beltBuckle   = "belt_buckle"
	backShoulder = "back_shoulder" // these two are seen by a pose network alone
	head         = "head"
)

// ShoulderEnd names the lead end of the shoulders' line for Curves.Joint: the lead
// shoulder, by the network where it sees it. A strap around the sleeve turns with the
// arm, and is a hand's breadth below the shoulders' line.
const ShoulderEnd = "shoulder_end"

// JointNames are the names of marks beside barrel and hands, in the order of
// track.csv.
var JointNames = []string{leadElbow, leadShoulder, leadWrist, backElbow, backHip, beltBuckle}

// PoseNames are the names of what a pose network finds of a hitter; the head is seen
// at the nose.
var PoseNames = []string{leadElbow, leadShoulder, leadWrist, backElbow, backHip, backShoulder, head}

// towards is the unit direction from a to b.
func towards(a, b [2]float64) [2]float64 {
	x, y := b[0]-a[0], b[1]-a[1]
	l := math.Hypot(x, y)
	return [2]float64{x / l, y / l}
}
