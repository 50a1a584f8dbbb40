package contrast

import (
	"fmt"
	"image"

	"gocv.io/x/gocv"
)

// Tracker follows one box from picture to picture. It is not safe for
// concurrent use.
type Tracker interface {
	// Init starts on the box in a picture of three 8-bit channels, blue first.
	// It may be called once.
	Init(picture gocv.Mat, box image.Rectangle) error
	// Update finds the box in the next picture. false says that the tracker
	// itself takes the object for lost in this picture.
	Update(picture gocv.Mat) (box image.Rectangle, found bool, err error)
	// Close frees the tracker. It may be called more than once.
	Close() error
}

// Kind names a tracker.
type Kind string

// The trackers, each with OpenCV's default settings.
const (
	// MIL is multiple instance learning: Babenko, Yang & Belongie, "Visual
	// tracking with online multiple instance learning", CVPR 2009.
	MIL Kind = "MIL"
	// CSRT is a discriminative correlation filter with channel and spatial
	// reliability: Lukežič, Vojíř, Čehovin Zajc, Matas & Kristan, IJCV 126 (2018).
	CSRT Kind = "CSRT"
	// KCF is a kernelised correlation filter: Henriques, Caseiro, Martins &
	// Batista, TPAMI 37 (2015).
	KCF Kind = "KCF"
)

// Kinds are all trackers.
func Kinds() []Kind { return []Kind{MIL, CSRT, KCF} }

// New makes a tracker, and limits OpenCV to one thread in this process, as the
// measuring runs.
func New(kind Kind) (Tracker, error) {
	oneThread()
	switch kind {
	case MIL:
		return newMIL(), nil
	case CSRT:
		return newNative(nativeCSRT)
	case KCF:
		return newNative(nativeKCF)
	}
	return nil, fmt.Errorf("%w: %q", ErrKind, kind)
}

// Centre is a box's middle, px with pixel centres at whole numbers.
func Centre(box image.Rectangle) (xPx, yPx float64) {
	return float64(box.Min.X+box.Max.X-1) / 2, float64(box.Min.Y+box.Max.Y-1) / 2
}

// checkPicture keeps what OpenCV would answer with an exception away from it.
func checkPicture(m gocv.Mat) error {
	if m.Empty() || m.Type() != gocv.MatTypeCV8UC3 {
		return ErrPicture
	}
	return nil
}

func checkStart(m gocv.Mat, box image.Rectangle) error {
	if err := checkPicture(m); err != nil {
		return err
	}
	if box.Empty() || !box.In(image.Rect(0, 0, m.Cols(), m.Rows())) {
		return fmt.Errorf("%w: %v in %d × %d", ErrBox, box, m.Cols(), m.Rows())
	}
	return nil
}
