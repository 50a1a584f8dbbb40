package catalogue

// Needs are what a metric or a key position rests on. Without one of them it is
// missing; with an assumed one it is assumed.
type Needs struct {
	// Of are things of the whole swing.
	Of Things
	// At are the key positions at which, or from which to which, it is taken.
	At []Key
	// Joints are seen at each of those key positions.
	Joints []Joint
}

// Things are a set of what a swing can have.
type Things uint

// What a swing can have.
const (
	Scale   Things = 1 << iota // a scale in the plane of the pitch
	Line                       // the line of the pitch
	Passage                    // where the pitch passed: a computed line lacks it without a ball
	Ball                       // the ball, followed on its way in
	Hands                      // the path of the hands
	Depth                      // the bat's depth: without it a length stands, and says so
)

// Each lists the things of a set one by one.
func (t Things) Each() []Things {
	var out []Things
	for one := Scale; one <= Depth; one <<= 1 {
		if t&one != 0 {
			out = append(out, one)
		}
	}
	return out
}

// Has reports whether all of some things are in the set.
func (t Things) Has(some Things) bool { return t&some == some }

// Joint is a joint of the hitter's body by its name on the card.
type Joint string

// The joints. A shoulder line's lead end is the lead shoulder or, where a pose network
// sees it, the joint itself rather than the strap around the sleeve.
const (
	LeadElbow    Joint = "lead_elbow"
	LeadShoulder Joint = "lead_shoulder"
	LeadWrist    Joint = "lead_wrist"
	BackElbow    Joint = "back_elbow"
	BackHip      Joint = "back_hip"
	BeltBuckle   Joint = "belt_buckle"
	BackShoulder Joint = "back_shoulder"
	Head         Joint = "head"
	ShoulderEnd  Joint = "shoulder_end"
)

// Key is a key position of a swing: the number of its row.
type Key int

// The key positions, in the order of metrics.json.
const (
	Launch Key = iota
	Slot
	Lag
	Contact
	Finish
	NumKeys
)
