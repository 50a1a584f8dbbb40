package fault

import "errors"

var (
	// ErrNoClip means: the clip's file is not there or cannot be read.
	ErrNoClip = errors.New("no such clip")

	// ErrNoColour means: no card, or no colour for the barrel on it. Normal for a
	// folder without cards; the coach has to say what to follow.
	ErrNoColour = errors.New("no colour for the barrel")

	// ErrNoMark means: the barrel's colour is never seen moving like a bat. Normal for
	// a clip of something else, or a wrong colour.
	ErrNoMark = errors.New("barrel's mark never seen")

	// ErrHue means: the barrel's hue cannot be told from the scene.
	ErrHue = errors.New("barrel's hue is not separable from the scene")

	// ErrNoSwing means: the mark was followed but never swung.
	ErrNoSwing = errors.New("no swing in the clip")

	// ErrPose means: the pose network cannot be used. The clip is not to blame.
	ErrPose = errors.New("pose network")

	// ErrBug means: an outcome that the program should have prevented.
	ErrBug = errors.New("internal error")
)
