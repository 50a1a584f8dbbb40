package change

import "ashline/metrics"

// SchemaVersion names the version of an Outcome as JSON. As with metrics.json, a
// released version never changes.
const SchemaVersion = "ashline.change/1.0"

// Verdict says how far a difference can be trusted, never whether it is welcome.
type Verdict string

// The three verdicts.
const (
	Real       Verdict = "real"        // the 95 % interval excludes zero
	NotTold    Verdict = "not_told"    // not told from noise
	SwingsOnly Verdict = "swings_only" // one swing each: the two swings differ; of the habit nothing is known
)

// Outcome is the comparison of two groups of results.
type Outcome struct {
	Schema     string    `json:"schema"`
	Program    string    `json:"program"`
	Before     Group     `json:"before"`
	After      Group     `json:"after"`
	MixedKinds bool      `json:"mixed_kinds"` // swings of unlike kinds were compared
	Notes      []string  `json:"notes"`       // what else the groups do not have in common
	Changes    []Change  `json:"changes"`     // in the order of metrics.json
	LeftOut    []LeftOut `json:"left_out"`
}

// Group is one side: what was compared.
type Group struct {
	Swings int    `json:"swings"`
	Clips  []Clip `json:"clips"`
}

// Clip is one clip of a side. What the card leaves out stands with its default.
type Clip struct {
	SHA256  string `json:"sha256"`
	Hitter  string `json:"hitter"`
	Session string `json:"session"`
	Label   string `json:"label"`
	Kind    string `json:"kind"`
	Bats    string `json:"bats"`
	Swings  int    `json:"swings"`
}

// Change is the difference of one metric, after less before.
type Change struct {
	Metric string `json:"metric"`
	Unit   string `json:"unit"`
	Before Mean   `json:"before"`
	After  Mean   `json:"after"`
	// Change is assumed when a reading of either side is.
	Change     metrics.Value `json:"change"`
	Detectable float64       `json:"detectable"` // least difference that would have been told from none
	Verdict    Verdict       `json:"verdict"`
}

// Mean is a metric's mean over the swings of a side that have it.
type Mean struct {
	Value   float64        `json:"value"`
	SD      *float64       `json:"sd"`             // from swing to swing; null for one swing
	Swings  int            `json:"swings"`         // with the metric
	Missing int            `json:"missing_swings"` // without it
	Status  metrics.Status `json:"status"`
	Why     string         `json:"why,omitempty"` // what its swings say of it
}

// LeftOut is a metric that could not be compared.
type LeftOut struct {
	Metric string `json:"metric"`
	Side   string `json:"side"` // where it is missing: before, after or both
	Why    string `json:"why"`
}
