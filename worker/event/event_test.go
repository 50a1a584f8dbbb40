package event_test

import (
	"encoding/json"
	"errors"
	"testing"
	"time"

	"ashline/worker/event"
	"ashline/worker/job"

	cloudevents "github.com/cloudevents/sdk-go/v2/event"
)

var at = time.Date(2026, 4, 11, 9, 30, 0, 0, time.FixedZone("", 7200))

// The reference implementation reads what this package writes.
func TestEventsAreCloudEvents(t *testing.T) {
	t.Parallel()
	for subject, data := range map[string]any{
		event.SubjectMeasured: event.Measured{Bucket: "ashline", Manifest: "m"},
		event.SubjectFailed:   event.Failed{Class: job.BadInput, Reason: "no \u2028 video"},
		event.SubjectProgress: event.Progress{JobID: "j", Stage: "track"},
	} {
		e, err := event.New(subject, "job-1", at, "s3://ashline/x/metrics.json", data)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		var ce cloudevents.Event
		if err := json.Unmarshal(raw, &ce); err != nil {
			t.Fatalf("%s: %v", subject, err)
		}
		if err := ce.Validate(); err != nil {
			t.Errorf("%s: %v", subject, err)
		}
		if ce.SpecVersion() != "1.0" || ce.Type() != "ashline."+subject+".v1" || ce.Subject() != "job-1" || ce.ID() != e.ID ||
			!ce.Time().Equal(at) || ce.DataContentType() != "application/json" || ce.Extensions()["dataref"] != "s3://ashline/x/metrics.json" {
			t.Errorf("%s: got %s", subject, ce)
		}
		if e.Route() != subject {
			t.Errorf("got route %q, want %q", e.Route(), subject)
		}
		var back map[string]any
		if _, err := event.Decode(raw, subject, &back); err != nil || len(back) == 0 {
			t.Errorf("%s: %v", subject, err)
		}
	}
}

func TestEqualNewsHasEqualID(t *testing.T) {
	t.Parallel()
	id := func(subject, jobID string, at time.Time, parts ...string) string {
		e, err := event.New(subject, jobID, at, "", nil, parts...)
		if err != nil {
			t.Fatal(err)
		}
		return e.ID
	}
	base := id(event.SubjectMeasured, "j", at, "b")
	if got := id(event.SubjectMeasured, "j", at.Add(time.Hour), "b"); got != base {
		t.Error("told later, it is other news")
	}
	for _, other := range []string{
		id(event.SubjectFailed, "j", at, "b"), id(event.SubjectMeasured, "k", at, "b"),
		id(event.SubjectMeasured, "j", at, "c"), id(event.SubjectMeasured, "jb", at), id(event.SubjectMeasured, "j", at),
	} {
		if other == base {
			t.Error("other news has the same id")
		}
	}
}

func TestMalformed(t *testing.T) {
	t.Parallel()
	for name, raw := range map[string]string{
		"not JSON":   "swing",
		"no version": `{"id":"x","source":"y","type":"ashline.swings.failed.v1","data":{}}`,
		"other type": `{"specversion":"1.0","id":"x","source":"y","type":"ashline.swings.measured.v1","data":{}}`,
		"no data":    `{"specversion":"1.0","id":"x","source":"y","type":"ashline.swings.failed.v1"}`,
	} {
		var f event.Failed
		if _, err := event.Decode([]byte(raw), event.SubjectFailed, &f); !errors.Is(err, event.ErrMalformed) {
			t.Errorf("%s: got %v, want ErrMalformed", name, err)
		}
	}
	if _, err := event.New("swings.>", "j", at, "", nil); !errors.Is(err, job.ErrBadInput) {
		t.Errorf("wildcard subject: got %v", err)
	}
}
