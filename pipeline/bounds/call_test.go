package bounds

import (
	"testing"
	"time"
)

// verdict is a test that only notes whether it failed.
type verdict struct {
	testing.TB
	failed bool
}

func (*verdict) Helper()                 {}
func (v *verdict) Errorf(string, ...any) { v.failed = true }

var sink []byte

func TestCall(t *testing.T) { //nolint:paralleltest // it counts what the process allocates
	limit := Limit{Bytes: 1 << 20, CPU: time.Second}
	for name, c := range map[string]struct {
		call   func()
		failed bool
	}{
		"nothing":                  {func() {}, false},
		"half a MiB":               {func() { sink = make([]byte, 1<<19) }, false},
		"two MiB, let go at once":  {func() { sink = make([]byte, 2<<20); sink = nil }, true},
		"a wait, which is no work": {func() { <-time.After(20 * time.Millisecond) }, false},
	} {
		v := &verdict{TB: t}
		limit.Call(v, c.call)
		if v.failed != c.failed {
			t.Errorf("%s: failed %v, want %v", name, v.failed, c.failed)
		}
	}
	v := &verdict{TB: t}
	Limit{Bytes: 1 << 20, CPU: time.Microsecond}.Call(v, func() {
		x := uint32(1)
		for range 10_000_000 { // ten million dependent steps take longer than a microsecond on any machine
			x = x*1664525 + 1013904223
		}
		sink = []byte{byte(x)}
	})
	if !v.failed {
		t.Error("work beyond the limit goes unnoticed")
	}
}
