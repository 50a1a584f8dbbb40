package hostile

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
)

// source is what is spoiled.
type source struct {
	mp4, mkv []byte
	avi      []byte
	parts    []byte // an MP4 in fragments
	wide     []byte // one with pictures far too large
	long     []byte // one with far too many frames
	canary   string // path of a whole clip outside of any job's folder
}

// kind is one way to spoil a clip.
type kind struct {
	name string
	rule rule
	make func(s *source, r *rand.Rand) []byte
}

// rule says what a spoiled clip may come to.
type rule int

const (
	maybe rule = iota // it may be measured, for what is left of it may be a clip
	never             // it must not be measured
	told              // it may be measured if the result says that some of it may be missing
)

// kinds are all ways. The first spoils nothing: it shows that what comes after
// could have been measured.
var kinds = []kind{
	{"untouched", maybe, func(s *source, _ *rand.Rand) []byte { return s.mp4 }},
	{"bits flipped", maybe, func(s *source, r *rand.Rand) []byte { return flip(s.mp4, 0, len(s.mp4), 1+r.IntN(64), r) }},
	{"bits flipped in headers", maybe, func(s *source, r *rand.Rand) []byte {
		m := all(boxes(s.mp4), "moov")[0]
		return flip(s.mp4, m.from, m.to, 1+r.IntN(8), r)
	}},
	{"cut off", never, func(s *source, r *rand.Rand) []byte { return s.mp4[:r.IntN(len(s.mp4))] }},
	{"cut off, Matroska", never, func(s *source, r *rand.Rand) []byte { return s.mkv[:r.IntN(len(s.mkv))] }},
	{"boxes swapped", maybe, swap},
	{"box doubled", maybe, double},
	{"box size huge", maybe, hugeBox},
	{"picture size huge", maybe, hugePicture},
	{"table huge", maybe, hugeTable},
	{"playlist or text", never, playlist},
	{"nearly nothing", never, func(s *source, r *rand.Rand) []byte { return s.mp4[:r.IntN(16)*r.IntN(2)] }},
	{"no video", never, noVideo},
	{"too wide", never, func(s *source, r *rand.Rand) []byte { return flip(s.wide, 0, 1, r.IntN(2), r) }},
	{"too many frames", never, func(s *source, _ *rand.Rand) []byte { return s.long }},
	{"cut off, AVI", never, func(s *source, r *rand.Rand) []byte { return s.avi[:r.IntN(len(s.avi))] }},
	{"cut off, fragments", told, cutFragments},
}

// cutFragments cuts anywhere, every other time between two fragments.
func cutFragments(s *source, r *rand.Rand) []byte {
	at := 1 + r.IntN(len(s.parts)-1)
	if edges := all(boxes(s.parts), "moof", "mfra"); r.IntN(2) == 0 {
		at = edges[r.IntN(len(edges))].from
	}
	return s.parts[:at]
}

// flip returns a copy with n bits flipped between from and to.
func flip(in []byte, from, to, n int, r *rand.Rand) []byte {
	out := bytes.Clone(in)
	for range n {
		out[from+r.IntN(to-from)] ^= 1 << r.IntN(8)
	}
	return out
}

// swap exchanges two boxes side by side or anywhere, at the same depth.
func swap(s *source, r *rand.Rand) []byte {
	list := boxes(s.mp4)
	for {
		a, b := list[r.IntN(len(list))], list[r.IntN(len(list))]
		if a.depth == b.depth && a.to <= b.from {
			f := s.mp4
			return bytes.Join([][]byte{f[:a.from], f[b.from:b.to], f[a.to:b.from], f[a.from:a.to], f[b.to:]}, nil)
		}
	}
}

// double repeats a box once or often; the sizes of those around it are kept true
// every other time.
func double(s *source, r *rand.Rand) []byte {
	list := boxes(s.mp4)
	b := list[r.IntN(len(list))]
	more := bytes.Repeat(s.mp4[b.from:b.to], 1+r.IntN(3))
	out := bytes.Join([][]byte{s.mp4[:b.to], more, s.mp4[b.to:]}, nil)
	if r.IntN(2) == 0 {
		for _, a := range list {
			if a.from < b.from && a.to >= b.to {
				binary.BigEndian.PutUint32(out[a.from:], uint32(a.to-a.from+len(more)))
			}
		}
	}
	return out
}

