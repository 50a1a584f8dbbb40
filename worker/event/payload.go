package event

import (
	"time"

	"ashline/worker/job"
)

// Measured is the payload of swings.measured: where the result is.
type Measured struct {
	Job      job.Job `json:"job"`
	Bucket   string  `json:"bucket"`
	Manifest string  `json:"manifest"` // object key of the bundle's manifest
	Metrics  string  `json:"metrics"`  // object key of metrics.json
	Bundle   string  `json:"bundle"`   // the bundle's id
	Academy  string  `json:"academy,omitempty"`
	Hitter   string  `json:"hitter,omitempty"`
	Session  string  `json:"session,omitempty"`
	Label    string  `json:"label,omitempty"`
}

// Failed is the payload of swings.failed. The job is whole, so that it can be
// submitted again.
type Failed struct {
	Job      job.Job   `json:"job"`
	Class    job.Class `json:"class"`
	Reason   string    `json:"reason"` // one line for a person
	Attempts int       `json:"attempts"`
}

// Progress is the payload of swings.progress. It is a courtesy: progress may
// be lost, and is forgotten after ProgressTTL.
type Progress struct {
	JobID string `json:"job_id"`
	Name  string `json:"name,omitempty"`
	Stage string `json:"stage"`
	Done  int    `json:"done"`
	Total int    `json:"total"` // 0: not known
}

// ProgressTTL is how long a progress event is worth keeping.
const ProgressTTL = time.Minute
