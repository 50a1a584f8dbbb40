package event

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"ashline/worker/job"
)

// ErrMalformed means: bytes that are no event of this package. Never normal on the
// subjects of this package.
var ErrMalformed = errors.New("event: malformed")

// ContentType is the media type of a structured-mode event.
const ContentType = "application/cloudevents+json"

// The subjects of the path.
const (
	SubjectSubmitted = "clips.submitted"
	SubjectReturned  = "clips.returned" // as clips.submitted, from a worker that shuts down or finds the store away
	SubjectMeasured  = "swings.measured"
	SubjectFailed    = "swings.failed"
	SubjectProgress  = "swings.progress"
)

// Event is a CloudEvents 1.0 envelope.
type Event struct {
	SpecVersion     string          `json:"specversion"`
	ID              string          `json:"id"`
	Source          string          `json:"source"`
	Type            string          `json:"type"`
	Subject         string          `json:"subject,omitempty"` // the job's id
	Time            time.Time       `json:"time"`
	DataContentType string          `json:"datacontenttype"`
	DataRef         string          `json:"dataref,omitempty"`
	Data            json.RawMessage `json:"data"`
}

const (
	specVersion = "1.0"
	source      = "/ashline/worker"
	typePrefix  = "ashline."
	typeSuffix  = ".v1"
)

// Type returns the event type that belongs to a subject.
func Type(subject string) string { return typePrefix + subject + typeSuffix }

// New makes an event for a subject. The parts tell events of one subject and
// job apart; equal parts give an equal id.
func New(subject, jobID string, at time.Time, dataRef string, data any, parts ...string) (Event, error) {
	if err := job.CheckSubject(subject); err != nil {
		return Event{}, err
	}
	raw, err := json.Marshal(data)
	if err != nil {
		return Event{}, fmt.Errorf("event: payload of %q: %w", subject, err)
	}
	sum := sha256.Sum256([]byte(strings.Join(append([]string{subject, jobID}, parts...), "\x00")))
	return Event{
		SpecVersion: specVersion, ID: hex.EncodeToString(sum[:12]), Source: source, Type: Type(subject),
		Subject: jobID, Time: at.UTC(), DataContentType: "application/json", DataRef: dataRef, Data: raw,
	}, nil
}

// NewEnd makes the event that tells how a submission of a job ended. All such
// events of one submission have one id, whichever subject they are for: the
// queue keeps the first and drops the others.
func NewEnd(subject, jobID, origin string, at time.Time, dataRef string, data any) (Event, error) {
	e, err := New(subject, jobID, at, dataRef, data)
	if err != nil {
		return Event{}, err
	}
	sum := sha256.Sum256([]byte(strings.Join([]string{"end", jobID, origin}, "\x00")))
	e.ID = hex.EncodeToString(sum[:12])
	return e, nil
}

// Route returns the subject the event is published on.
func (e Event) Route() string {
	return strings.TrimSuffix(strings.TrimPrefix(e.Type, typePrefix), typeSuffix)
}

// Decode reads an event and, into data, its payload. The type must be that of
// the subject.
func Decode(raw []byte, subject string, data any) (Event, error) {
	var e Event
	if err := json.Unmarshal(raw, &e); err != nil {
		return Event{}, fmt.Errorf("%w: %w", ErrMalformed, err)
	}
	if e.SpecVersion != specVersion || e.ID == "" || e.Source == "" {
		return Event{}, fmt.Errorf("%w: no CloudEvents 1.0 envelope", ErrMalformed)
	}
	if e.Type != Type(subject) {
		return Event{}, fmt.Errorf("%w: type %q, want %q", ErrMalformed, e.Type, Type(subject))
	}
	if err := json.Unmarshal(e.Data, data); err != nil {
		return Event{}, fmt.Errorf("%w: data: %w", ErrMalformed, err)
	}
	return e, nil
}
