package media

import (
	"errors"
	"io"
	"iter"
)

// Frames hands out the frames that are left, one after the other. A frame is good until
// the next one is asked for: they share their memory. An error ends the frames and
// comes without one.
func (d *Decoder) Frames() iter.Seq2[*Frame, error] {
	return func(yield func(*Frame, error) bool) {
		var f Frame
		for {
			err := d.Next(&f)
			if errors.Is(err, io.EOF) {
				return
			}
			if err != nil {
				yield(nil, err)
				return
			}
			if !yield(&f, nil) {
				return
			}
		}
	}
}
