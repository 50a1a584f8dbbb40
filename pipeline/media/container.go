package media

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
)

// openClip opens path and looks at its first bytes and its outermost parts. It
// returns the one demuxer that may read the file, the file's size, and whether the
// file says where it ends: one that does is whole. The name is never looked at: a
// text playlist named .mp4 would make a demuxer open other files.
func openClip(path string, l Limits) (demuxer string, size int64, ends bool, err error) {
	f, err := os.Open(path)
	if err != nil {
		return "", 0, false, fmt.Errorf("media: open clip: %w", err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return "", 0, false, fmt.Errorf("media: open clip: %w", err)
	}
	size = st.Size()
	switch {
	case !st.Mode().IsRegular():
		return "", 0, false, fmt.Errorf("%w: not a regular file", ErrNotVideo)
	case size == 0:
		return "", 0, false, fmt.Errorf("%w: the file is empty", ErrNotVideo)
	case size > l.MaxBytes:
		return "", 0, false, fmt.Errorf("%w: %d bytes, at most %d are taken", ErrTooLarge, size, l.MaxBytes)
	}
	head := make([]byte, 16)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return "", 0, false, fmt.Errorf("media: read clip: %w", err)
	}
	demuxer, what := sniff(head[:n])
	if demuxer == "" {
		return "", 0, false, fmt.Errorf("%w: the file holds %s", ErrNotVideo, what)
	}
	if ends, err = checkEnd(f, size, demuxer); err != nil {
		return "", 0, false, err
	}
	return demuxer, size, ends, nil
}

// sniff names the demuxer for the first bytes of a file, or what the file is
// instead. The box names are those of ISO/IEC 14496-12 and of QuickTime files.
func sniff(head []byte) (demuxer, what string) {
	has := func(at int, s string) bool {
		return len(head) >= at+len(s) && string(head[at:at+len(s)]) == s
	}
	switch {
	case has(4, "ftyp"):
		for _, brand := range []string{"heic", "heix", "mif1", "avif", "crx "} {
			if has(8, brand) {
				return "", "a picture"
			}
		}
		return "mov", ""
	case has(4, "moov"), has(4, "mdat"), has(4, "wide"), has(4, "free"), has(4, "skip"):
		return "mov", ""
	case has(0, "\x1a\x45\xdf\xa3"):
		return "matroska", ""
	case has(0, "RIFF") && has(8, "AVI "):
		return "avi", ""
	case has(0, "\xff\xd8\xff"), has(0, "\x89PNG"), has(0, "GIF8"), has(0, "BM"), has(0, "II*\x00"), has(0, "MM\x00*"),
		has(0, "RIFF") && has(8, "WEBP"):
		return "", "a picture"
	case has(0, "%PDF"):
		return "", "a PDF document"
	case has(0, "#EXTM3U"), has(0, "ffconcat"), has(0, "[playlist]"):
		return "", "a playlist"
	case has(0, "PK\x03\x04"), has(0, "\x1f\x8b"):
		return "", "an archive"
	case has(0, "RIFF") && has(8, "WAVE"), has(0, "ID3"), has(0, "OggS"):
		return "", "sound"
	case bytes.IndexFunc(head, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' }) < 0:
		return "", "text"
	}
	return "", "no container that is read here (MP4, QuickTime, Matroska, WebM, AVI)"
}
