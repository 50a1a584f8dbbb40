package metrics

// SchemaVersion names the version of the metrics.json contract. A released
// version never changes; a new field makes a new minor version.
const SchemaVersion = "ashline.metrics/1.1"

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

// Swing is one swing of the clip.
type Swing struct {
	Index  int         `json:"index"`
	Keys   Keys        `json:"keys"`
	Pitch  PitchLine   `json:"pitch"`
	Plane  SwingPlane  `json:"plane"`
	Zone   Zone        `json:"zone"`
	Timing Timing      `json:"timing"`
	Speed  Speed       `json:"speed"`
	Tempo  Tempo       `json:"tempo"`
	Body   Body        `json:"body"`
	Finish FinishShape `json:"finish"`
}

// Key is one key position. Times count from contact; Frame counts decoded
// frames from 0, frame i at its mid-exposure.
type Key struct {
	TimeS      *float64 `json:"t_s"`
	Frame      *float64 `json:"frame"`
	Confidence float64  `json:"confidence"`
	Status     Status   `json:"status"`
	Why        string   `json:"why,omitempty"`
}

// Keys are the key positions of a swing.
type Keys struct {
	Launch  Key `json:"launch"`
	Slot    Key `json:"slot"`
	Lag     Key `json:"lag"`
	Contact Key `json:"contact"`
	Finish  Key `json:"finish"`
}

// PitchLine is the tangent of the ball's path at contact.
type PitchLine struct {
	Line       string `json:"line"` // tracked, drawn, flight, assumed
	DescentDeg Value  `json:"descent_deg"`
	SpeedMPS   Value  `json:"speed_mps"`
}

// SwingPlane relates the barrel to the pitch line at contact.
type SwingPlane struct {
	AttackDeg Value `json:"attack_deg"`
	GapDeg    Value `json:"gap_deg"`
	OffsetM   Value `json:"offset_m"`
}

// Run is a span of time around contact.
type Run struct {
	EnterS    Value `json:"enter_s"`
	LeaveS    Value `json:"leave_s"`
	DurationS Value `json:"duration_s"`
}

// Zone is the run in which the barrel is near the pitch line and along it.
type Zone struct {
	Run
	LengthM Value `json:"length_m"`
	BehindM Value `json:"behind_m"`
	AheadM  Value `json:"ahead_m"`
	Near    Run   `json:"near"`
	Along   Run   `json:"along"`
}

// Window is how early and how late the same swing could have been.
type Window struct {
	EarlyS  Value `json:"early_s"`
	LateS   Value `json:"late_s"`
	WindowS Value `json:"window_s"`
}

// Timing holds the windows for solid contact and for any touch.
type Timing struct {
	Solid Window `json:"solid"`
	Any   Window `json:"any"`
}

// Speed holds speeds of barrel and hands.
type Speed struct {
	BarrelContactMPS Value `json:"barrel_contact_mps"`
	BarrelPeakMPS    Value `json:"barrel_peak_mps"`
	HandsPeakMPS     Value `json:"hands_peak_mps"`
}

// Tempo holds the times between key positions.
type Tempo struct {
	LaunchContactS Value `json:"launch_contact_s"`
	LaunchLagS     Value `json:"launch_lag_s"`
	LagContactS    Value `json:"lag_contact_s"`
}

// Body holds joint angles and distances in the image plane.
type Body struct {
	LeadElbowLaunchDeg  Value `json:"lead_elbow_launch_deg"`
	LeadElbowSlotDeg    Value `json:"lead_elbow_slot_deg"`
	LeadElbowLagDeg     Value `json:"lead_elbow_lag_deg"`
	LeadElbowContactDeg Value `json:"lead_elbow_contact_deg"`
	LeadElbowStraightS  Value `json:"lead_elbow_straight_s"`
	ElbowHipSlotM       Value `json:"elbow_hip_slot_m"`
	HandsElbowSlotM     Value `json:"hands_elbow_slot_m"`
	HandsBuckleLagM     Value `json:"hands_buckle_lag_m"`
	HeadDriftM          Value `json:"head_drift_m"`
	ShoulderOpenDeg     Value `json:"shoulder_open_deg"`
	HandsPathM          Value `json:"hands_path_m"`
	HandsStraightness   Value `json:"hands_straightness"`
}

// FinishShape is where the barrel goes after contact.
type FinishShape struct {
	HeightM        Value `json:"height_m"`
	AboveShoulderM Value `json:"above_shoulder_m"`
	ExtensionM     Value `json:"extension_m"`
	ExtensionS     Value `json:"extension_s"`
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
