package demo

import (
	"bytes"
	"strings"
	"testing"

	"github.com/vbauerster/mpb/v8"
)

// The last picture of the bars says how far each clip came.
func TestBars(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	b := newBars(mpb.WithOutput(&out), mpb.WithAutoRefresh())
	for _, u := range []Update{
		{Clip: "one", Stage: "film", Done: 1, Total: 9},
		{Clip: "one", Stage: "track", Done: 4, Total: 8},
		{Clip: "two", Stage: "film", Done: 3, Total: 4},
		{Clip: "three", Stage: "upload"},
		{Clip: "one", Stage: "done"},
		{Clip: "two", Stage: "failed", Reason: "no"},
	} {
		b.Update(u)
	}
	if got := b.bars["two"].Current(); got != 3 {
		t.Errorf("two: got %d done, want 3", got)
	}
	b.Close()
	last := map[string]string{}
	for l := range strings.Lines(out.String()) {
		if f := strings.Fields(l); len(f) > 2 {
			last[strings.TrimPrefix(f[0], "\x1b[J")] = f[1] + " " + f[len(f)-2] + f[len(f)-1]
		}
	}
	if got := last["one"]; got != "done 100%" {
		t.Errorf("one: got %q, want done 100%%; of %q", got, out.String())
	}
	if got := last["two"]; !strings.HasPrefix(got, "failed ") {
		t.Errorf("two: got %q", got)
	}
}
