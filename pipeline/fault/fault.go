package fault

var (
	// ErrNoClip means: the clip's file is not there or cannot be read.
	ErrNoClip = New(BadInput, "no such clip")

	// ErrNoColour means: no card, or no colour for the barrel on it. Normal for a
	// folder without cards; the coach has to say what to follow.
	ErrNoColour = New(BadInput, "no colour for the barrel")

	// ErrNoMark means: the barrel's colour is never seen moving like a bat. Normal for
	// a clip of something else, or a wrong colour.
	ErrNoMark = New(BadInput, "barrel's mark never seen")

	// ErrHue means: the barrel's hue cannot be told from the scene.
	ErrHue = New(BadInput, "barrel's hue is not separable from the scene")

	// ErrNoSwing means: the mark was followed but never swung.
	ErrNoSwing = New(BadInput, "no swing in the clip")

	// ErrPose means: the pose network cannot be used. The clip is not to blame.
	ErrPose = New(Bug, "pose network")

	// ErrBug means: an outcome that the program should have prevented.
	ErrBug = New(Bug, "internal error")
)
