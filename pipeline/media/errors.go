package media

import "ashline/pipeline/fault"

var (
	// ErrNotVideo means: the file holds something other than a clip in one of the
	// accepted containers. Normal for careless uploads; the upload is refused.
	ErrNotVideo = fault.New(fault.BadInput, "media: not a video clip")

	// ErrTooLarge means: the clip exceeds one of the Limits. The upload is refused.
	ErrTooLarge = fault.New(fault.BadInput, "media: clip exceeds the limits")

	// ErrBroken means: the clip is cut off or damaged. The upload is refused; frames
	// that were already handed out are right.
	ErrBroken = fault.New(fault.BadInput, "media: clip is broken")

	// ErrDiskFull means: the output's file system ran out of room. Trying again later
	// may help.
	ErrDiskFull = fault.New(fault.Transient, "media: no space left for the output")

	// ErrChild means: a child could not be started, or something outside the clip
	// ended it. Trying again may help.
	ErrChild = fault.New(fault.Transient, "media: child process failed")

	// ErrFrameSize means: a frame handed to the encoder has another size than the
	// encoder was made for. A mistake of the caller.
	ErrFrameSize = fault.New(fault.Bug, "media: frame has the wrong size")
)
