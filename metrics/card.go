package metrics

import (
	"math"

	"ashline/metrics/geom"
)

// Card is what the coach knows and the picture cannot tell. The zero value of
// each field means "not given" or its default.
type Card struct {
	Academy string  `json:"academy,omitempty" yaml:"academy"`
	Hitter  string  `json:"hitter,omitempty" yaml:"hitter"`   // an id, not a name
	Session string  `json:"session,omitempty" yaml:"session"` // date, YYYY-MM-DD
	Label   string  `json:"label,omitempty" yaml:"label"`     // free text
	Kind    string  `json:"kind,omitempty" yaml:"kind"`       // live, machine, toss, tee, dry. Defaults to live.
	Bats    string  `json:"bats,omitempty" yaml:"bats"`       // right or left. Defaults to right.
	HeightM float64 `json:"height_m,omitempty" yaml:"height_m"`

	Camera     Camera     `json:"camera,omitzero" yaml:"camera"`
	Scale      []Scale    `json:"scale,omitempty" yaml:"scale"` // best first
	Marks      Marks      `json:"marks,omitzero" yaml:"marks"`
	Bat        Bat        `json:"bat,omitzero" yaml:"bat"`
	Pitch      PitchCard  `json:"pitch,omitzero" yaml:"pitch"`
	Tolerances Tolerances `json:"tolerances,omitzero" yaml:"tolerances"`
}

// Camera says where the camera stands and how it samples.
type Camera struct {
	Side       string       `json:"side,omitempty" yaml:"side"`               // open (faces the chest) or closed. Defaults to open.
	Pitcher    string       `json:"pitcher,omitempty" yaml:"pitcher"`         // side of the picture the pitch comes from. Defaults to right for a right-handed hitter seen from the open side, and mirrored with each change.
	CaptureFPS float64      `json:"capture_fps,omitempty" yaml:"capture_fps"` // only when the file hides it
	DistanceM  float64      `json:"distance_m,omitempty" yaml:"distance_m"`   // lens to the plate's centre; 0 unknown
	RollDeg    float64      `json:"roll_deg,omitempty" yaml:"roll_deg"`       // clockwise turn of the camera
	Level      []geom.Point `json:"level,omitempty" yaml:"level"`             // two points on a level line, instead of roll_deg
	YawDeg     float64      `json:"yaw_deg,omitempty" yaml:"yaw_deg"`         // off square; positive turns the lens towards the pitcher
	TiltDeg    float64      `json:"tilt_deg,omitempty" yaml:"tilt_deg"`       // off level; positive turns the lens up
	ReadoutMS  float64      `json:"readout_ms,omitempty" yaml:"readout_ms"`   // rolling shutter, top row to bottom row
	Held       string       `json:"held,omitempty" yaml:"held"`               // steady or hand
	// SD is how far the camera may stand from its angles here; zero: as a card states them.
	SD AttitudeSD `json:"-" yaml:"-"`
}

// AttitudeSD are standard deviations of a camera's angles, degrees.
type AttitudeSD struct{ RollDeg, TiltDeg, YawDeg float64 }

// Scale is one source of scale; exactly one field group is set.
type Scale struct {
	Points   []geom.Point `json:"points,omitempty" yaml:"points"` // two points in the plane of the pitch
	LengthM  float64      `json:"length_m,omitempty" yaml:"length_m"`
	Plate    []geom.Point `json:"plate,omitempty" yaml:"plate"` // front edge and rear tip of home plate seen from the side
	BatMarks bool         `json:"bat_marks,omitempty" yaml:"bat_marks"`
	Ball     bool         `json:"ball,omitempty" yaml:"ball"`
}

// Marks are the coloured bands.
type Marks struct {
	Barrel       *Mark `json:"barrel,omitempty" yaml:"barrel"`
	Hands        *Mark `json:"hands,omitempty" yaml:"hands"`
	LeadElbow    *Mark `json:"lead_elbow,omitempty" yaml:"lead_elbow"`
	LeadShoulder *Mark `json:"lead_shoulder,omitempty" yaml:"lead_shoulder"`
	LeadWrist    *Mark `json:"lead_wrist,omitempty" yaml:"lead_wrist"`
	BackElbow    *Mark `json:"back_elbow,omitempty" yaml:"back_elbow"`
	BackHip      *Mark `json:"back_hip,omitempty" yaml:"back_hip"`
	BeltBuckle   *Mark `json:"belt_buckle,omitempty" yaml:"belt_buckle"`
}

// Joint is the mark on a joint of JointNames; nil without.
func (m Marks) Joint(name string) *Mark {
	switch name {
	case leadElbow:
		return m.LeadElbow
	case leadShoulder:
		return m.LeadShoulder
	case leadWrist:
		return m.LeadWrist
	case backElbow:
		return m.BackElbow
	case backHip:
		return m.BackHip
	case beltBuckle:
		return m.BeltBuckle
	}
	return nil
}

