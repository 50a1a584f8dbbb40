package scene

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"

	"ashline/pipeline/outfile"
)

// retouch rewrites two tables of a finished MP4 file (ISO/IEC 14496-12): the
// duration of each frame from the times given, and the display matrix, as
// phones write it, for a clockwise turn. The file must have one track, no
// reordered frames, and, when times change, its moov box last.
func retouch(path string, ptsS []float64, rotateDeg int) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("scene: %w", err)
	}
	root := parseBoxes(data)
	moov := find(root, "moov")
	if moov == nil {
		return fmt.Errorf("%w: no moov box", ErrEncode)
	}
	if err := setTurn(moov, rotateDeg); err != nil {
		return err
	}
	if len(root) > 0 && root[len(root)-1] == moov {
		if err := setTimes(moov, ptsS); err != nil {
			return err
		}
	}
	var out []byte
	for _, b := range root {
		out = b.append(out)
	}
	if err := outfile.Write(path, out); err != nil {
		return fmt.Errorf("scene: %w", err)
	}
	return nil
}

// box is one box; a container has children instead of data.
type box struct {
	kind     string
	data     []byte
	children []*box
}

var containers = map[string]bool{"moov": true, "trak": true, "mdia": true, "minf": true, "stbl": true, "edts": true}

func parseBoxes(d []byte) []*box {
	var out []*box
	for len(d) >= 8 {
		n, head := uint64(binary.BigEndian.Uint32(d)), uint64(8)
		if n == 1 && len(d) >= 16 {
			n, head = binary.BigEndian.Uint64(d[8:]), 16
		}
		if n == 0 {
			n = uint64(len(d))
		}
		if n < head || n > uint64(len(d)) {
			break
		}
		b := &box{kind: string(d[4:8]), data: d[head:n]}
		if containers[b.kind] {
			b.children = parseBoxes(b.data)
		}
		out = append(out, b)
		d = d[n:]
	}
	return out
}

func (b *box) append(out []byte) []byte {
	body := b.data
	if b.children != nil {
		body = nil
		for _, c := range b.children {
			body = c.append(body)
		}
	}
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)+8))
	out = append(out, b.kind...)
	return append(out, body...)
}

func find(in []*box, path ...string) *box {
	for _, b := range in {
		if b.kind == path[0] {
			if len(path) == 1 {
				return b
			}
			return find(b.children, path[1:]...)
		}
	}
	return nil
}

// setTurn writes the track header's matrix.
func setTurn(moov *box, deg int) error {
	h := find(moov.children, "trak", "tkhd")
	if h == nil || len(h.data) < 84 || h.data[0] != 0 {
		return fmt.Errorf("%w: no track header", ErrEncode)
	}
	w, ht := binary.BigEndian.Uint32(h.data[76:]), binary.BigEndian.Uint32(h.data[80:])
	one, minus := uint32(0x10000), uint32(0xffff0000)
	m := [9]uint32{one, 0, 0, 0, one, 0, 0, 0, 0x40000000}
	switch deg {
	case 90:
		m = [9]uint32{0, one, 0, minus, 0, 0, ht, 0, 0x40000000}
	case 180:
		m = [9]uint32{minus, 0, 0, 0, minus, 0, w, ht, 0x40000000}
	case 270:
		m = [9]uint32{0, minus, 0, one, 0, 0, 0, w, 0x40000000}
	}
	for k, v := range m {
		binary.BigEndian.PutUint32(h.data[40+4*k:], v)
	}
	return nil
}

// setTimes writes the table of frame durations and the lengths that follow.
func setTimes(moov *box, ptsS []float64) error {
	stts := find(moov.children, "trak", "mdia", "minf", "stbl", "stts")
	mdhd := find(moov.children, "trak", "mdia", "mdhd")
	mvhd := find(moov.children, "mvhd")
	tkhd := find(moov.children, "trak", "tkhd")
	if stts == nil || mdhd == nil || mvhd == nil || tkhd == nil || mdhd.data[0] != 0 || mvhd.data[0] != 0 {
		return fmt.Errorf("%w: no table of times", ErrEncode)
	}
	ticks := binary.BigEndian.Uint32(mdhd.data[12:])
	n := len(ptsS)
	table := binary.BigEndian.AppendUint32(make([]byte, 4), uint32(n))
	last, total := uint32(0), uint32(0)
	for i := range n {
		d := last
		if i+1 < n {
			a, b := math.Round(ptsS[i]*float64(ticks)), math.Round(ptsS[i+1]*float64(ticks))
			d = uint32(b - a)
		}
		table = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(table, 1), d)
		last, total = d, total+d
	}
	stts.data = table
	binary.BigEndian.PutUint32(mdhd.data[16:], total)
	movie := uint32(uint64(total) * uint64(binary.BigEndian.Uint32(mvhd.data[12:])) / uint64(ticks))
	binary.BigEndian.PutUint32(mvhd.data[16:], movie)
	binary.BigEndian.PutUint32(tkhd.data[20:], movie)
	if elst := find(moov.children, "trak", "edts", "elst"); elst != nil && len(elst.data) >= 20 {
		binary.BigEndian.PutUint32(elst.data[8:], movie)
	}
	return nil
}
