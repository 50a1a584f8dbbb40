package queue

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// shelf is a stream with one message or an error in its place.
type shelf struct {
	jetstream.Stream
	msg     *jetstream.RawStreamMsg
	err     error
	removed int
}

func (s *shelf) GetMsg(context.Context, uint64, ...jetstream.GetMsgOpt) (*jetstream.RawStreamMsg, error) {
	return s.msg, s.err
}

func (s *shelf) DeleteMsg(context.Context, uint64) error {
	s.removed++
	return nil
}

// What an advisory was about is given up or kept for later; what has another
// job's place is neither.
func TestSettle(t *testing.T) {
	t.Parallel()
	at := time.Now()
	away := errors.New("away")
	for name, c := range map[string]struct {
		stream                shelf
		fn                    error
		called, kept, removed int
	}{
		"given up":                    {stream: shelf{msg: &jetstream.RawStreamMsg{Sequence: 7, Time: at}}, called: 1, removed: 1},
		"not given up":                {stream: shelf{msg: &jetstream.RawStreamMsg{Sequence: 7, Time: at}}, fn: away, called: 1, kept: 1},
		"not to be read":              {stream: shelf{err: away}, kept: 1},
		"ended":                       {stream: shelf{err: jetstream.ErrMsgNotFound}},
		"a stream that was made anew": {stream: shelf{msg: &jetstream.RawStreamMsg{Sequence: 7, Time: at.Add(time.Second)}}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			called := 0
			w := watch{q: &Queue{cfg: Config{Log: slog.New(slog.DiscardHandler)}}, kept: map[uint64]advisory{7: {}}, fn: func(context.Context, Stuck) error {
				called++
				return c.fn
			}}
			err := w.settle(t.Context(), &c.stream, advisory{Seq: 7, Deliveries: 3, At: at})
			if called != c.called || len(w.kept) != c.kept || c.stream.removed != c.removed || (err != nil) != (c.kept > 0) {
				t.Errorf("called %d, kept %d, removed %d, %v; want %d, %d, %d", called, len(w.kept), c.stream.removed, err, c.called, c.kept, c.removed)
			}
		})
	}
}

// A rejection is logged with its class and its job, and with nothing that may name a clip.
func TestNoteEnded(t *testing.T) {
	t.Parallel()
	for reason, want := range map[string]string{
		"bad_input: 0123abcd: no video in fh-017.mp4": "deliveries=3 class=bad_input job=0123abcd",
		"bad_input: fh 017.mp4":                       "deliveries=3 class=bad_input job=unknown",
		"fh 017.mp4":                                  "deliveries=3 class=unknown job=unknown",
		"":                                            "deliveries=3 class=unknown job=unknown",
	} {
		var out strings.Builder
		q := &Queue{cfg: Config{Log: slog.New(slog.NewTextHandler(&out, nil))}}
		raw, err := json.Marshal(advisory{Seq: 7, Deliveries: 3, Reason: reason})
		if err != nil {
			t.Fatal(err)
		}
		q.noteEnded(raw)
		if got := out.String(); !strings.Contains(got, want) || strings.Contains(got, "017") {
			t.Errorf("%q: got %q, want %q", reason, got, want)
		}
	}
}
