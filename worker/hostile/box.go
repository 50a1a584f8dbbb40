package hostile

import "encoding/binary"

// box is one box of an MP4 file: where it begins and ends, header included.
type box struct {
	kind     string
	from, to int
	depth    int
}

// holders are the boxes that hold boxes right behind their header.
var holders = map[string]bool{
	"moov": true, "trak": true, "mdia": true, "minf": true, "stbl": true, "dinf": true, "edts": true, "udta": true,
}

// boxes lists the boxes of a whole file, each before those it holds.
func boxes(file []byte) []box { return walk(file, 0, len(file), 0) }

func walk(file []byte, from, to, depth int) []box {
	var out []box
	for at := from; at+8 <= to; {
		size := int(binary.BigEndian.Uint32(file[at:]))
		if size < 8 || size > to-at {
			return out // 64-bit sizes do not come in clips this small
		}
		b := box{string(file[at+4 : at+8]), at, at + size, depth}
		out = append(out, b)
		if holders[b.kind] {
			out = append(out, walk(file, at+8, b.to, depth+1)...)
		}
		at = b.to
	}
	return out
}

// all returns the boxes of one of the kinds.
func all(list []box, kinds ...string) []box {
	var out []box
	for _, b := range list {
		for _, k := range kinds {
			if b.kind == k {
				out = append(out, b)
			}
		}
	}
	return out
}
