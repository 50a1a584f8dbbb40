package metrics

// SchemaVersion names the version of the metrics.json contract. A released
// version never changes; a new field makes a new minor version.
const SchemaVersion = "ashline.metrics/1.2"

// Result is the content of metrics.json: one clip, every swing in it.
type Result struct {
	Schema   string    `json:"schema"`
	Program  string    `json:"program"`
	Clip     Clip      `json:"clip"`
	Card     Card      `json:"card"`
	Quality  Quality   `json:"quality"`
	Swings   []Swing   `json:"swings"`
	Findings []Finding `json:"findings"`
}

// Clip describes the file that was measured.
type Clip struct {
	SHA256     string  `json:"sha256"`
	Width      int     `json:"width"`  // px, upright
	Height     int     `json:"height"` // px, upright
	Frames     int     `json:"frames"` // decoded
	CaptureFPS float64 `json:"capture_fps"`
	FileFPS    float64 `json:"file_fps"`
	DurationS  float64 `json:"duration_s"` // capture time
	RotateDeg  int     `json:"rotate_deg"` // turn applied to make the picture upright, clockwise
	Codec      string  `json:"codec"`
}

// Quality says how far the clip can be trusted.
type Quality struct {
	ScaleSource    string   `json:"scale_source"`       // points, plate, bat_marks, ball, or none
	MetresPerPixel float64  `json:"m_per_px"`           // in the plane of the pitch
	ScaleError     float64  `json:"scale_error"`        // relative standard error
	Frame          string   `json:"frame"`              // plane or lifted
	BarrelSeen     int      `json:"barrel_seen_frames"` // frames with the barrel's band seen
	BarrelFlow     int      `json:"barrel_flow_frames"` // bridged by optical flow
	BarrelFilled   int      `json:"barrel_filled_frames"`
	BallSeen       int      `json:"ball_seen_frames"`
	SteadiedPx     float64  `json:"steadied_px"`     // largest camera motion removed
	PathConfidence float64  `json:"path_confidence"` // share of the frames within 60 ms of contact in which the barrel was seen
	ColourMargin   float64  `json:"colour_margin"`   // share of the hue's pixels that are the band: 1 when nothing else has it
	ExposureS      float64  `json:"exposure_s"`      // estimated from streaks, 0 unknown
	ExposureSDS    float64  `json:"exposure_sd_s"`   // its standard deviation
	Notes          []string `json:"notes"`
}

// Finding is one plain sentence with its evidence.
type Finding struct {
	ID       string   `json:"id"`       // of the rule
	Key      string   `json:"key"`      // the key position to look at
	Text     string   `json:"text"`     // for coach and hitter
	Evidence []string `json:"evidence"` // metric, value, interval, frame of the key position
	Swing    int      `json:"swing"`    // index of the swing, of the first when several
	Topic    string   `json:"topic"`    // line, arm, hands, hip, shoulder, timing or finish
	Praise   bool     `json:"praise"`   // good news
	Next     bool     `json:"next"`     // a thing to work on next
}
