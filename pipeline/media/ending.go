package media

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math/bits"
)

// checkEnd holds what a file says of its own extent against its size. A part
// that reaches beyond the end is that of an upload that was cut off. ends is
// false where the file does not say where it ends, as one that was written while
// it was sent; cut between two of its parts, it looks as if whole.
func checkEnd(f io.ReaderAt, size int64, demuxer string) (ends bool, err error) {
	switch demuxer {
	case "mov":
		return checkBoxes(f, size)
	case "matroska":
		return checkSegment(f, size)
	case "avi":
		return checkRIFF(f, size)
	}
	return false, nil
}

func cutOff(size int64, whole uint64) error {
	return fmt.Errorf("%w: cut off, %d of %d bytes are there", ErrBroken, size, whole)
}

// maxBoxes bounds the walk over a file's outermost parts. Fragmented files hold
// two a second or so.
const maxBoxes = 100_000

// outermost are the types that the outermost boxes of a file have: ISO/IEC 14496-12
// (table 1), ISO/IEC 23009-1 (emsg) and the QuickTime File Format (wide, pnot, PICT,
// udta, junk). Some cameras and programs append to the last box what is no box: read as
// one it has a length of any size, but hardly one of these types.
var outermost = map[string]bool{
	"ftyp": true, "styp": true, "pdin": true, "moov": true, "moof": true, "mfra": true, "mdat": true, "imda": true,
	"free": true, "skip": true, "wide": true, "junk": true, "meta": true, "meco": true, "uuid": true, "udta": true,
	"sidx": true, "ssix": true, "prft": true, "emsg": true, "pnot": true, "PICT": true,
}

// checkBoxes walks the outermost boxes of an MP4 or QuickTime file (ISO/IEC
// 14496-12, 4.2). A table says where the frames of a whole file are; fragments (8.8)
// end with an index (8.8.9) or nowhere in particular. What is no box is padding after
// the last one, and the demuxer decides.
func checkBoxes(f io.ReaderAt, size int64) (ends bool, err error) {
	var head [16]byte
	fragments, index := false, false
	for at, n := int64(0), 0; at+8 <= size && n < maxBoxes; n++ {
		got, err := f.ReadAt(head[:], at)
		if got < 8 {
			return false, fmt.Errorf("media: read clip: %w", err)
		}
		kind := string(head[4:8])
		switch kind {
		case "moof":
			fragments, index = true, false
		case "mfra":
			index = true
		}
		length, least := int64(binary.BigEndian.Uint32(head[:4])), int64(8)
		if length == 1 { // the length follows the type
			length, least = 16, 16
			if got == 16 {
				length = int64(binary.BigEndian.Uint64(head[8:]))
			}
		}
		switch {
		case length == 0: // reaches to the end of the file, or zeros do
			return !fragments || index, nil
		case length >= least && length <= size-at:
			at += length
			continue
		case !outermost[kind]:
			return !fragments || index, nil
		case length < least:
			return false, fmt.Errorf("%w: a box of %d bytes", ErrBroken, length)
		}
		return false, cutOff(size, uint64(at)+uint64(length))
	}
	return !fragments || index, nil
}

// The elements of a Matroska file that stand outermost (RFC 9559; RFC 8794 for
// how ids and sizes are written).
const (
	ebmlHead    = 0x1a45dfa3
	ebmlSegment = 0x18538067
)

// checkSegment looks for the size of the segment of a Matroska or WebM file.
func checkSegment(f io.ReaderAt, size int64) (ends bool, err error) {
	var head [12]byte
	for at, n := int64(0), 0; at < size && n < maxBoxes; n++ {
		got, _ := f.ReadAt(head[:], at)
		id, idLen, _ := vint(head[:got], false)
		length, sizeLen, known := vint(head[min(idLen, got):got], true)
		switch {
		case idLen == 0 || sizeLen == 0 || id != ebmlHead && id != ebmlSegment:
			return false, nil // what follows is the demuxer's to judge
		case !known:
			return false, nil
		}
		begin := at + int64(idLen+sizeLen)
		if length > uint64(size-begin) {
			return false, cutOff(size, uint64(begin)+length)
		}
		if id == ebmlSegment {
			return true, nil
		}
		at = begin + int64(length)
	}
	return false, nil
}

// vint reads a number of one to eight bytes, whose first says how many; known is
// false for the value that stands for an unknown size.
func vint(b []byte, strip bool) (v uint64, n int, known bool) {
	if len(b) == 0 || b[0] == 0 {
		return 0, 0, false
	}
	n = bits.LeadingZeros8(b[0]) + 1
	if n > len(b) {
		return 0, 0, false
	}
	for _, c := range b[:n] {
		v = v<<8 | uint64(c)
	}
	if strip {
		v &= 1<<(7*n) - 1
	}
	return v, n, v != 1<<(7*n)-1
}

// checkRIFF walks the outermost lists of an AVI file; large ones have several.
func checkRIFF(f io.ReaderAt, size int64) (ends bool, err error) {
	var head [8]byte
	for at, n := int64(0), 0; at+8 <= size && n < maxBoxes; n++ {
		if got, err := f.ReadAt(head[:], at); got < 8 {
			return false, fmt.Errorf("media: read clip: %w", err)
		}
		if !bytes.Equal(head[:4], []byte("RIFF")) {
			return ends, nil // padding
		}
		length := int64(binary.LittleEndian.Uint32(head[4:]))
		if length == 0 || length == 1<<32-1 { // never filled in
			return false, nil
		}
		if length == size-at { // a slip of some writers, which count these eight bytes too
			return true, nil
		}
		if length > size-at-8 {
			return false, cutOff(size, uint64(at)+8+uint64(length))
		}
		at += 8 + length + length&1
		ends = true
	}
	return ends, nil
}
