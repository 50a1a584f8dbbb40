package lines

/*
#cgo !customenv pkg-config: opencv4
#cgo CXXFLAGS: --std=c++11
#include "native.h"
*/
import "C"

import (
	"errors"
	"unsafe"

	"ashline/metrics/geom"
)

// Segment is a straight edge from one end to the other.
type Segment = [2]geom.Point

// ErrDetector is a failure of OpenCV's detector.
var ErrDetector = errors.New("the line segment detector failed")

const most = 400 // segments: beyond, texture

// Find lists a picture's segments, the longest first.
func Find(luma []uint8, width, height int) ([]Segment, error) {
	if width < 1 || height < 1 || len(luma) < width*height {
		return nil, ErrDetector
	}
	var ends [4 * most]C.float
	n := C.lines_find((*C.uchar)(unsafe.Pointer(&luma[0])), C.int(width), C.int(height), &ends[0], most)
	if n < 0 {
		return nil, ErrDetector
	}
	out := make([]Segment, n)
	for i := range out {
		at := func(k int) float64 { return float64(ends[4*i+k]) }
		out[i] = Segment{{at(0), at(1)}, {at(2), at(3)}}
	}
	return out, nil
}
