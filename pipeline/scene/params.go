package scene

import (
	"fmt"
	"math"
	"regexp"
	"slices"
)

// Params are the knobs of a scene. The zero value of each is its default.
type Params struct {
	// Seed of everything random in the scene.
	Seed uint64 `json:"seed"`
	// Kind of swing: live, machine, toss, tee or dry. Defaults to live.
	Kind string `json:"kind"`
	// Bats is the hitter's side: right or left. Defaults to right.
	Bats string `json:"bats"`

	// WidthPx and HeightPx are the size of the upright picture, even numbers.
	// Default to 1280 and 720.
	WidthPx  int `json:"width_px"`
	HeightPx int `json:"height_px"`
	// FPS is the capture rate, frames a second. Defaults to 240.
	FPS float64 `json:"fps"`
	// FileFPS is the rate written in the file; 30 makes a slow-motion export.
	// Defaults to FPS.
	FileFPS float64 `json:"file_fps"`
	// ShutterS is the exposure time, s. Defaults to 1/1000.
	ShutterS float64 `json:"shutter_s"`
	// ReadoutMS is the rolling shutter, top row to bottom row, ms. Defaults to 0.
	ReadoutMS float64 `json:"readout_ms"`
	// LeadInS is the time from the first frame to contact, s. Defaults to 0.60.
	LeadInS float64 `json:"lead_in_s"`
	// RunOutS is the time from contact to the last frame, s. Defaults to 0.45.
	RunOutS float64 `json:"run_out_s"`
	// Phase is where contact falls between two frames, 0 to 1. Zero draws it
	// from the seed.
	Phase float64 `json:"phase"`
	// VariableRate jitters capture times and drops a frame now and then; the
	// file's times follow. Defaults to false.
	VariableRate bool `json:"variable_rate"`
	// RotateDeg is the clockwise turn a player must apply, as phones tag it:
	// 0, 90, 180 or 270. Defaults to 0.
	RotateDeg int `json:"rotate_deg"`

	// Side the camera films from: open (the chest) or closed (the back).
	// Defaults to open.
	Side string `json:"side"`
	// DistanceM is the horizontal distance from the lens to the plane of the
	// pitch, m. Defaults to 6.
	DistanceM float64 `json:"distance_m"`
	// CameraHeightM is the height of the lens, m. Defaults to 1.05.
	CameraHeightM float64 `json:"camera_height_m"`
	// StationXM is where along the pitch the lens stands, m towards the pitcher
	// from the plate's centre. Defaults to 0.
	StationXM float64 `json:"station_x_m"`
	// YawDeg, TiltDeg and RollDeg turn the camera as the package says. Default to 0.
	YawDeg  float64 `json:"yaw_deg"`
	TiltDeg float64 `json:"tilt_deg"`
	RollDeg float64 `json:"roll_deg"`
	// ViewWidthM is how many metres of the pitch's plane the picture is wide
	// when the camera is square to it. Defaults to 4.2, in a portrait to 2.8.
	ViewWidthM float64 `json:"view_width_m"`
	// ShakePx is the standard deviation of a hand-held camera's motion, px.
	// Defaults to 0, a tripod.
	ShakePx float64 `json:"shake_px"`
	// Light is bright, indoor or dim; it sets the sensor's noise. Defaults to bright.
	Light string `json:"light"`

	// BatLengthM and BarrelDiameterM are the bat's size, m. Default to 0.838 and 0.066.
	BatLengthM      float64 `json:"bat_length_m"`
	BarrelDiameterM float64 `json:"barrel_diameter_m"`
	// BatLook is wood, dark or metal. Defaults to wood.
	BatLook string `json:"bat_look"`
	// BandFromEndM and BandWidthM place the barrel's band, m: its middle from
	// the barrel's end, and its width. Default to 0.10 and 0.05.
	BandFromEndM float64 `json:"band_from_end_m"`
	BandWidthM   float64 `json:"band_width_m"`
	// MarksApartM is the distance between the middles of the barrel's and the
	// hands' band on the bat's axis, m. Defaults to 0.55.
	MarksApartM float64 `json:"marks_apart_m"`
	// BarrelColour and HandsColour are the bands' colours, #rrggbb. HandsColour
	// "none" leaves the band off. Default to #ff2d95 and #39d353.
	BarrelColour string `json:"barrel_colour"`
	HandsColour  string `json:"hands_colour"`
	// Bands are the joints that wear a band, of lead_elbow, lead_shoulder,
	// lead_wrist, back_elbow, back_hip, belt_buckle; "all" wears every one.
	// Defaults to none.
	Bands []string `json:"bands,omitempty"`

	// HitterHeightM is the hitter's height, m. Defaults to 1.80.
	HitterHeightM float64 `json:"hitter_height_m"`
	// BarrelSpeedMPS is the in-plane speed of the barrel's mark just before
	// contact, m/s. Defaults to 30.
	BarrelSpeedMPS float64 `json:"barrel_speed_mps"`
	// AttackDeg is the attack angle just before contact. Nil draws about 9.
	AttackDeg *float64 `json:"attack_deg,omitempty"`
	// BatAheadDeg is how far the bat points ahead of straight across the plate
	// at contact, seen from above, positive towards the pitcher. Nil draws
	// 12 to 26 either way.
	BatAheadDeg *float64 `json:"bat_ahead_deg,omitempty"`
	// BatDropDeg is how far the bat points below level at contact. Nil draws about 24.
	BatDropDeg *float64 `json:"bat_drop_deg,omitempty"`
	// OffsetM is the barrel mark's distance above the pitch line at contact, m;
	// beyond the two radii the swing goes over (or under) the ball. Nil draws
	// within ±0.006.
	OffsetM *float64 `json:"offset_m,omitempty"`
	// Graze has the bat pass over the ball, or under it where OffsetM is negative, so that
	// it only just touches. OffsetM is then set. Defaults to false.
	Graze bool `json:"graze"`
	// TimingMS makes the same swing late (positive) or early (negative), ms.
	// Defaults to 0.
	TimingMS float64 `json:"timing_ms"`
	// HoldMS is how long before its designed contact the swing is held up, ms: a checked
	// swing, or from takenMS on none at all. Defaults to 0, a swing that goes through.
	HoldMS float64 `json:"hold_ms"`
	// PeakMS is when the bat turns fastest, ms from contact. Nil draws -12 to 2.
	PeakMS *float64 `json:"peak_ms,omitempty"`
	// LossRatio is the share of its speed that the barrel loses in the
	// impact. Defaults to 0.13.
	LossRatio float64 `json:"loss_ratio"`

	// PitchSpeedMPS is the ball's speed at release, m/s. Defaults to 36 live,
	// 31 machine, 9.5 toss.
	PitchSpeedMPS float64 `json:"pitch_speed_mps"`
	// DescentDeg is the descent asked for at contact; spin is solved for it.
	// Nil lets it fall out of SpinRPM.
	DescentDeg *float64 `json:"descent_deg,omitempty"`
	// SpinRPM is the pitch's spin, backspin positive. Nil draws by kind.
	SpinRPM *float64 `json:"spin_rpm,omitempty"`
	// ReleaseDistanceM and ReleaseHeightM are where the ball leaves the hand or
	// the machine, m from the plate's centre and above ground. Default by kind.
	ReleaseDistanceM float64 `json:"release_distance_m"`
	ReleaseHeightM   float64 `json:"release_height_m"`
	// ContactXM and ContactHeightM are where the ball is met, m. Default to
	// 0.40 and 0.80.
	ContactXM      float64 `json:"contact_x_m"`
	ContactHeightM float64 `json:"contact_height_m"`

	// Distract adds, of: jacket (same hue as the barrel's band, on a hook),
	// bystander (wearing it), coach (walking behind the cage), balls (lying on
	// the turf), sleeve (of a hue near the barrel's band), cones (of
	// the band's very colour), crowd (people who move about in that colour, and another
	// hitter with the same bands).
	Distract []string `json:"distract,omitempty"`
	// HideFrames is for how many frames something near the camera hides the
	// barrel. Defaults to 0.
	HideFrames int `json:"hide_frames"`
	// HideAtS is the middle of that span, s. Defaults to -0.07.
	HideAtS float64 `json:"hide_at_s"`

	// Fault plants one of Faults in the swing, and sets what that takes: AttackDeg
	// for those of the line, TimingMS for early and late. Defaults to none.
	Fault string `json:"fault,omitempty"`

	// Rounds are the swings in the clip, 1 to 3, each at a pitch of its own, with waggles, a
	// rehearsal and a rest between. Defaults to 1.
	Rounds int `json:"rounds,omitempty"`
	// Lamp is where the light comes from: above, side, behind (the hitter) or sky, an
	// overcast one. Defaults to the cage's own, above and a little to the camera's side.
	Lamp string `json:"lamp,omitempty"`
	// Scenery is hedge or clay. Defaults to the cage.
	Scenery string `json:"scenery,omitempty"`
	// BandFinish is foil for reflective tape. Defaults to cloth.
	BandFinish string `json:"band_finish,omitempty"`
	// Loose is how far hitters differ from the nominal one, as a multiple of the usual.
	// Defaults to 1.
	Loose float64 `json:"loose,omitempty"`
	// PanPx is how far a slow pan goes over the whole clip, px. Defaults to 0.
	PanPx float64 `json:"pan_px,omitempty"`
	// BumpPx is how far a bump throws the camera, px, and BumpAtS when, s. Default to 0.
	BumpPx  float64 `json:"bump_px,omitempty"`
	BumpAtS float64 `json:"bump_at_s,omitempty"`
	// DriftStops is how far the exposure drifts either way over the clip, stops, and
	// DriftWhite the white balance, as a share of red and blue. Default to 0.
	DriftStops float64 `json:"drift_stops,omitempty"`
	DriftWhite float64 `json:"drift_white,omitempty"`
	// Stutter drops frames, and shows some twice in the place of the next. Defaults to false.
	Stutter bool `json:"stutter,omitempty"`
	// NearNetM is how far before the lens a net hangs, m. Defaults to none.
	NearNetM float64 `json:"near_net_m,omitempty"`
	// BitrateKbps is what the encoder may spend, kilobits a second, instead of a constant
	// quality. Defaults to 0.
	BitrateKbps int `json:"bitrate_kbps,omitempty"`

	family string // an unknown one that Random was asked for
}

