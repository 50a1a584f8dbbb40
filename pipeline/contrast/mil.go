package contrast

import (
	"image"

	"gocv.io/x/gocv"
)

// mil is gocv's MIL tracker. gocv passes no exception on, so what could raise
// one is checked before the call.
type mil struct {
	t      gocv.Tracker
	begun  bool
	closed bool
}

var _ Tracker = (*mil)(nil)

func newMIL() *mil { return &mil{t: gocv.NewTrackerMIL()} }

func (m *mil) Init(picture gocv.Mat, box image.Rectangle) error {
	if m.closed || m.begun {
		return ErrState
	}
	if err := checkStart(picture, box); err != nil {
		return err
	}
	m.t.Init(picture, box)
	m.begun = true
	return nil
}

func (m *mil) Update(picture gocv.Mat) (image.Rectangle, bool, error) {
	if m.closed || !m.begun {
		return image.Rectangle{}, false, ErrState
	}
	if err := checkPicture(picture); err != nil {
		return image.Rectangle{}, false, err
	}
	box, found := m.t.Update(picture)
	return box, found, nil
}

func (m *mil) Close() error {
	if m.closed {
		return nil
	}
	m.closed = true
	return m.t.Close()
}
