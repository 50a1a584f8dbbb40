package guide

// group is one section of the page.
type group struct {
	title   string
	lead    string
	figures []string
	entries []entry
}

// entry explains one metric.
type entry struct {
	path  string // in metrics.json, within a swing
	name  string
	unit  string // as metrics.json writes it
	plain string // what it tells a coach
	frame string // where it is measured, and what its sign means
	lacks string // what makes it missing or assumed
	how   string
}

// What several metrics lack alike.
const (
	lacksScale    = "Missing without a scale on the card."
	lacksLine     = "Missing without a pitch line: no ball was followed in and the card states no line."
	lacksBoth     = "Missing without a scale on the card or without a pitch line."
	guessedTime   = "Assumed when contact is (see `keys.contact`)."
	computedLine  = "Assumed when the line is computed from the card's pitch speed and release."
	lacksZone     = "Missing without a scale on the card, without a pitch line, or when the barrel is never near the line and along it at once."
	lacksRun      = lacksBoth + " When there is no such run it is missing, and the duration is 0. " + computedLine
	lacksRunTime  = lacksBoth + " 0 when there is no such run. " + computedLine
	lacksTouch    = "Missing without a scale, when no ball was followed in, or when no shift of the swing would have done, and in that case the window is 0."
	lacksLaunch   = "Missing when the barrel was not seen at rest before the swing."
	lacksHands    = "Missing without a band for the hands on the card, or when it was not seen."
	lacksArm      = "Missing without lead shoulder, lead elbow and lead wrist, each by its band or by the pose network."
	lacksFinish   = "Missing without a scale on the card, or when the barrel was lost before the finish."
	fromContact   = "Time from contact: negative before it, positive after it."
	inPlane       = "The plane of the pitch."
	inPlaneLength = "The plane of the pitch; corrected for depth when the card gives the camera's distance, otherwise 5 to 10 % off is common."
	inPicture     = "The picture's plane: what the side view shows, not the angle in space."
)

