package catalogue

// The metrics of a swing. A metric is a constant here and its row below.
const (
	PitchDescentDeg Metric = iota
	PitchSpeedMPS
	PlaneAttackDeg
	PlaneGapDeg
	PlaneOffsetM
	ZoneEnterS
	ZoneLeaveS
	ZoneDurationS
	ZoneLengthM
	ZoneBehindM
	ZoneAheadM
	ZoneNearEnterS
	ZoneNearLeaveS
	ZoneNearDurationS
	ZoneAlongEnterS
	ZoneAlongLeaveS
	ZoneAlongDurationS
	TimingLateS
	TimingSolidEarlyS
	TimingSolidLateS
	TimingSolidWindowS
	TimingAnyEarlyS
	TimingAnyLateS
	TimingAnyWindowS
	SpeedBarrelContactMPS
	SpeedBarrelPeakMPS
	SpeedHandsPeakMPS
	TempoLaunchContactS
	TempoLaunchLagS
	TempoLagContactS
	BodyLeadElbowLaunchDeg
	BodyLeadElbowSlotDeg
	BodyLeadElbowLagDeg
	BodyLeadElbowContactDeg
	BodyLeadElbowStraightS
	BodyElbowHipSlotM
	BodyHandsElbowSlotM
	BodyHandsBuckleLagM
	BodyHeadDriftM
	BodyShoulderOpenDeg
	BodyHandsPathM
	BodyHandsStraightness
	FinishHeightM
	FinishAboveShoulderM
	FinishExtensionM
	FinishExtensionS
	NumMetrics
)

var (
	atContact = Needs{At: []Key{Contact}}
	onLine    = Needs{Of: Scale | Line, At: []Key{Contact}}
	alongLine = Needs{Of: Scale | Line | Depth, At: []Key{Contact}}
	meeting   = Needs{Of: Scale | Ball, At: []Key{Contact}}
	handsWay  = Needs{Of: Scale | Hands, At: []Key{Launch, Contact}}
	leadArm   = []Joint{LeadShoulder, LeadElbow, LeadWrist}
)

