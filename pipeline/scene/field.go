package scene

import (
	"math"
	"slices"
)

// The families of clips as phones bring them home. Each is Outside but for what it says.
const (
	Outside   Family = "outside"   // cameras, lamps, hitters and impacts drawn wide
	Hedge     Family = "hedge"     // the band's hue, duller, in the scenery; half of them hand-held with a pan
	Clay      Family = "clay"      // an orange band before clay, with cones of its very colour
	Crowd     Family = "crowd"     // people with bands and jackets moving behind
	Drift     Family = "drift"     // exposure and white balance drift
	FPS60     Family = "fps60"     // 60 fps, 1/250 s
	Closed    Family = "closed"    // from behind the back
	Bare      Family = "bare"      // no band at the hands
	Flat      Family = "flat"      // the bat nearly level and pointing at the lens at contact
	Glare     Family = "glare"     // reflective bands that are white for some frames
	Net       Family = "net"       // filmed through a net near the lens
	Stutter   Family = "stutter"   // dropped and doubled frames
	Bump      Family = "bump"      // a jolt of the camera
	Long      Family = "long"      // 12 s at 120 fps, three swings, waggles, a rehearsal
	Messenger Family = "messenger" // 848×480, 60 fps, 700 kb/s
)

// FieldFamilies are all of them.
func FieldFamilies() []Family {
	return []Family{Outside, Hedge, Clay, Crowd, Drift, FPS60, Closed, Bare, Flat, Glare, Net, Stutter, Bump, Messenger, Long}
}

// AllFamilies are those of the cage, those of swings that meet nothing, and those of the
// field.
func AllFamilies() []Family {
	return append(append(Families(), UnmetFamilies()...), FieldFamilies()...)
}

// outside draws what a scene has in common with all others of the field, over the widths
// that coaches' clips may have and not those that the program expects.
func (p *Params) outside(r *noise) {
	p.HitterHeightM = round(r.between(1.40, 2.00), 2)
	p.BarrelSpeedMPS = r.between(18, 38)
	p.BatLengthM = []float64{0.711, 0.762, 0.813, 0.838, 0.864}[r.next()%5]
	p.BarrelDiameterM = []float64{0.057, 0.066, 0.067}[r.next()%3]
	p.BandWidthM = []float64{0.025, 0.04, 0.05, 0.07}[r.next()%4]
	p.BandFromEndM = round(r.between(0.07, 0.17), 3)
	place := r.between(0.22, 0.28)
	if r.uniform() < 0.3 {
		place = r.between(0.03, 0.04)
	}
	p.MarksApartM = round(p.BatLengthM-p.BandFromEndM-place, 3)
	p.BarrelColour = []string{"#ff2d95", orange, "#f2e51b", "#3a7bff", "#8ee000", "#ff3fd0"}[r.next()%6]
	p.HandsColour = []string{"#39d353", "#18b8e0"}[r.next()%2]
	if p.BarrelColour == "#8ee000" || p.BarrelColour == "#3a7bff" {
		p.HandsColour = "#ff2d95"
	}
	p.Bands = nil
	p.AttackDeg = Num(r.between(-8, 25))
	p.BatAheadDeg = Num(r.between(-40, 40))
	p.BatDropDeg = Num(r.between(5, 40))
	p.OffsetM = Num(r.between(-0.025, 0.025))
	p.PeakMS = Num(r.between(-20, 8))
	p.LossRatio = r.between(0.05, 0.22)
	p.ContactXM = r.between(0.05, 0.65)
	p.ContactHeightM = r.between(0.45, 1.10)
	p.Loose = 2
	p.ShutterS = []float64{1.0 / 500, 1.0 / 1000, 1.0 / 2000}[r.next()%3]
	p.Lamp = lamps[1+r.next()%4]
	p.Scenery = sceneries[r.next()%3]
	p.DistanceM = r.between(4.2, 8.5)
	p.ViewWidthM = r.between(4.0, 5.2)
	p.CameraHeightM = r.between(0.6, 1.8)
	p.StationXM = r.between(-0.4, 0.4)
	aim := 0.28*p.ViewWidthM - 0.12 // the height in the picture's middle: feet and raised bat are in it
	p.TiltDeg = round(math.Atan2(aim-r.between(0, 0.12)-p.CameraHeightM, p.DistanceM)/degree, 2)
	p.YawDeg, p.RollDeg = r.between(-4, 4), r.between(-3, 3)
}

// field draws a scene of one of the field's families; false when it is none of them.
func (p *Params) field(family Family) bool {
	which := slices.Index(FieldFamilies(), family)
	if which < 0 {
		return false
	}
	r := newStream(p.Seed, 0xf1e1d+uint64(which))
	p.outside(r)
	half := p.Seed%2 == 0
	switch family {
	case Outside:
	case Hedge:
		p.Scenery = hedgeScenery
		p.BarrelColour = []string{"#8ee000", "#a6e22e", "#7bd13a", "#d8e020"}[r.next()%4]
		p.HandsColour = []string{"#ff2d95", "#3a7bff"}[r.next()%2]
		if half {
			p.ShakePx, p.PanPx = 2, r.between(25, 90)*sign(r.uniform() < 0.5)
		}
	case Clay:
		p.Scenery = clayScenery
		p.BarrelColour = []string{"#ff5a1c", "#f26a1b", "#e8702a"}[r.next()%3]
		p.HandsColour = []string{"#39d353", "#3a7bff"}[r.next()%2]
		p.Distract = []string{"cones"}
		if half {
			p.ShakePx = 1.5
		}
	case Crowd:
		p.Distract = []string{"crowd"}
	case Drift:
		p.DriftStops, p.DriftWhite = 0.7, 0.12
	case FPS60:
		p.FPS, p.ShutterS = 60, 1.0/250
	case Closed:
		p.Side = "closed"
	case Bare:
		p.HandsColour = "none"
	case Flat:
		p.BatDropDeg, p.BatAheadDeg, p.YawDeg = Num(r.between(0, 8)), Num(r.between(-6, 6)), r.between(-2, 2)
	case Glare:
		p.BandFinish = foil
		p.Lamp = lamps[1+r.next()%3] // no glare under a grey sky
	case Net:
		p.NearNetM = r.between(0.3, 1.1)
		if half {
			p.ShakePx = 1.5
		}
	case Stutter:
		p.Stutter = true
	case Bump:
		p.BumpPx, p.BumpAtS = r.between(10, 35), r.between(-0.25, 0.1)
	case Long:
		p.WidthPx, p.HeightPx, p.FPS, p.Rounds = 960, 540, 120, len(roundsAtS)
		p.LeadInS, p.RunOutS = sessionLeadInS, roundsAtS[len(roundsAtS)-1]+sessionEndS
	case Messenger:
		p.WidthPx, p.HeightPx, p.FPS, p.ShutterS, p.BitrateKbps = 848, 480, 60, 1.0/500, 700
	}
	return true
}
