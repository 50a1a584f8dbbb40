package scene

import (
	"math"
	"slices"
)

// Family is a kind of random scene.
type Family string

// The families. Each is Clean but for what it says.
const (
	Clean    Family = "clean"    // 240 fps, 1/1000 s, a tripod, good light
	FPS120   Family = "fps120"   // 120 fps
	Dim250   Family = "dim250"   // 1/250 s in low light
	Jacket   Family = "jacket"   // cloth of the barrel band's hue about
	Hidden12 Family = "hidden12" // the barrel hidden for twelve frames
	Shake    Family = "shake"    // hand-held
	Yaw15    Family = "yaw15"    // the camera up to 15° off square
	Rotated  Family = "rotated"  // a file turned by its tags
	VFR      Family = "vfr"      // variable frame rate
	Left     Family = "left"     // a left-handed hitter
	Rolling  Family = "rolling"  // a rolling shutter
	Late     Family = "late"     // the swing comes after the ball
	Early    Family = "early"    // and before it
	Over     Family = "over"     // it passes over the ball
	Under    Family = "under"    // and under it
	Tipped   Family = "tip"      // it grazes the ball
	Checked  Family = "check"    // it is held up
	Taken    Family = "take"     // it never starts
)

// Families are all in which barrel and ball meet.
func Families() []Family {
	return []Family{Clean, FPS120, Dim250, Jacket, Hidden12, Shake, Yaw15, Rotated, VFR, Left, Rolling}
}

// UnmetFamilies are those in which they do not, or barely.
func UnmetFamilies() []Family {
	return []Family{Late, Early, Over, Under, Tipped, Checked, Taken}
}

// Random draws every parameter of a scene. The same seed and family give the
// same scene; an unknown family is ErrParams when the scene is built.
func Random(seed uint64, family Family) Params {
	r := newNoise(seed, 0x4a4d)
	p := Params{Seed: seed, Bats: "right", Kind: "live"}
	if r.uniform() < 0.3 {
		p.Bats = "left"
	}
	if r.uniform() < 0.4 {
		p.Kind = "machine"
	}
	youth := r.uniform() < 0.25
	if youth {
		p.HitterHeightM = round(r.between(1.45, 1.65), 2)
		p.BarrelSpeedMPS = r.between(19, 26)
		p.PitchSpeedMPS = r.between(22, 29)
		p.ReleaseDistanceM = 13
		p.ReleaseHeightM = r.between(1.35, 1.6)
		p.BatLengthM = []float64{0.762, 0.787}[r.next()%2]
		p.ContactHeightM = r.between(0.60, 0.85)
		p.SpinRPM = Num(r.between(1000, 1800))
	} else {
		p.HitterHeightM = round(r.between(1.70, 1.92), 2)
		p.BarrelSpeedMPS = r.between(25, 35)
		p.PitchSpeedMPS = r.between(29, 41)
		p.BatLengthM = []float64{0.813, 0.838, 0.838, 0.864}[r.next()%4]
		p.ContactHeightM = r.between(0.60, 1.0)
		p.SpinRPM = Num(r.between(1000, 2400))
		if r.uniform() < 0.2 { // a breaking ball
			p.PitchSpeedMPS = r.between(29, 34)
			p.SpinRPM = Num(-r.between(600, 1900))
		}
	}
	p.BatLook = looks[r.next()%3]
	p.AttackDeg = Num(r.between(-2, 18))
	p.BatAheadDeg = Num(r.between(10, 26) * sign(r.uniform() < 0.5))
	p.BatDropDeg = Num(r.between(15, 32))
	p.OffsetM = Num(r.between(-0.012, 0.012))
	p.PeakMS = Num(r.between(-14, 3))
	p.LossRatio = r.between(0.10, 0.15)
	p.ContactXM = r.between(0.22, 0.52)
	p.BandWidthM = []float64{0.04, 0.05, 0.05}[r.next()%3]
	p.BandFromEndM = round(r.between(0.085, 0.13), 3)
	// The hands' band sits above the hands, where the camera sees it, or on the
	// knob below them.
	place := r.between(0.23, 0.27)
	if r.between(0, 1) < 0.3 {
		place = r.between(0.03, 0.04)
	}
	p.MarksApartM = round(p.BatLengthM-p.BandFromEndM-place, 3)
	p.BarrelColour = []string{"#ff2d95", "#ff2d95", "#ff3fd0", orange}[r.next()%4]
	p.DistanceM = r.between(5.2, 7)
	p.ViewWidthM = r.between(4.0, 4.7)
	p.CameraHeightM = r.between(0.85, 0.28*p.ViewWidthM-0.12)
	p.YawDeg = r.between(-1.5, 1.5)
	p.RollDeg = r.between(-1.5, 1.5)
	if r.uniform() < 0.5 {
		p.Bands = []string{"all"}
	} else if r.uniform() < 0.5 {
		p.Bands = []string{"lead_elbow"}
	}
	p.Phase = r.between(0.001, 0.999)
	p.Light = []string{"bright", "bright", "indoor"}[r.next()%3]
	if r.uniform() < 0.3 {
		p.Distract = append(p.Distract, "balls")
	}
	if r.uniform() < 0.2 {
		p.Distract = append(p.Distract, "coach")
	}
	side := sign(r.uniform() < 0.5)
	switch family {
	case Clean:
	case FPS120:
		p.FPS = 120
	case Dim250:
		p.Light, p.ShutterS = "dim", 1.0/250
	case Jacket:
		p.Distract = append(p.Distract, []string{"jacket", "bystander"}[r.next()%2])
		if r.uniform() < 0.3 {
			p.Distract = append(p.Distract, "sleeve")
		}
	case Hidden12:
		p.HideFrames, p.HideAtS = 12, r.between(-0.095, -0.05)
	case Shake:
		p.ShakePx = r.between(1.5, 5)
	case Yaw15:
		// Turned to the catcher, the picture shows less of the ball's flight.
		p.YawDeg = r.between(7, 15)
		if side < 0 {
			p.YawDeg = -r.between(7, 10)
		}
		p.DistanceM = r.between(5.2, 6)
		p.ViewWidthM = 4.6 + 2*p.DistanceM*math.Abs(math.Tan(p.YawDeg*degree))*0.4
		p.CameraHeightM = r.between(0.9, 1.2)
	case Rotated:
		p.RotateDeg = []int{90, 180, 270}[r.next()%3]
		if p.RotateDeg != 180 {
			p.WidthPx, p.HeightPx = 720, 1280
			p.ViewWidthM = r.between(2.7, 3.0)
			p.CameraHeightM = r.between(0.95, 1.3)
		}
	case VFR:
		p.VariableRate = true
	case Left:
		p.Bats = "left"
	case Rolling:
		p.ReadoutMS = r.between(2, 4)
	case Late:
		p.TimingMS = r.between(10, 40)
	case Early:
		p.TimingMS = -r.between(10, 40)
	case Over:
		p.OffsetM = Num(r.between(0.08, 0.15))
	case Under:
		p.OffsetM = Num(-r.between(0.08, 0.15))
	case Tipped:
		p.OffsetM, p.Graze = Num(side*0.01), true
	case Checked:
		p.HoldMS = r.between(45, 75)
	case Taken:
		p.HoldMS = r.between(takenMS, 300)
	default:
		if !p.field(family) {
			p.family = string(family)
		}
	}
	if slices.Contains(p.Distract, "jacket") && p.BarrelColour == orange {
		p.BarrelColour = "#ff2d95"
	}
	return p
}

func round(v float64, digits int) float64 {
	k := math.Pow(10, float64(digits))
	return math.Round(v*k) / k
}