var rows = [NumMetrics]Row{
	PitchDescentDeg: {
		Path: "pitch.descent_deg", Unit: "deg", Needs: Needs{Of: Line},
		Words: Words{
			Name: "Descent of the pitch", Plain: "How steeply the pitch falls as it gets to the hitter. Fast pitches fall little, slow ones much.",
			Frame: inPlane + " The angle to level; positive when the ball falls.",
			How:   "The slope of the ball's fitted flight at contact.",
		},
	},
	PitchSpeedMPS: {
		Path: "pitch.speed_mps", Unit: "m/s", Bounds: notNegative, Needs: Needs{Of: Scale | Ball},
		Words: Words{
			Name: "Pitch speed", Plain: "How fast the ball is when it reaches the barrel, which is slower than at release.",
			Frame: inPlane + " Never negative.",
			How:   "The speed of the ball's fitted flight at contact.",
		},
	},

	PlaneAttackDeg: {
		Path: "plane.attack_deg", Unit: "deg", Needs: atContact,
		Words: Words{
			Name: "Attack angle", Plain: "Is the barrel going up or down as it meets the ball, and how steeply?",
			Frame: inPlane + " The angle to level; positive when the barrel rises.",
			How:   "The direction of the barrel's velocity an instant before contact.",
		},
	},
	PlaneGapDeg: {
		Path: "plane.gap_deg", Unit: "deg", Needs: Needs{Of: Line, At: []Key{Contact}},
		Words: Words{
			Name: "Gap", Plain: "How far the barrel's direction is from the line of the pitch. At 0 the barrel travels exactly against the ball.",
			Frame: inPlane + " Positive when the barrel rises more steeply than the pitch falls, negative when less steeply.",
			How:   "Attack angle less descent.",
		},
	},
	PlaneOffsetM: {
		Path: "plane.offset_m", Unit: "m", Needs: Needs{Of: Scale | Line | Passage | Depth, At: []Key{Contact}},
		Words: Words{
			Name: "Offset", Plain: "How far the barrel is from the line of the pitch at contact. The smaller, the more centred the hit.",
			Frame: inPlane + " Straight across the line; positive when the barrel is above it.",
			How:   "The distance from the middle of the barrel, at its band, to the pitch line at contact.",
		},
	},

	ZoneEnterS: {
		Path: "zone.enter_s", Unit: "s", Moment: true, Needs: onLine,
		Words: Words{
			Name: "Zone: enter", Plain: "When the barrel gets onto the line. The earlier, the more room for a swing that is late.",
			Frame: fromContact, Never: neverInZone,
			How: "The start of the run in which the barrel is near the line and along it; the run that holds contact, or else the nearest one.",
		},
	},
	ZoneLeaveS: {
		Path: "zone.leave_s", Unit: "s", Moment: true, Needs: onLine,
		Words: Words{
			Name: "Zone: leave", Plain: "When the barrel comes off the line again.",
			Frame: fromContact, Never: neverInZone, How: "The end of that run.",
		},
	},
	ZoneDurationS: {
		Path: "zone.duration_s", Unit: "s", Bounds: notNegative, Needs: onLine,
		Words: Words{
			Name: "Time in the zone", Plain: "How long the barrel stays on the line.",
			Frame: "A length of time; 0 when the barrel is never in the zone.", How: "Leave less enter.",
		},
	},
	ZoneLengthM: {
		Path: "zone.length_m", Unit: "m", Bounds: notNegative, Needs: alongLine,
		Words: Words{
			Name: "Length of the zone", Plain: "How much of the line the barrel covers while it is on it.",
			Frame: inPlane + " Along the pitch line; 0 when the barrel is never in the zone.",
			How:   "How far the barrel moves along the line from enter to leave.",
		},
	},
	ZoneBehindM: {
		Path: "zone.behind_m", Unit: "m", Needs: alongLine,
		Words: Words{
			Name: "Zone behind contact", Plain: "How much of the zone lies behind contact, on the catcher's side: the reserve for meeting the ball late.",
			Frame: inPlane + " Along the pitch line; negative when the barrel enters only after contact.", Never: neverInZone,
			How: "From the barrel's place at enter to its place at contact, along the line.",
		},
	},
	ZoneAheadM: {
		Path: "zone.ahead_m", Unit: "m", Needs: alongLine,
		Words: Words{
			Name: "Zone ahead of contact", Plain: "How much of the zone lies ahead of contact, on the pitcher's side: the reserve for meeting the ball early.",
			Frame: inPlane + " Along the pitch line; negative when the barrel leaves before contact.", Never: neverInZone,
			How: "From the barrel's place at contact to its place at leave, along the line.",
		},
	},
	ZoneNearEnterS: {
		Path: "zone.near.enter_s", Unit: "s", Moment: true, Needs: onLine,
		Words: Words{
			Name: "Near the line: enter", Plain: "When the barrel comes near enough to the line to touch a ball on it, whatever its direction.",
			Frame: fromContact, Never: neverNear,
			How: "The start of the run in which the barrel is within the zone's distance of the line.",
		},
	},
	ZoneNearLeaveS: {
		Path: "zone.near.leave_s", Unit: "s", Moment: true, Needs: onLine,
		Words: Words{
			Name: "Near the line: leave", Plain: "When it is too far from the line again.",
			Frame: fromContact, Never: neverNear, How: "The end of that run.",
		},
	},
	ZoneNearDurationS: {
		Path: "zone.near.duration_s", Unit: "s", Bounds: notNegative, Needs: onLine,
		Words: Words{
			Name: "Time near the line", Plain: "How long the barrel is near the line. If this is long and the zone short, it is the direction that ends the zone, not the height.",
			Frame: "A length of time; 0 when there is no such run.", How: "Leave less enter.",
		},
	},
	ZoneAlongEnterS: {
		Path: "zone.along.enter_s", Unit: "s", Moment: true, Needs: onLine,
		Words: Words{
			Name: "Along the line: enter", Plain: "When the barrel starts to travel along the line, wherever it is.",
			Frame: fromContact, Never: neverAlong,
			How: "The start of the run in which the barrel's direction is within the zone's angle of the line.",
		},
	},
	ZoneAlongLeaveS: {
		Path: "zone.along.leave_s", Unit: "s", Moment: true, Needs: onLine,
		Words: Words{
			Name: "Along the line: leave", Plain: "When its direction has turned away from the line again.",
			Frame: fromContact, Never: neverAlong, How: "The end of that run.",
		},
	},
	ZoneAlongDurationS: {
		Path: "zone.along.duration_s", Unit: "s", Bounds: notNegative, Needs: onLine,
		Words: Words{
			Name: "Time along the line", Plain: "How long the barrel travels along the line. If this is long and the zone short, it is the height that ends the zone, not the direction.",
			Frame: "A length of time; 0 when there is no such run.", How: "Leave less enter.",
		},
	},

	TimingLateS: {
		Path: "timing.late_s", Unit: "s", Needs: Needs{Of: Ball, At: []Key{Contact}},
		Words: Words{
			Name: "A miss: later than the ball", Plain: "By how much the barrel came after the ball at the place where it was on the line.",
			Frame: "A time; positive is late, negative early.", Never: "it is told of a miss alone",
			How: "From the time at which the ball's fitted flight passes the barrel's place at contact, along the pitch line, to contact.",
		},
	},
	TimingSolidEarlyS: {
		Path: "timing.solid.early_s", Unit: "s", Needs: meeting,
		Words: Words{
			Name: "Solid contact: earlier by", Plain: "How much earlier the same swing could have been and still have hit the ball solidly.",
			Frame: "A time; positive is room to be earlier. Negative: only a swing later by that much would have been solid.", Never: neverMet,
			How: "The earliest shift with an impact offset within the limit, in the run of shifts that holds this swing or else is nearest to it.",
		},
	},
	TimingSolidLateS: {
		Path: "timing.solid.late_s", Unit: "s", Needs: meeting,
		Words: Words{
			Name: "Solid contact: later by", Plain: "How much later the same swing could have been and still have hit the ball solidly.",
			Frame: "A time; positive is room to be later. Negative: only a swing earlier by that much would have been solid.", Never: neverMet,
			How: "The latest shift of the same run.",
		},
	},
	TimingSolidWindowS: {
		Path: "timing.solid.window_s", Unit: "s", Bounds: notNegative, Needs: meeting,
		Words: Words{
			Name: "Timing window, solid", Plain: "The whole room for error in timing, for a solid hit.",
			Frame: "A length of time; 0 when no shift would have been solid.", How: "Early plus late.",
		},
	},
	TimingAnyEarlyS: {
		Path: "timing.any.early_s", Unit: "s", Needs: meeting,
		Words: Words{
			Name: "Any touch: earlier by", Plain: "How much earlier the same swing could have been and still have touched the ball.",
			Frame: "A time; positive is room to be earlier. Negative: only a swing later by that much would have touched.", Never: neverMet,
			How: "The earliest shift with a touch, in the run of shifts that holds this swing or else is nearest to it.",
		},
	},
	TimingAnyLateS: {
		Path: "timing.any.late_s", Unit: "s", Needs: meeting,
		Words: Words{
			Name: "Any touch: later by", Plain: "How much later the same swing could have been and still have touched the ball.",
			Frame: "A time; positive is room to be later. Negative: only a swing earlier by that much would have touched.", Never: neverMet,
			How: "The latest shift of the same run.",
		},
	},
	TimingAnyWindowS: {
		Path: "timing.any.window_s", Unit: "s", Bounds: notNegative, Needs: meeting,
		Words: Words{
			Name: "Timing window, any touch", Plain: "The whole room for error in timing, for any touch.",
			Frame: "A length of time; 0 when no shift would have touched.", How: "Early plus late.",
		},
	},

	SpeedBarrelContactMPS: {
		Path: "speed.barrel_contact_mps", Unit: "m/s", Bounds: notNegative, Needs: Needs{Of: Scale | Depth, At: []Key{Contact}},
		Words: Words{
			Name: "Barrel speed at contact", Plain: "How fast the barrel meets the ball.",
			Frame: inPlane + " Never negative.",
			How:   "The length of the barrel's velocity an instant before contact, the impact left out.",
		},
	},
	SpeedBarrelPeakMPS: {
		Path: "speed.barrel_peak_mps", Unit: "m/s", Bounds: notNegative, Needs: Needs{Of: Scale | Depth, At: []Key{Contact}},
		Words: Words{
			Name: "Peak barrel speed", Plain: "The fastest the barrel gets on its way to the ball. Near the speed at contact: the speed is spent where it counts.",
			Frame: inPlane + " Never negative.", How: "The greatest barrel speed in the last 0.1 s before contact.",
		},
	},
	SpeedHandsPeakMPS: {
		Path: "speed.hands_peak_mps", Unit: "m/s", Bounds: notNegative, Needs: handsWay,
		Words: Words{
			Name: "Peak hand speed", Plain: "The fastest the hands get between launch and contact.",
			Frame: inPlane + " Never negative.", How: "The greatest speed of the hands' band from launch to contact.",
		},
	},

	TempoLaunchContactS: {
		Path: "tempo.launch_contact_s", Unit: "s", Needs: Needs{At: []Key{Launch, Contact}},
		Words: Words{
			Name: "Launch to contact", Plain: "How long the swing takes to reach the ball.",
			Frame: "A length of time.", How: "Contact less launch.",
		},
	},
	TempoLaunchLagS: {
		Path: "tempo.launch_lag_s", Unit: "s", Needs: Needs{At: []Key{Launch, Lag}},
		Words: Words{
			Name: "Launch to lag", Plain: "The first part: the barrel falls behind the hands.",
			Frame: "A length of time.", How: "Lag less launch.",
		},
	},
	TempoLagContactS: {
		Path: "tempo.lag_contact_s", Unit: "s", Needs: Needs{At: []Key{Lag, Contact}},
		Words: Words{
			Name: "Lag to contact", Plain: "The second part: the barrel catches up and passes.",
			Frame: "A length of time.", How: "Contact less lag.",
		},
	},

	BodyLeadElbowLaunchDeg: {
		Path: "body.lead_elbow_launch_deg", Unit: "deg", Bounds: aJoint, WidestDeg: widestElbowDeg, Needs: Needs{At: []Key{Launch}, Joints: leadArm},
		Words: Words{
			Name: "Lead elbow at launch", Plain: "How bent the front arm is when the swing starts.",
			Frame: bent, How: "The angle at the lead elbow between upper arm and forearm at launch.",
		},
	},
	BodyLeadElbowSlotDeg: {
		Path: "body.lead_elbow_slot_deg", Unit: "deg", Bounds: aJoint, WidestDeg: widestElbowDeg, Needs: Needs{At: []Key{Slot}, Joints: leadArm},
		Words: Words{
			Name: "Lead elbow at slot", Plain: "How bent the front arm is when the hands have started forward.",
			Frame: bent, How: "The same angle at slot.",
		},
	},
	BodyLeadElbowLagDeg: {
		Path: "body.lead_elbow_lag_deg", Unit: "deg", Bounds: aJoint, WidestDeg: widestElbowDeg, Needs: Needs{At: []Key{Lag}, Joints: leadArm},
		Words: Words{
			Name: "Lead elbow at lag", Plain: "How bent the front arm is when the barrel trails the most.",
			Frame: bent, How: "The same angle at lag.",
		},
	},
	BodyLeadElbowContactDeg: {
		Path: "body.lead_elbow_contact_deg", Unit: "deg", Bounds: aJoint, WidestDeg: widestElbowDeg, Needs: Needs{At: []Key{Contact}, Joints: leadArm},
		Words: Words{
			Name: "Lead elbow at contact", Plain: "How bent the front arm is as the barrel meets the ball.",
			Frame: bent, How: "The same angle at contact.",
		},
	},
	BodyLeadElbowStraightS: {
		Path: "body.lead_elbow_straight_s", Unit: "s", Bounds: notNegative, Needs: Needs{At: []Key{Launch, Contact}, Joints: leadArm},
		Words: Words{
			Name: "Lead arm straight before contact", Plain: "How long before contact the front arm is already nearly straight; many coaches want it to straighten late.",
			Frame: "A length of time before contact.", Never: "the lead arm does not pass 160° in the picture before contact, or was hidden for a while",
			How: "From the first time the lead elbow's angle passes 160° to contact.",
		},
	},
	BodyElbowHipSlotM: {
		Path: "body.elbow_hip_slot_m", Unit: "m", Bounds: notNegative, Needs: Needs{Of: Scale, At: []Key{Slot}, Joints: []Joint{BackElbow, BackHip}},
		Words: Words{
			Name: "Back elbow to back hip at slot", Plain: "How closely the back elbow works with the hip as the hands start forward.",
			Frame: levelAcross, How: "The horizontal distance from back elbow to back hip at slot.",
		},
	},
	BodyHandsElbowSlotM: {
		Path: "body.hands_elbow_slot_m", Unit: "m", Bounds: notNegative, Needs: Needs{Of: Scale | Hands, At: []Key{Slot}, Joints: []Joint{BackElbow}},
		Words: Words{
			Name: "Hands to back elbow at slot", Plain: "How far the hands are from the back elbow when they have started forward.",
			Frame: levelAcross, How: "The horizontal distance from hands to back elbow at slot.",
		},
	},
	BodyHandsBuckleLagM: {
		Path: "body.hands_buckle_lag_m", Unit: "m", Needs: Needs{Of: Scale | Hands, At: []Key{Lag}, Joints: []Joint{BeltBuckle}},
		Words: Words{
			Name: "Hands to belt buckle at lag", Plain: "How far the hands have come forward while the barrel still trails.",
			Frame: inPicture + " Level; positive when the hands are ahead of the buckle, towards the pitcher.",
			How:   "The horizontal distance from belt buckle to hands at lag.",
		},
	},
	BodyHeadDriftM: {
		Path: "body.head_drift_m", Unit: "m", Bounds: notNegative, Needs: Needs{Of: Scale, At: []Key{Launch, Contact}, Joints: []Joint{Head}},
		Words: Words{
			Name: "Head drift", Plain: "How far the head moves during the swing; many coaches want it quiet.",
			Frame: inPicture + " A distance in the picture, never negative.", How: "How far the head moves from launch to contact.",
		},
	},
	BodyShoulderOpenDeg: {
		Path: "body.shoulder_open_deg", Unit: "deg", Needs: Needs{At: []Key{Launch, Slot}, Joints: []Joint{ShoulderEnd, BackShoulder}},
		Words: Words{
			Name: "Shoulders opening early", Plain: "How much the line of the shoulders has already turned when the hands have started forward.",
			Frame: inPicture + " Positive anticlockwise with the pitcher at the right.",
			How:   "The change in direction of the line between the shoulders from launch to slot.",
		},
	},
	BodyHandsPathM: {
		Path: "body.hands_path_m", Unit: "m", Bounds: notNegative, Needs: handsWay,
		Words: Words{
			Name: "Hands' path", Plain: "How far the hands travel to the ball. A shorter way takes less time.",
			Frame: inPicture + " A length along the path, at the scale of the pitch's plane.",
			How:   "The length of the path of the hands' band from launch to contact.",
		},
	},
	BodyHandsStraightness: {
		Path: "body.hands_straightness", Unit: "1", Bounds: aShare, Needs: handsWay,
		Words: Words{
			Name: "Hands' straightness", Plain: "How direct the hands' way to the ball is. 1 is dead straight; a swing is never quite that.",
			Frame: inPicture + " A share from 0 to 1.",
			How:   "The straight distance from launch to contact over the length of the path.",
		},
	},

	FinishHeightM: {
		Path: "finish.height_m", Unit: "m", Bounds: notNegative, Needs: Needs{Of: Scale | Depth, At: []Key{Finish}},
		Words: Words{
			Name: "Finish height", Plain: "How high above contact the swing ends.",
			Frame: inPlane + " Upwards; positive above contact.",
			How:   "The height of the finish less the height at contact.",
		},
	},
	FinishAboveShoulderM: {
		Path: "finish.above_shoulder_m", Unit: "m", Needs: Needs{Of: Scale | Depth, At: []Key{Finish}, Joints: []Joint{ShoulderEnd}},
		Words: Words{
			Name: "Finish above the shoulder", Plain: "Whether the swing ends above or below the lead shoulder.",
			Frame: inPlane + " Upwards; positive above the shoulder.",
			How:   "The height of the finish less that of the lead shoulder.",
		},
	},
	FinishExtensionM: {
		Path: "finish.extension_m", Unit: "m", Bounds: notNegative, Needs: Needs{Of: Scale | Depth, At: []Key{Contact}},
		Words: Words{
			Name: "Extension", Plain: "How far the barrel still travels towards the pitcher after contact: staying through the ball.",
			Frame: inPlane + " Level, towards the pitcher; 0 when it only comes back.", Never: lostFinish,
			How: "The barrel's farthest x after contact less its x at contact, while it is still swinging.",
		},
	},
	FinishExtensionS: {
		Path: "finish.extension_s", Unit: "s", Bounds: notNegative, Needs: Needs{Of: Scale, At: []Key{Contact}},
		Words: Words{
			Name: "Extension time", Plain: "How long that takes.",
			Frame: "Time from contact; 0 when the barrel only comes back.", Never: lostFinish,
			How: "The time at which the barrel is nearest the pitcher.",
		},
	},
}
