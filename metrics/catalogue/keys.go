package catalogue

var keys = [NumKeys]KeyRow{
	Launch: {
		Path: "launch", When: "at launch", Needs: Needs{At: []Key{Contact}},
		Words: Words{
			Name: "Launch", Plain: "The swing starts: the barrel stops waiting and goes.", Frame: fromContact,
			How:   "The last instant before contact at which the barrel was slower than a tenth of its peak speed before contact.",
			Never: "the barrel was not seen at rest before the swing",
		},
	},
	Slot: {
		Path: "slot", When: "at slot", Needs: Needs{At: []Key{Launch, Contact}, Joints: []Joint{BackElbow, BackHip}},
		Words: Words{
			Name: "Slot", Plain: "The back elbow is closest to the back hip; hands, elbow and hip work together.", Frame: fromContact,
			How:   "Between launch and contact, the instant when back elbow and back hip are horizontally closest.",
			Never: "back elbow or back hip was hidden where they may have been closest",
		},
	},
	Lag: {
		Path: "lag", When: "at lag", Needs: Needs{Of: Hands, At: []Key{Contact}},
		Words: Words{
			Name: "Lag", Plain: "The barrel trails the hands the most; from here on it catches up.", Frame: fromContact,
			How: "Between launch and contact, the instant when the barrel is farthest behind the hands along the pitch's direction.",
		},
	},
	Contact: {
		Path: "contact", When: "at contact",
		Words: Words{
			Name: "Contact", Plain: "Barrel and ball meet. All times are counted from here, so its own time is 0.",
			Frame: "The zero of time. The frame says where it lies in the clip, between frames.",
			How:   "Where the ball's path turns, together with where barrel and ball touch; off a tee, where the hit ball's path begins at the barrel; for a miss, the closest approach.",
		},
	},
	Finish: {
		Path: "finish", When: "at the finish", Needs: Needs{At: []Key{Contact}},
		Words: Words{
			Name: "Finish", Plain: "The barrel is at its highest after contact.", Frame: fromContact,
			How:   "The barrel's highest point after contact, before it slows to under a tenth of its peak speed.",
			Never: "the barrel was lost before the finish",
		},
	},
}
