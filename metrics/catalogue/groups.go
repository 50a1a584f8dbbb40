package catalogue

// Groups are the groups of metrics in the order of metrics.json.
var Groups = []Group{
	{
		"pitch", "The pitch",
		"The line to swing along: the ball's path as it arrives, carried on straight beyond contact as if the ball had not been hit.",
	},
	{
		"plane", "Barrel against pitch at contact",
		"Direction and place of the barrel at the instant before it meets the ball: the impact itself kinks its path.",
	},
	{
		"zone", "Zone",
		"How early the barrel gets onto the line of the pitch and how long it stays. It is in the zone while it is both near the line " +
			"(within ball radius plus barrel radius) and along it (within 10°, common practice); the card's `tolerances` can set other limits. " +
			"The search covers 0.12 s before and after contact, as far as the barrel was seen.",
	},
	{
		"timing", "Timing window",
		"How early or late the very same swing could have been and still have met the ball. The swing is slid in time against the pitch, and at each " +
			"shift the first touch of barrel and ball is found, as circles seen from the side. In the figure the dashed line is the way along which the two close in on each other; " +
			"the impact offset is the barrel's distance from it. `solid` allows at most 12.7 mm (half an inch; common practice, and the card's `tolerances` can set another limit), `any` allows every touch.",
	},
	{
		"speed", "Speed",
		"Speeds of barrel and hands. The barrel is measured at its band, not at its end; the end is faster.",
	},
	{
		"tempo", "Tempo",
		"How the time from launch to contact is spent. A swing starts gently, so launch is less sharp than contact: look at the intervals.",
	},
	{
		"body", "Arms, hands and body",
		"Why the barrel does what it does. These numbers come from coloured bands and describe the picture: a joint that turns towards the camera looks " +
			"more bent or shorter than it is, so compare a hitter with the same hitter filmed from the same place. They say nothing about health or strain. " +
			"Where a joint wears no band a pose network can stand in for it; the value then says so, and its interval is wider.",
	},
	{
		"finish", "Extension and finish",
		"Where the barrel goes after the ball is gone.",
	},
}
