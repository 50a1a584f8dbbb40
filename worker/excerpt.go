package worker

import (
	"io"
	"strings"
)

// excerptBytes is how much is kept of what a child says to people.
const excerptBytes = 4 << 10

// excerpt keeps the beginning of what a child says: a crash is named by its first
// line, above pages of traces.
type excerpt struct {
	head []byte
	also io.Writer
}

func (e *excerpt) Write(p []byte) (int, error) {
	if e.also != nil {
		_, _ = e.also.Write(p)
	}
	e.head = append(e.head, p[:min(len(p), excerptBytes-len(e.head))]...)
	return len(p), nil
}

// line is the first line.
func (e *excerpt) line() string {
	first, _, _ := strings.Cut(strings.TrimSpace(strings.ToValidUTF8(string(e.head), "?")), "\n")
	return first
}
