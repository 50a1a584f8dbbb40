package media

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// tailBytes bounds what is kept of a child's complaints; a hostile clip can
// provoke gigabytes of them.
const tailBytes = 16 << 10

// tail is a writer that keeps the last bytes written to it.
type tail struct {
	mu  sync.Mutex
	buf []byte
}

// Write keeps the end of p and never fails.
func (t *tail) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	n := len(p)
	if n > tailBytes {
		p = p[n-tailBytes:]
	}
	t.buf = append(t.buf, p...)
	if extra := len(t.buf) - tailBytes; extra > 0 {
		t.buf = append(t.buf[:0], t.buf[extra:]...)
	}
	return n, nil
}

func (t *tail) text() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(t.buf)
}

// has reports whether any of the phrases was written.
func (t *tail) has(phrases ...string) bool {
	s := t.text()
	for _, p := range phrases {
		if strings.Contains(s, p) {
			return true
		}
	}
	return false
}

// overSize is an error when a decoder has met pictures that are too large.
func (t *tail) overSize(l Limits) error {
	if !t.has("exceeds specified max pixel count") {
		return nil
	}
	return fmt.Errorf("%w: its pictures hold more than %d pixels", ErrTooLarge, l.MaxPixels)
}

// tag matches a "[h264 @ 0x55d0c0ffee00]" in front of a line; the address
// differs from run to run and tells nothing.
var tag = regexp.MustCompile(`\[([^\[\]@]+) @ 0x[0-9a-f]+\] *`)

// noise are lines that say only that something went wrong.
var noise = []string{
	"Last message repeated", "Conversion failed", "no frame!", "Error initializing output stream",
	"Error while decoding stream", "Error while processing the decoded data",
	"decode_slice_header error", "Error submitting video frame",
}

// reason returns the last line that says what went wrong, without addresses and
// without the file's path.
func (t *tail) reason(path string) string {
	lines := strings.FieldsFunc(t.text(), func(r rune) bool { return r == '\n' || r == '\r' })
	last := ""
	for i := len(lines) - 1; i >= 0; i-- {
		line := tag.ReplaceAllString(lines[i], "$1: ")
		if path != "" {
			line = strings.ReplaceAll(line, "file:"+path, "file")
		}
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		if last == "" {
			last = line
		}
		if !containsAny(line, noise) {
			return shorten(line)
		}
	}
	return shorten(last)
}

func containsAny(s string, phrases []string) bool {
	for _, p := range phrases {
		if strings.Contains(s, p) {
			return true
		}
	}
	return false
}

// shorten bounds a line that goes into an error: parts of it may come from the
// clip itself.
func shorten(s string) string {
	const most = 200
	s = strings.ToValidUTF8(s, "?")
	if len(s) > most {
		s = strings.ToValidUTF8(s[:most], "") + "…"
	}
	return s
}
