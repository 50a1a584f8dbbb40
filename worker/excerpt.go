package worker

import (
	"io"
	"strings"
)

// excerptBytes is how much is kept of each end.
const excerptBytes = 4 << 10

// excerpt keeps the beginning and the end of what a child says: the reason of
// a refusal is its last line, that of a crash stands above pages of traces.
type excerpt struct {
	head, tail []byte
	also       io.Writer
}

func (e *excerpt) Write(p []byte) (int, error) {
	if e.also != nil {
		_, _ = e.also.Write(p)
	}
	n := min(len(p), excerptBytes-len(e.head))
	e.head = append(e.head, p[:n]...)
	e.tail = append(e.tail, p[n:]...)
	if over := len(e.tail) - excerptBytes; over > 0 {
		e.tail = append(e.tail[:0], e.tail[over:]...)
	}
	return len(p), nil
}

// line is the one line that says why: that of a crash, or else the last.
func (e *excerpt) line() string {
	last := ""
	for l := range strings.Lines(strings.ToValidUTF8(string(e.head)+string(e.tail), "?")) {
		l = strings.TrimSpace(l)
		for _, crash := range []string{"SIG", "fatal error: ", "panic: "} {
			if strings.HasPrefix(l, crash) {
				return l
			}
		}
		if l != "" {
			last = l
		}
	}
	for _, p := range []string{"ashline: ", "Error: "} {
		last = strings.TrimPrefix(last, p)
	}
	return last
}