// groups holds the texts of all metrics of a swing, in the order of the page.
var groups = []group{
	{
		title: "Key positions",
		lead: "Five instants that every swing is cut into. Each has a time `t_s` in seconds from contact, a `frame` (frames counted from 0, " +
			"with a fraction, because a key position seldom falls exactly on a frame), a `confidence` from 0 to 1, and `status` and `why` like any metric.",
		figures: []string{"keys.svg"},
		entries: []entry{
			{
				"keys.launch", "Launch", "s", "The swing starts: the barrel stops waiting and goes.",
				fromContact, lacksLaunch,
				"The last instant before contact at which the barrel was slower than a tenth of its peak speed before contact.",
			},
			{
				"keys.slot", "Slot", "s", "The back elbow is closest to the back hip; hands, elbow and hip work together.",
				fromContact, "Missing without back elbow and back hip, or when one of them was hidden where they may have been closest, or without launch.",
				"Between launch and contact, the instant when back elbow and back hip are horizontally closest.",
			},
			{
				"keys.lag", "Lag", "s", "The barrel trails the hands the most; from here on it catches up.",
				fromContact, lacksHands,
				"Between launch and contact, the instant when the barrel is farthest behind the hands along the pitch's direction.",
			},
			{
				"keys.contact", "Contact", "s", "Barrel and ball meet. All times are counted from here, so its own time is 0.",
				"The zero of time. The frame says where it lies in the clip, between frames.",
				"Assumed when no ball was seen: contact is then taken where the barrel is fastest. A `why` on a measured contact tells what was less than perfect, for example that the ball was missed.",
				"Where the ball's path turns, together with where barrel and ball touch; off a tee, where the hit ball's path begins at the barrel; for a miss, the closest approach.",
			},
			{
				"keys.finish", "Finish", "s", "The barrel is at its highest after contact.",
				fromContact, "Missing when the barrel was lost before the finish.",
				"The barrel's highest point after contact, before it slows to under a tenth of its peak speed.",
			},
		},
	},
	{
		title: "The pitch",
		lead:  "The line to swing along: the ball's path as it arrives, carried on straight beyond contact as if the ball had not been hit.",
		entries: []entry{
			{
				"pitch.line", "Where the line comes from", "", "`tracked`: the ball seen in the clip. `drawn`: two points on the card. `flight`: computed from the card's pitch speed and release. `none`: there is no line.",
				"A word, no number.", "`none` when no ball was followed in and the card states no line.",
				"The card's choice; without one, the tracked ball.",
			},
			{
				"pitch.descent_deg", "Descent", "deg", "How steeply the pitch falls as it gets to the hitter. Fast pitches fall little, slow ones much.",
				inPlane + " The angle to level; positive when the ball falls.", lacksLine + " " + computedLine,
				"The slope of the ball's fitted flight at contact.",
			},
			{
				"pitch.speed_mps", "Pitch speed", "m/s", "How fast the ball is when it reaches the barrel, which is slower than at release.",
				inPlane + " Never negative.", "Missing without a scale on the card, or when no ball was followed in.",
				"The speed of the ball's fitted flight at contact.",
			},
		},
	},
	{
		title:   "Barrel against pitch at contact",
		lead:    "Direction and place of the barrel at the instant before it meets the ball: the impact itself kinks its path.",
		figures: []string{"attack.svg", "offset.svg"},
		entries: []entry{
			{
				"plane.attack_deg", "Attack angle", "deg", "Is the barrel going up or down as it meets the ball, and how steeply?",
				inPlane + " The angle to level; positive when the barrel rises.", "Missing only with the whole swing. " + guessedTime,
				"The direction of the barrel's velocity an instant before contact.",
			},
			{
				"plane.gap_deg", "Gap", "deg", "How far the barrel's direction is from the line of the pitch. At 0 the barrel travels exactly against the ball.",
				inPlane + " Positive when the barrel rises more steeply than the pitch falls, negative when less steeply.", lacksLine + " " + guessedTime + " " + computedLine,
				"Attack angle less descent.",
			},
			{
				"plane.offset_m", "Offset", "m", "How far the barrel is from the line of the pitch at contact. The smaller, the more centred the hit.",
				inPlane + " Straight across the line; positive when the barrel is above it.",
				lacksBoth + " Missing as well when the line is computed from the card and no ball was seen: then nobody knows where the pitch passed. " + guessedTime,
				"The distance from the middle of the barrel, at its band, to the pitch line at contact.",
			},
		},
	},
	{
		title: "Zone",
		lead: "How early the barrel gets onto the line of the pitch and how long it stays. It is in the zone while it is both near the line " +
			"(within ball radius plus barrel radius) and along it (within 10°, common practice); the card's `tolerances` can set other limits. " +
			"The search covers 0.12 s before and after contact, as far as the barrel was seen.",
		figures: []string{"zone.svg"},
		entries: []entry{
			{
				"zone.enter_s", "Enter", "s", "When the barrel gets onto the line. The earlier, the more room for a swing that is late.",
				fromContact, lacksZone + " " + guessedTime + " " + computedLine,
				"The start of the run in which the barrel is near the line and along it; the run that holds contact, or else the nearest one.",
			},
			{
				"zone.leave_s", "Leave", "s", "When the barrel comes off the line again.",
				fromContact, lacksZone + " " + guessedTime + " " + computedLine, "The end of that run.",
			},
			{
				"zone.duration_s", "Duration", "s", "How long the barrel stays on the line.",
				"A length of time; 0 when the barrel is never in the zone.", lacksBoth + " " + computedLine, "Leave less enter.",
			},
			{
				"zone.length_m", "Length", "m", "How much of the line the barrel covers while it is on it.",
				inPlane + " Along the pitch line; 0 when the barrel is never in the zone.", lacksBoth + " " + computedLine,
				"How far the barrel moves along the line from enter to leave.",
			},
			{
				"zone.behind_m", "Behind", "m", "How much of the zone lies behind contact, on the catcher's side: the reserve for meeting the ball late.",
				inPlane + " Along the pitch line; negative when the barrel enters only after contact.", lacksZone + " " + guessedTime + " " + computedLine,
				"From the barrel's place at enter to its place at contact, along the line.",
			},
			{
				"zone.ahead_m", "Ahead", "m", "How much of the zone lies ahead of contact, on the pitcher's side: the reserve for meeting the ball early.",
				inPlane + " Along the pitch line; negative when the barrel leaves before contact.", lacksZone + " " + guessedTime + " " + computedLine,
				"From the barrel's place at contact to its place at leave, along the line.",
			},
			{
				"zone.near.enter_s", "Near: enter", "s", "When the barrel comes near enough to the line to touch a ball on it, whatever its direction.",
				fromContact, lacksRun, "The start of the run in which the barrel is within the zone's distance of the line.",
			},
			{
				"zone.near.leave_s", "Near: leave", "s", "When it is too far from the line again.",
				fromContact, lacksRun, "The end of that run.",
			},
			{
				"zone.near.duration_s", "Near: duration", "s", "How long the barrel is near the line. If this is long and the zone short, it is the direction that ends the zone, not the height.",
				"A length of time.", lacksRunTime, "Leave less enter.",
			},
			{
				"zone.along.enter_s", "Along: enter", "s", "When the barrel starts to travel along the line, wherever it is.",
				fromContact, lacksRun, "The start of the run in which the barrel's direction is within the zone's angle of the line.",
			},
			{
				"zone.along.leave_s", "Along: leave", "s", "When its direction has turned away from the line again.",
				fromContact, lacksRun, "The end of that run.",
			},
			{
				"zone.along.duration_s", "Along: duration", "s", "How long the barrel travels along the line. If this is long and the zone short, it is the height that ends the zone, not the direction.",
				"A length of time.", lacksRunTime, "Leave less enter.",
			},
		},
	},
	{
		title: "Timing window",
		lead: "How early or late the very same swing could have been and still have met the ball. The swing is slid in time against the pitch, and at each " +
			"shift the first touch of barrel and ball is found, as circles seen from the side. In the figure the dashed line is the way along which the two close in on each other; " +
			"the impact offset is the barrel's distance from it. `solid` allows at most 12.7 mm (half an inch; common practice, and the card's `tolerances` can set another limit), `any` allows every touch.",
		figures: []string{"timing.svg"},
		entries: []entry{
			{
				"timing.solid.early_s", "Solid: early", "s", "How much earlier the same swing could have been and still have hit the ball solidly.",
				"A time; positive is room to be earlier. Negative: only a swing later by that much would have been solid.", lacksTouch,
				"The earliest shift with an impact offset within the limit, in the run of shifts that holds this swing or else is nearest to it.",
			},
			{
				"timing.solid.late_s", "Solid: late", "s", "How much later the same swing could have been and still have hit the ball solidly.",
				"A time; positive is room to be later. Negative: only a swing earlier by that much would have been solid.", lacksTouch,
				"The latest shift of the same run.",
			},
			{
				"timing.solid.window_s", "Solid: window", "s", "The whole room for error in timing, for a solid hit.",
				"A length of time; 0 when no shift would have been solid.", "Missing without a scale, or when no ball was followed in.", "Early plus late.",
			},
			{
				"timing.any.early_s", "Any: early", "s", "How much earlier the same swing could have been and still have touched the ball.",
				"A time; positive is room to be earlier. Negative: only a swing later by that much would have touched.", lacksTouch,
				"The earliest shift with a touch, in the run of shifts that holds this swing or else is nearest to it.",
			},
			{
				"timing.any.late_s", "Any: late", "s", "How much later the same swing could have been and still have touched the ball.",
				"A time; positive is room to be later. Negative: only a swing earlier by that much would have touched.", lacksTouch,
				"The latest shift of the same run.",
			},
			{
				"timing.any.window_s", "Any: window", "s", "The whole room for error in timing, for any touch.",
				"A length of time; 0 when no shift would have touched.", "Missing without a scale, or when no ball was followed in.", "Early plus late.",
			},
		},
	},
	{
		title: "Speed",
		lead:  "Speeds of barrel and hands. The barrel is measured at its band, not at its end; the end is faster.",
		entries: []entry{
			{
				"speed.barrel_contact_mps", "Barrel speed at contact", "m/s", "How fast the barrel meets the ball.",
				inPlaneLength + " Never negative.", lacksScale + " " + guessedTime,
				"The length of the barrel's velocity an instant before contact, the impact left out.",
			},
			{
				"speed.barrel_peak_mps", "Peak barrel speed", "m/s", "The fastest the barrel gets on its way to the ball. Near the speed at contact: the speed is spent where it counts.",
				inPlaneLength + " Never negative.", lacksScale, "The greatest barrel speed in the last 0.1 s before contact.",
			},
			{
				"speed.hands_peak_mps", "Peak hand speed", "m/s", "The fastest the hands get between launch and contact.",
				inPlane + " Never negative.", lacksHands + " Missing as well without launch or without a scale.", "The greatest speed of the hands' band from launch to contact.",
			},
		},
	},
	{
		title: "Tempo",
		lead:  "How the time from launch to contact is spent. A swing starts gently, so launch is less sharp than contact: look at the intervals.",
		entries: []entry{
			{
				"tempo.launch_contact_s", "Launch to contact", "s", "How long the swing takes to reach the ball.",
				"A length of time.", lacksLaunch, "Contact less launch.",
			},
			{
				"tempo.launch_lag_s", "Launch to lag", "s", "The first part: the barrel falls behind the hands.",
				"A length of time.", lacksLaunch + " " + lacksHands, "Lag less launch.",
			},
			{
				"tempo.lag_contact_s", "Lag to contact", "s", "The second part: the barrel catches up and passes.",
				"A length of time.", lacksHands, "Contact less lag.",
			},
		},
	},
	bodyGroup,
	{
		title:   "Extension and finish",
		lead:    "Where the barrel goes after the ball is gone.",
		figures: []string{"finish.svg"},
		entries: []entry{
			{
				"finish.height_m", "Finish height", "m", "How high above contact the swing ends.",
				inPlane + " Upwards; positive above contact.", lacksFinish, "The height of the finish less the height at contact.",
			},
			{
				"finish.above_shoulder_m", "Finish above the shoulder", "m", "Whether the swing ends above or below the lead shoulder.",
				inPlane + " Upwards; positive above the shoulder.", lacksFinish + " Missing without a band on the lead shoulder, or a pose network, or while it is hidden.",
				"The height of the finish less that of the lead shoulder.",
			},
			{
				"finish.extension_m", "Extension", "m", "How far the barrel still travels towards the pitcher after contact: staying through the ball.",
				inPlane + " Level, towards the pitcher; 0 when it only comes back.", lacksFinish, "The barrel's farthest x after contact less its x at contact, while it is still swinging.",
			},
			{
				"finish.extension_s", "Extension time", "s", "How long that takes.",
				"Time from contact; 0 when the barrel only comes back.", lacksFinish, "The time at which the barrel is nearest the pitcher.",
			},
		},
	},
}