// Num gives a pointer to v, for the parameters that may be left open.
func Num(v float64) *float64 { return &v }

var (
	kinds       = []string{"live", "machine", "toss", "tee", "dry"}
	lights      = []string{"bright", "indoor", "dim"}
	looks       = []string{"wood", "dark", "metal"}
	distractors = []string{"jacket", "bystander", "coach", "balls", "sleeve", "cones", "crowd"}
	bandNames   = []string{"lead_elbow", "lead_shoulder", "lead_wrist", "back_elbow", "back_hip", "belt_buckle"}
	hexColour   = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)
)

// bandColours are the joints' bands, far apart in hue.
var bandColours = map[string]string{
	"lead_elbow": "#18b8e0", "back_elbow": "#f2d51b", "lead_shoulder": "#7a4dff",
	"lead_wrist": "#ff8a1f", "back_hip": "#2f62ff", "belt_buckle": "#e8342a",
}

// orange is the barrel's colour that is near to others.
const orange = "#ff4a1c"

// orangeBands replace those that are too near to an orange barrel's band.
var orangeBands = map[string]string{"lead_wrist": "#d63cff", "belt_buckle": "#ff4fa8"}

// bandColour is the colour of a joint's band in the scene.
func (p Params) bandColour(joint string) string {
	if c := orangeBands[joint]; c != "" && p.BarrelColour == orange {
		return c
	}
	return bandColours[joint]
}

