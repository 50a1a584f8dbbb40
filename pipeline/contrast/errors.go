package contrast

import "errors"

var (
	// ErrNative is an exception inside OpenCV. The tracker is of no further use.
	ErrNative = errors.New("contrast: OpenCV failed")
	// ErrBox is returned for a box that is empty or not wholly in the picture.
	ErrBox = errors.New("contrast: box outside the picture")
	// ErrPicture is returned for anything but a picture of three 8-bit channels.
	ErrPicture = errors.New("contrast: not a colour picture")
	// ErrState is returned for a call before Init, after a second Init or after Close.
	ErrState = errors.New("contrast: tracker not ready")
	// ErrKind names a tracker that is not there.
	ErrKind = errors.New("contrast: unknown tracker")
)
