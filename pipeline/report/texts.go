package report

import (
	"fmt"

	"ashline/metrics/catalogue"
)

// words are all words of the pages but the metrics' own, which the catalogue has, and
// what comes with the values. To translate a page, translate these.
var words = map[string]string{
	"lang":         "en",
	"title":        "Swing report",
	"titleCompare": "Two swings compared",

	"cautionsTitle": "Cautions",
	"cautions": "A coaching aid, not medical advice: stop on pain and see a licensed clinician. Keep the swing space clear; helmets on; " +
		"people behind screens and nets, the person with the camera too, and never in the hitting line. Bands on the barrel are for practice: " +
		"many rule sets forbid foreign substances on a bat in games, so take them off. Follow your facility's and league's rules.",

	"session": "Session", "label": "Label", "kind": "Kind", "bats": "Bats", "academy": "Academy",
	"noHitter": "Hitter not named",
	"live":     "live pitching", "machine": "pitching machine", "toss": "toss", "tee": "tee", "dry": "dry swing",
	"right": "right", "left": "left",

	"findings": "What stands out",
	"next":     "To work on next", "praise": "good", "swingN": "Swing %d",
	"topic_line": "On the line of the pitch", "topic_arm": "Lead arm", "topic_hands": "Hands", "topic_hip": "Hip", "topic_shoulder": "Shoulders",
	"topic_timing": "Timing", "topic_finish": "Finish",
	"findingsOther": "More",
	"rests":         "Rests on",

	"video":     "Video",
	"videoNote": "In slow motion, with what was measured drawn on it. With the video in focus, the left and right arrow keys step one frame.",
	"noVideo":   "No video was made for this page.",
	"videoOld":  "This browser shows no video; the file is beside this page:",
	"captions":  "Key positions",
	"back":      "One frame back", "forward": "One frame on", "play": "Play", "pause": "Pause",
	"speed": "Speed", "half": "half", "quarter": "a quarter", "full": "as made",
	"jump":    "Go to",
	"swingOf": "Swing %d of %d", "theSwing": "The swing",

	"strip":    "Key positions",
	"stillAlt": "Frame at %s, %s, with the barrel's path so far",
	"atStart":  "at contact",
	"before":   "%s before contact",
	"after":    "%s after contact",
	"launch":   "Launch", "slot": "Slot", "lag": "Lag", "contact": "Contact", "zone": "Zone", "finish": "Finish",

	"plots":        "Plots",
	"main":         "Main numbers",
	"numbers":      "All numbers",
	"metric":       "Metric",
	"value":        "Value",
	"interval":     "95 % interval",
	"status":       "Status",
	"intervalNote": "The true number lies within the 95 % interval about 19 times in 20. Two swings whose intervals overlap widely may not differ at all.",
	"noGrade":      "No number here is good or bad by itself: it describes one swing at one pitch. Watch it together with the video.",
	"to":           "to",
	"measured":     "measured",
	"assumed":      "assumed",
	"missing":      "missing",
	"missingTitle": "What could not be measured",
	"noReason":     "No reason is given",
	"noSwing":      "No swing was found in this clip.",
	"made":         "How it was measured",
	"program":      "Program",
	"clip":         "Clip, SHA-256",
	"clipIs":       "Clip",
	"clipFormat":   "%d × %d px, %.0f frames a second, %d frames",
	"scale":        "Scale",
	"seen":         "Barrel",
	"seenFormat":   "seen in %d frames, carried over in %d",
	"notes":        "Notes",
	"beforeSide":   "Before",
	"afterSide":    "After",
	"change":       "Change",
	"verdict":      "Verdict",
	"changes":      "What changed",
	"changesNote":  "A change is told from noise only when its 95 % interval excludes zero. Whether it is welcome is the coach's to say.",
	"changesNone":  "None of the numbers is known on both sides.",
	"leftOut":      "What could not be compared",
	"bothSides":    "both sides",
	"real":         "real",
	"not_told":     "not told from noise",
	"swings_only":  "these two swings differ; nothing is known of the habit",
	"swingsCount":  "%d of %d swings",
	"compareVideo": "Both swings side by side, together at contact.",

	// Of captions.vtt.
	"cueKey":     "%s, %s",
	"cueContact": "Contact",
	"cueAbout":   "about %s",
	"cueAttack":  "barrel rising %s",
	"cueDescent": "pitch falling %s",
	"cueSpeed":   "barrel %s",
	"cueZone":    "In the zone for %s",
	"cueLength":  "%s along the pitch line",
}

// scales are the words for where the scale comes from.
var scales = map[string]string{
	"points": "two points of known distance", "plate": "home plate", "bat_marks": "the bat's two bands", "ball": "the ball", "none": "none",
}

// mainMetrics are the numbers that a page starts with.
var mainMetrics = []catalogue.Metric{
	catalogue.ZoneDurationS, catalogue.ZoneLengthM,
	catalogue.PlaneAttackDeg, catalogue.PitchDescentDeg, catalogue.PlaneGapDeg,
	catalogue.TimingSolidWindowS, catalogue.SpeedBarrelContactMPS, catalogue.TempoLaunchContactS,
}

func swingTitle(i, n int) string {
	if n == 1 {
		return words["theSwing"]
	}
	return fmt.Sprintf(words["swingOf"], i+1, n)
}