// withDefaults fills what was left at zero and checks the rest.
func (p Params) withDefaults() (Params, error) {
	str := func(v *string, d string) {
		if *v == "" {
			*v = d
		}
	}
	num := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	draw := func(v **float64, lo, hi, u float64) {
		if *v == nil {
			*v = Num(lo + (hi-lo)*u)
		}
	}
	u := newNoise(p.Seed, 0x51)
	str(&p.Kind, "live")
	str(&p.Bats, "right")
	str(&p.Side, "open")
	str(&p.Light, "bright")
	str(&p.BatLook, "wood")
	str(&p.BarrelColour, "#ff2d95")
	str(&p.HandsColour, "#39d353")
	if p.WidthPx == 0 && p.HeightPx == 0 {
		p.WidthPx, p.HeightPx = 1280, 720
	}
	num(&p.FPS, 240)
	num(&p.FileFPS, p.FPS)
	num(&p.ShutterS, 0.001)
	num(&p.LeadInS, 0.60)
	num(&p.RunOutS, 0.45)
	num(&p.Phase, 0.02+0.96*u.uniform())
	num(&p.DistanceM, 6)
	num(&p.CameraHeightM, 1.05)
	if p.HeightPx > p.WidthPx {
		num(&p.ViewWidthM, 2.8)
	}
	num(&p.ViewWidthM, 4.2)
	num(&p.BatLengthM, 0.838)
	num(&p.BarrelDiameterM, 2*usualBarrelM)
	num(&p.BandFromEndM, 0.10)
	num(&p.BandWidthM, 0.05)
	num(&p.MarksApartM, 0.55)
	num(&p.HitterHeightM, 1.80)
	num(&p.BarrelSpeedMPS, 30)
	num(&p.LossRatio, 0.13)
	num(&p.ContactXM, 0.40)
	num(&p.ContactHeightM, 0.80)
	num(&p.HideAtS, -0.07)
	side := 1.0
	if u.uniform() < 0.5 {
		side = -1
	}
	draw(&p.AttackDeg, 6, 12, u.uniform())
	draw(&p.BatAheadDeg, side*12, side*26, u.uniform())
	draw(&p.BatDropDeg, 19, 29, u.uniform())
	draw(&p.OffsetM, -0.006, 0.006, u.uniform())
	draw(&p.PeakMS, -12, 2, u.uniform())
	switch p.Kind {
	case "toss":
		num(&p.PitchSpeedMPS, 9.5)
		num(&p.ReleaseDistanceM, 5.2)
		num(&p.ReleaseHeightM, 1.0)
		draw(&p.SpinRPM, 0, 300, u.uniform())
	case "machine":
		num(&p.PitchSpeedMPS, 31)
		num(&p.ReleaseDistanceM, 16)
		num(&p.ReleaseHeightM, 1.45)
		draw(&p.SpinRPM, 800, 1600, u.uniform())
	default:
		num(&p.PitchSpeedMPS, 36)
		num(&p.ReleaseDistanceM, 16.6)
		num(&p.ReleaseHeightM, 1.80)
		draw(&p.SpinRPM, 1400, 2300, u.uniform())
	}
	if slices.Contains(p.Bands, "all") {
		p.Bands = slices.Clone(bandNames)
	}
	return p, p.check()
}

