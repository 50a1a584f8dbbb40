package guide

// bodyGroup holds what is measured on the hitter rather than on the bat.
var bodyGroup = group{
	title: "Arms, hands and body",
	lead: "Why the barrel does what it does. These numbers come from coloured bands and describe the picture: a joint that turns towards the camera looks " +
		"more bent or shorter than it is, so compare a hitter with the same hitter filmed from the same place. They say nothing about health or strain. " +
		"Where a joint wears no band a pose network can stand in for it; the value then says so, and its interval is wider.",
	figures: []string{"slot.svg", "arm.svg", "hands.svg"},
	entries: []entry{
		{
			"body.lead_elbow_launch_deg", "Lead elbow at launch", "deg", "How bent the front arm is when the swing starts.",
			inPicture + " 180 is straight, smaller is more bent.", lacksArm + " Missing without launch.",
			"The angle at the lead elbow between upper arm and forearm at launch.",
		},
		{
			"body.lead_elbow_slot_deg", "Lead elbow at slot", "deg", "How bent the front arm is when the back elbow is at the hip.",
			inPicture + " 180 is straight, smaller is more bent.", lacksArm + " Missing without slot.", "The same angle at slot.",
		},
		{
			"body.lead_elbow_lag_deg", "Lead elbow at lag", "deg", "How bent the front arm is when the barrel trails the most.",
			inPicture + " 180 is straight, smaller is more bent.", lacksArm + " Missing without lag.", "The same angle at lag.",
		},
		{
			"body.lead_elbow_contact_deg", "Lead elbow at contact", "deg", "How bent the front arm is as the barrel meets the ball.",
			inPicture + " 180 is straight, smaller is more bent.", lacksArm, "The same angle at contact.",
		},
		{
			"body.lead_elbow_straight_s", "Lead arm straight before contact", "s", "How long before contact the front arm is already nearly straight; many coaches want it to straighten late.",
			"A length of time before contact.", lacksArm + " Missing when the arm does not get there before contact.",
			"From the first time the lead elbow's angle passes 160° to contact.",
		},
		{
			"body.elbow_hip_slot_m", "Back elbow to back hip at slot", "m", "How closely the back elbow works with the hip.",
			inPicture + " A level distance at the scale of the pitch's plane.", "Missing without bands on back elbow and back hip, or without a scale.",
			"The horizontal distance from back elbow to back hip at slot.",
		},
		{
			"body.hands_elbow_slot_m", "Hands to back elbow at slot", "m", "How far the hands are from the back elbow when it is in the slot.",
			inPicture + " A level distance at the scale of the pitch's plane.", "Missing without bands on hands, back elbow and back hip, or without a scale.",
			"The horizontal distance from hands to back elbow at slot.",
		},
		{
			"body.hands_buckle_lag_m", "Hands to belt buckle at lag", "m", "How far the hands have come forward while the barrel still trails.",
			inPicture + " Level; positive when the hands are ahead of the buckle, towards the pitcher.", "Missing without bands on hands and belt buckle, or without a scale.",
			"The horizontal distance from belt buckle to hands at lag.",
		},
		{
			"body.head_drift_m", "Head drift", "m", "How far the head moves during the swing; many coaches want it quiet.",
			inPicture + " A distance in the picture, never negative.", "Missing without a pose network, which sees the head at the nose.",
			"How far the head moves from launch to contact.",
		},
		{
			"body.shoulder_open_deg", "Shoulders opening early", "deg", "How much the line of the shoulders has already turned before the back elbow is in the slot.",
			inPicture + " Positive anticlockwise with the pitcher at the right.", "Missing without a pose network, or a band on the lead shoulder and a network for the back one.",
			"The change in direction of the line between the shoulders from launch to slot.",
		},
		{
			"body.hands_path_m", "Hands' path", "m", "How far the hands travel to the ball. A shorter way takes less time.",
			inPicture + " A length along the path, at the scale of the pitch's plane.", lacksHands + " Missing as well without launch or without a scale.",
			"The length of the path of the hands' band from launch to contact.",
		},
		{
			"body.hands_straightness", "Hands' straightness", "1", "How direct the hands' way to the ball is. 1 is dead straight; a swing is never quite that.",
			inPicture + " A share from 0 to 1.", lacksHands + " Missing as well without launch or without a scale.",
			"The straight distance from launch to contact over the length of the path.",
		},
	},
}
