package contrast

/*
#cgo pkg-config: opencv4
#include <stdlib.h>
#include "native.h"
*/
import "C"

import (
	"fmt"
	"image"
	"strings"
	"unsafe"

	"gocv.io/x/gocv"
)

const (
	nativeCSRT = C.CONTRAST_CSRT
	nativeKCF  = C.CONTRAST_KCF
)

func oneThread() { C.contrast_one_thread() }

// native is a tracker of OpenCV's tracking module.
type native struct {
	p     unsafe.Pointer
	box   C.contrast_box
	begun bool
}

var _ Tracker = (*native)(nil)

func newNative(kind C.int) (*native, error) {
	n := &native{}
	err := reasoned(func(why C.contrast_why) bool {
		n.p = C.contrast_new(kind, why)
		return n.p != nil
	})
	if err != nil {
		return nil, err
	}
	return n, nil
}

// reasoned runs a call that may fail and fetches its reason.
func reasoned(call func(C.contrast_why) bool) error {
	const size = 512
	text := (*C.char)(C.calloc(1, size))
	defer C.free(unsafe.Pointer(text))
	if call(C.contrast_why{text: text, size: size}) {
		return nil
	}
	return fmt.Errorf("%w: %s", ErrNative, strings.Join(strings.Fields(C.GoString(text)), " "))
}

func (n *native) Init(picture gocv.Mat, box image.Rectangle) error {
	if n.p == nil || n.begun {
		return ErrState
	}
	err := checkStart(picture, box)
	if err != nil {
		return err
	}
	n.box = C.contrast_box{x: C.int(box.Min.X), y: C.int(box.Min.Y), width: C.int(box.Dx()), height: C.int(box.Dy())}
	n.begun = true
	return reasoned(func(why C.contrast_why) bool {
		return C.contrast_init(n.p, unsafe.Pointer(picture.Ptr()), n.box, why) == 0
	})
}

func (n *native) Update(picture gocv.Mat) (image.Rectangle, bool, error) {
	if n.p == nil || !n.begun {
		return image.Rectangle{}, false, ErrState
	}
	if err := checkPicture(picture); err != nil {
		return image.Rectangle{}, false, err
	}
	var found C.int
	box := n.box
	err := reasoned(func(why C.contrast_why) bool {
		found = C.contrast_update(n.p, unsafe.Pointer(picture.Ptr()), &box, why)
		return found >= 0
	})
	if err != nil {
		return image.Rectangle{}, false, err
	}
	n.box = box
	x, y := int(box.x), int(box.y)
	return image.Rect(x, y, x+int(box.width), y+int(box.height)), found == 1, nil
}

func (n *native) Close() error {
	if n.p != nil {
		C.contrast_free(n.p)
		n.p = nil
	}
	return nil
}
