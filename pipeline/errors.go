package pipeline

import (
	"errors"
	"io/fs"

	"ashline/pipeline/card"
	"ashline/pipeline/fault"
	"ashline/pipeline/media"
	"ashline/pipeline/results"
)

// BadInput reports whether err is the fault of a clip, a card or results, so that
// trying again cannot help.
func BadInput(err error) bool {
	for _, e := range []error{
		fault.ErrNoClip, fault.ErrNoColour, fault.ErrNoMark, fault.ErrHue, fault.ErrNoSwing,
		card.ErrBad, media.ErrNotVideo, media.ErrTooLarge, media.ErrBroken, results.ErrBad, fs.ErrNotExist,
	} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}