func hugeBox(s *source, r *rand.Rand) []byte {
	out := bytes.Clone(s.mp4)
	list := boxes(out)
	b := list[r.IntN(len(list))]
	size := []uint32{0xffffffff, 0x7fffffff, 0x80000000, uint32(len(out)) + 1, 0, 1, 7}[r.IntN(7)]
	binary.BigEndian.PutUint32(out[b.from:], size)
	if size == 1 && b.to-b.from >= 16 { // the next eight bytes are the size then
		binary.BigEndian.PutUint64(out[b.from+8:], r.Uint64())
	}
	return out
}

// hugePicture writes a size into the sample's description, the track's header, or both.
func hugePicture(s *source, r *rand.Rand) []byte {
	out := bytes.Clone(s.mp4)
	side := []uint16{0xffff, 0x7fff, 16385, 16384, 8192, 1, 0}
	w, h := side[r.IntN(len(side))], side[r.IntN(len(side))]
	which := 1 + r.IntN(3)
	for _, b := range all(boxes(out), "stsd") {
		if which&1 != 0 { // 8 header, 8 version and count, 8 header of the entry, 24 to its width
			binary.BigEndian.PutUint16(out[b.from+48:], w)
			binary.BigEndian.PutUint16(out[b.from+50:], h)
		}
	}
	for _, b := range all(boxes(out), "tkhd") {
		if which&2 != 0 { // its last eight bytes, 16.16 each
			binary.BigEndian.PutUint16(out[b.to-8:], w)
			binary.BigEndian.PutUint16(out[b.to-4:], h)
		}
	}
	return out
}

// hugeTable claims millions of entries, or frames of great length, in one of the
// tables that say where the frames are.
func hugeTable(s *source, r *rand.Rand) []byte {
	out := bytes.Clone(s.mp4)
	tables := all(boxes(out), "stts", "stsz", "stsc", "stco", "ctts", "stss", "elst", "mvhd", "mdhd")
	b := tables[r.IntN(len(tables))]
	n := []uint32{0xffffffff, 0x7fffffff, 0x10000000, 1 << 20}[r.IntN(4)]
	at := b.from + 12 + 4*r.IntN(min(4, (b.to-b.from-12)/4))
	binary.BigEndian.PutUint32(out[at:], n)
	return out
}

// playlist is text under a clip's name, which would have a demuxer open a file
// outside or an address.
func playlist(s *source, r *rand.Rand) []byte {
	to := []string{s.canary, "http://192.0.2.1/a.mp4", "tcp://127.0.0.1:9"}[r.IntN(3)]
	text := []string{
		"#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n%s\n#EXT-X-ENDLIST\n",
		"ffconcat version 1.0\nfile '%s'\n",
		"v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nm=video 5000 RTP/AVP 96\na=control:%s\n",
		"<?xml version=\"1.0\"?><MPD type=\"static\"><BaseURL>%s</BaseURL></MPD>",
		"[playlist]\nFile1=%s\nNumberOfEntries=1\n",
		"\x00\x00\x00\x10ftypisom\x00\x00\x00\x00#EXTM3U\n%s\n",
	}[r.IntN(6)]
	return fmt.Appendf(nil, text, to)
}

// noVideo is anything else, some with a clip's first bytes.
func noVideo(s *source, r *rand.Rand) []byte {
	out := make([]byte, 64+r.IntN(1<<16))
	for i := range out {
		out[i] = byte(r.Uint32())
	}
	heads := []string{
		"", "PK\x03\x04", "\x7fELF\x02\x01\x01", "%PDF-1.7\n", "\x89PNG\r\n\x1a\n", "\x1f\x8b\x08", "RIFF\x00\x00\x01\x00AVI LIST",
		"\x1a\x45\xdf\xa3", string(s.mp4[:min(len(s.mp4), 40)]), "\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42isom",
	}
	copy(out, heads[r.IntN(len(heads))])
	return out
}