func (p Params) check() error {
	among := func(name, v string, allowed []string) error {
		if !slices.Contains(allowed, v) {
			return refuse(name, v, "is none of %v", allowed)
		}
		return nil
	}
	within := func(name string, v, lo, hi float64) error {
		if !(v >= lo && v <= hi) {
			return refuse(name, v, "is outside %v to %v", lo, hi)
		}
		return nil
	}
	colour := func(name, v string) error {
		if !hexColour.MatchString(v) {
			return refuse(name, v, "is not #rrggbb")
		}
		return nil
	}
	var families []string
	for _, f := range AllFamilies() {
		families = append(families, string(f))
	}
	if p.family != "" {
		return among("family", p.family, families)
	}
	errs := []error{
		among("kind", p.Kind, kinds), among("bats", p.Bats, []string{"right", "left"}),
		among("side", p.Side, []string{"open", "closed"}), among("light", p.Light, lights),
		among("bat look", p.BatLook, looks), colour("barrel colour", p.BarrelColour),
		within("size", float64(p.WidthPx), 64, 4096), within("size", float64(p.HeightPx), 64, 4096),
		within("fps", p.FPS, 20, 1000), within("file fps", p.FileFPS, 10, 1000),
		within("shutter", p.ShutterS, 1e-5, 1/p.FPS), within("readout", p.ReadoutMS, 0, 1000/p.FPS),
		within("lead-in", p.LeadInS, 0.05, 3), within("run-out", p.RunOutS, 0.02, 12), within("phase", p.Phase, 0, 1),
		within("distance", p.DistanceM, 2, 30), within("camera height", p.CameraHeightM, 0.2, 4),
		within("station", p.StationXM, -6, 6), within("yaw", p.YawDeg, -45, 45), within("tilt", p.TiltDeg, -30, 30),
		within("roll", p.RollDeg, -30, 30), within("view width", p.ViewWidthM, 1, 12), within("shake", p.ShakePx, 0, 12),
		within("bat length", p.BatLengthM, 0.6, 1.07), within("barrel diameter", p.BarrelDiameterM, 0.05, 0.07),
		within("band from end", p.BandFromEndM, 0.04, 0.25), within("band width", p.BandWidthM, 0.01, 0.08),
		within("marks apart", p.MarksApartM, 0.3, p.BatLengthM-p.BandFromEndM-0.02),
		within("hitter height", p.HitterHeightM, 1.2, 2.1), within("barrel speed", p.BarrelSpeedMPS, 10, 45),
		within("attack", *p.AttackDeg, -20, 35), within("bat ahead", *p.BatAheadDeg, -50, 50),
		within("bat drop", *p.BatDropDeg, 0, 50), within("offset", *p.OffsetM, -0.3, 0.3),
		within("timing", p.TimingMS, -80, 80), within("hold", p.HoldMS, 0, 400), within("peak", *p.PeakMS, -25, 15), within("loss", p.LossRatio, 0, 0.3),
		within("pitch speed", p.PitchSpeedMPS, 4, 50), within("spin", *p.SpinRPM, -3500, 3500),
		within("release distance", p.ReleaseDistanceM, 2.5, 20), within("release height", p.ReleaseHeightM, 0.2, 2.5),
		within("contact x", p.ContactXM, -0.3, 1), within("contact height", p.ContactHeightM, 0.35, 1.4),
		within("hide", float64(p.HideFrames), 0, 60), within("hide at", p.HideAtS, -0.5, 0.4),
		among("lamp", p.Lamp, lamps), among("scenery", p.Scenery, sceneries), among("band finish", p.BandFinish, []string{"", foil}),
		within("loose", p.Loose, 0, 3), within("rounds", float64(p.Rounds), 0, float64(len(roundsAtS))), within("pan", p.PanPx, -200, 200), within("bump", p.BumpPx, 0, 60), within("bump at", p.BumpAtS, -3, 3),
		within("drift stops", p.DriftStops, 0, 1.5), within("drift white", p.DriftWhite, 0, 0.3),
		within("near net", p.NearNetM, 0, 2), within("bitrate", float64(p.BitrateKbps), 0, 1e5),
		p.checkFault(),
	}
	if p.WidthPx%2 != 0 || p.HeightPx%2 != 0 {
		errs = append(errs, refuse("size", fmt.Sprintf("%dx%d", p.WidthPx, p.HeightPx), "is not even"))
	}
	if p.RotateDeg%90 != 0 || p.RotateDeg < 0 || p.RotateDeg > 270 {
		errs = append(errs, refuse("rotate", p.RotateDeg, "is none of 0, 90, 180, 270"))
	}
	if p.HandsColour != "none" {
		errs = append(errs, colour("hands colour", p.HandsColour))
	}
	if p.DescentDeg != nil {
		errs = append(errs, within("descent", *p.DescentDeg, -5, 40))
	}
	for _, b := range p.Bands {
		errs = append(errs, among("bands", b, bandNames))
	}
	for _, d := range p.Distract {
		errs = append(errs, among("distract", d, distractors))
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// thrown reports whether there is a pitch, so a pitch line.
func (p Params) thrown() bool { return p.Kind != "tee" && p.Kind != "dry" }

// hitSide is +1 for a right-handed hitter, who stands on the third-base side.
func (p Params) hitSide() float64 {
	if p.Bats == "left" {
		return -1
	}
	return 1
}

// cameraSide is the sign of the camera's y.
func (p Params) cameraSide() float64 {
	if p.Side == "closed" {
		return p.hitSide()
	}
	return -p.hitSide()
}

// ballRadiusM and ballMassKG are a baseball's.
const (
	ballRadiusM = 0.0364
	ballMassKG  = 0.145
	// usualBarrelM is the radius of a bat at its widest when the scene says none.
	usualBarrelM = 0.033
)

// reachM is the distance of ball and barrel centres at touch.
func (p Params) reachM() float64 { return ballRadiusM + p.BarrelDiameterM/2 }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// looseness is how far hitters differ from the nominal one.
func (p Params) looseness() float64 {
	if p.Loose == 0 {
		return 1
	}
	return p.Loose
}