// Mark is one band: its colour, or a pixel clicked in a frame.
type Mark struct {
	Colour   string      `json:"colour,omitempty" yaml:"colour"`         // a name or #rrggbb
	Pixel    *geom.Point `json:"pixel,omitempty" yaml:"pixel"`           // a clicked pixel, with Frame
	Frame    int         `json:"frame,omitempty" yaml:"frame"`           // the frame clicked in
	FromEndM float64     `json:"from_end_m,omitempty" yaml:"from_end_m"` // barrel only: band's middle to the barrel's end. Defaults to 0.10.
	WidthM   float64     `json:"width_m,omitempty" yaml:"width_m"`       // width of the band. Defaults to 0.05.
}

// Bat is the bat's geometry.
type Bat struct {
	LengthM         float64 `json:"length_m,omitempty" yaml:"length_m"`                   // Defaults to 0.838 (33 in).
	BarrelDiameterM float64 `json:"barrel_diameter_m,omitempty" yaml:"barrel_diameter_m"` // Defaults to 0.066.
	MarksApartM     float64 `json:"marks_apart_m,omitempty" yaml:"marks_apart_m"`         // middle of barrel's band to middle of hands' band; 0 unknown
}

// PitchCard says where the pitch line comes from.
type PitchCard struct {
	Line             string       `json:"line,omitempty" yaml:"line"`                             // tracked, drawn or flight. Defaults to tracked.
	Points           []geom.Point `json:"points,omitempty" yaml:"points"`                         // drawn: pitcher's end first
	SpeedMPS         float64      `json:"speed_mps,omitempty" yaml:"speed_mps"`                   // flight: at release
	ReleaseHeightM   float64      `json:"release_height_m,omitempty" yaml:"release_height_m"`     // flight
	ReleaseDistanceM float64      `json:"release_distance_m,omitempty" yaml:"release_distance_m"` // flight: release to plate's front
	SpinRPM          float64      `json:"spin_rpm,omitempty" yaml:"spin_rpm"`                     // flight: backspin positive, topspin negative
	PlateHeightM     float64      `json:"plate_height_m,omitempty" yaml:"plate_height_m"`         // flight: height over the plate. Defaults to 0.76.
	Ball             string       `json:"ball,omitempty" yaml:"ball"`                             // baseball, softball_11, softball_12. Defaults to baseball.
}

// Tolerances are the limits of the zone and of solid contact.
type Tolerances struct {
	DirectionDeg float64 `json:"direction_deg,omitempty" yaml:"direction_deg"` // Defaults to 10.
	DistanceM    float64 `json:"distance_m,omitempty" yaml:"distance_m"`       // Defaults to ball radius + barrel radius.
	SolidM       float64 `json:"solid_m,omitempty" yaml:"solid_m"`             // Defaults to 0.0127 (half an inch; common practice).
}

// PitcherRight reports whether the pitch comes from the picture's right.
func (c Card) PitcherRight() bool {
	switch c.Camera.Pitcher {
	case "right":
		return true
	case "left":
		return false
	}
	// A camera at the open side of a right-handed hitter has the pitcher at its
	// right; each of the two changes mirrors that.
	return (c.Bats == "left") == (c.Camera.Side == "closed")
}

// Open reports whether the camera faces the hitter's chest.
func (c Card) Open() bool { return c.Camera.Side != "closed" }

// BallRadiusM is the radius of the card's ball.
func (c Card) BallRadiusM() float64 {
	inches := baseballIn
	switch c.Pitch.Ball {
	case "softball_11":
		inches = softball11In
	case "softball_12":
		inches = softball12In
	}
	return inches * inchM / (2 * math.Pi)
}

// BarrelRadiusM is the radius of the card's bat at the barrel.
func (c Card) BarrelRadiusM() float64 {
	if c.Bat.BarrelDiameterM > 0 {
		return c.Bat.BarrelDiameterM / 2
	}
	return usualBarrelM
}

// DirectionDeg is the zone's limit on direction.
func (c Card) DirectionDeg() float64 {
	if c.Tolerances.DirectionDeg > 0 {
		return c.Tolerances.DirectionDeg
	}
	return directionDeg
}

// DistanceM is the zone's limit on distance.
func (c Card) DistanceM() float64 {
	if c.Tolerances.DistanceM > 0 {
		return c.Tolerances.DistanceM
	}
	return c.BallRadiusM() + c.BarrelRadiusM()
}

// SolidM is the largest offset of solid contact.
func (c Card) SolidM() float64 {
	if c.Tolerances.SolidM > 0 {
		return c.Tolerances.SolidM
	}
	return solidM
}

// BandWidthM is the width of the barrel's band.
func (c Card) BandWidthM() float64 {
	if w := c.Marks.Barrel; w != nil && w.WidthM > 0 {
		return w.WidthM
	}
	return bandWidthM
}

// handsYM is about how far hands are from the plane of the pitch, towards the camera.
func (c Card) handsYM() float64 {
	if c.Open() {
		return -usualHandsY
	}
	return usualHandsY
}

// leverM is the distance from the middle of the hands to the barrel's band.
func (c Card) leverM() float64 {
	length, fromEnd := c.Bat.LengthM, 0.0
	if length == 0 {
		length = usualBatM
	}
	if c.Marks.Barrel != nil {
		fromEnd = c.Marks.Barrel.FromEndM
	}
	if fromEnd == 0 {
		fromEnd = usualFromEnd
	}
	return length - fromEnd - gripM
}
