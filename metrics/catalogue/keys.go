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
		Path: "slot", When: "at slot", Needs: Needs{Of: Hands, At: []Key{Launch, Lag, Contact}},
		Words: Words{
			Name: "Slot", Plain: "The hands have started forward; what elbow, hip and shoulders do here shows how they work together.", Frame: fromContact,
			How:   "After launch and before lag, the instant at which the hands' level speed towards the pitcher first reaches half of its peak before contact.",
			Never: "the hands do not reach half of their speed towards the pitcher between launch and lag",
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
			How:   "Where the ball's path turns, together with where barrel and ball touch; off a tee, where the hit ball's path begins at the barrel. A miss: in the fast part of the swing, while the barrel goes against the pitch at half of its peak speed or more, halfway between the first instant at which it is near the pitch line and the last, or else its closest approach to the line.",
			Never: "the swing was checked: the barrel slows to under half of its peak speed before it comes to the pitch line",
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
