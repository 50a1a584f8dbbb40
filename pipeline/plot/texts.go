package plot

// All words of the plots, but those that come with the values.
const (
	textPath   = "The barrel's path and the pitch line"
	textZone   = "How near the line, and how well along it"
	textTiming = "Room for error in timing"

	descPath       = "Seen from the side, the pitcher to the right: the barrel's path, wide and blue in the zone, and the pitch line with the zone's band about it."
	descZone       = "Over time from contact: the barrel's distance from the pitch line and its direction off it, each with its limits shaded, and the run in which both are within."
	descTiming     = "How much earlier and later the same swing could have been and still have met the ball, solidly and at all; whiskers are 95 % intervals."
	descBoth       = " Two swings: %s, grey and dashed, and %s, in colour and whole."
	descInZone     = " In the zone from %s to %s from contact."
	descInZoneOf   = " %s in the zone from %s to %s from contact."
	descNeverZone  = " Never in the zone."
	descNeverOf    = " %s never in the zone."
	descWindow     = " %s: %s earlier to %s later."
	descWindowBoth = " %s, %s: %s earlier to %s later."

	textMissing   = "Not drawn: %s"
	textMissingOf = "Without %s: %s"
	textNoReason  = "no reason is given"
	textNoPlace   = "the swing could not be put into the plane of the pitch"
	textNoLine    = "no pitch line"

	axisX         = "towards the pitcher, m"
	axisZ         = "up, m"
	axisTime      = "ms from contact"
	axisOff       = "above or below the line, cm"
	axisDirection = "steeper or flatter than the line, °"
	axisShift     = "ms"
	textEarlier   = "swing begun earlier"
	textLater     = "later"

	textPitch  = "pitch"
	textInZone = "in the zone %s"
	textNever  = "never in the zone"
	textSolid  = "solid"
	textAny    = "any"
	textFromTo = ": %s to %s ms"
)
