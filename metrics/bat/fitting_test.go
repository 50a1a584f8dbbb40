package bat

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"ashline/metrics/bat/battest"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// fitted is one bat for the tests that only ask it.
var fitted = sync.OnceValues(func() (*Bat, bool) { return Fit(filmed(testEye, true)) })

// Draws scatter about the bat as much as it says that its place in the picture may be
// off, and the depth at contact as much as it was said to be known.
func TestDrawsScatterAsStated(t *testing.T) {
	t.Parallel()
	b, ok := fitted()
	if !ok {
		t.Fatal("no bat")
	}
	const draws = 300
	rng := rand.New(rand.NewPCG(7, 8))
	times := []float64{-0.08, -0.02, 0, 0.04}
	sums := make([][3]float64, len(times)) // of x, x², y² about the bat, px
	contact := b.Barrel(0, fit.Before).Y
	var depth, depth2 float64
	for range draws {
		d := b.Draw(testEye, Wrong{ContactYM: contact}, rng)
		for i, at := range times {
			p, q := b.sight.eye.Project(b.Barrel(at, fit.Before)), d.sight.eye.Project(d.Barrel(at, fit.Before))
			sums[i][0] += (q[0] - p[0]) / draws
			sums[i][1] += (q[0] - p[0]) * (q[0] - p[0]) / draws
			sums[i][2] += (q[1] - p[1]) * (q[1] - p[1]) / draws
		}
		y := d.Barrel(0, fit.Before).Y - contact
		depth, depth2 = depth+y/draws, depth2+y*y/draws
	}
	for i, at := range times {
		got, want := math.Max(sums[i][1], sums[i][2]), b.PxVar(at)
		// A variance of 300 draws is known to 8 %: three of that, and that depth bends.
		if got < 0.7*want || got > 1.4*want {
			t.Errorf("%+.0f ms: draws scatter by %.4f px², stated %.4f", 1000*at, got, want)
		}
		if math.Abs(sums[i][0]) > 4*math.Sqrt(want/draws)+0.1*math.Sqrt(want) {
			t.Errorf("%+.0f ms: draws lie %.3f px aside", 1000*at, sums[i][0])
		}
	}
	// 30 mm were said; the bands know better, not worse.
	if sd := math.Sqrt(depth2); sd > 0.03 || sd < 0.001 {
		t.Errorf("depth at contact scatters by %.1f mm", 1000*sd)
	}
	// A lever that is longer carries the barrel farther out.
	far := b.Draw(testEye, Wrong{ApartM: 0.05, ContactYM: contact}, rng)
	if far.LeverM() <= b.LeverM() || far.LeverM() > b.LeverM()+0.0501 {
		t.Errorf("lever %.3f m, was %.3f", far.LeverM(), b.LeverM())
	}
}

// Of a band whose light is a half of what the pose shows the middle is off by 0.85 − 0.5
// of its extent; of one that is whole it is not; one with half as much again is touched
// by another thing.
func TestHiddenVar(t *testing.T) {
	t.Parallel()
	b, ok := fitted()
	if !ok {
		t.Fatal("no bat")
	}
	const at = -0.02
	l := b.sight.look(b.At(at, fit.Before), b.leverM)
	for _, c := range []struct{ share, off float64 }{{1, 0}, {0.9, 0}, {0.5, 0.35}, {1.25, 0}, {1.5, 0.2}} {
		s := Sighting{TimeS: at, Shape: Shape{Mass: c.share * l.area * b.whole}}
		if got, want := b.HiddenVar(s), c.off*c.off*(l.xx+l.yy); math.Abs(got-want) > 1e-6 {
			t.Errorf("%g of the light: %.4f px², want %.4f", c.share, got, want)
		}
	}
	if got := b.HiddenVar(Sighting{TimeS: at}); got != 0 {
		t.Errorf("no light known: %g px²", got)
	}
}

// A sighting three s.d. off counts half; of the hands' band a quarter. By hand: a band
// at rest in even light, 1 px and its s.d. of √(0.64 + 0.36) = 1.
func TestWeights(t *testing.T) {
	t.Parallel()
	o := filmed(testEye, true)
	good, ok := fitted()
	if !ok {
		t.Fatal("no bat")
	}
	weight := func(off float64) (barrel, hands float64) {
		own := *good
		s := o
		const k = 40 // a sighting in the midst
		p := own.At(o.Barrel[k].TimeS, fit.Before)
		s.Barrel, s.Hands = append([]Sighting(nil), o.Barrel...), append([]Sighting(nil), o.Hands...)
		q, h := own.sight.barrel(p, own.leverM), own.sight.hands(p, own.markM+own.slipM)
		s.Barrel[k].Px = geom.Point{q[0] - s.Barrel[k].Shape.LitX + off, q[1] - s.Barrel[k].Shape.LitY}
		s.Barrel[k].VarXX, s.Barrel[k].VarYY = 0.75, 0.75 // and 0.5 px more
		s.Hands[k].Px = geom.Point{h[0] - s.Hands[k].Shape.LitX + 2.5*off, h[1] - s.Hands[k].Shape.LitY}
		s.Hands[k].VarXX, s.Hands[k].VarYY = 2.25, 2.25 // and 2 px more
		f := &fitting{seen: s, bat: &own}
		f.reweigh(3)
		for _, tm := range own.terms {
			switch x := tm.(type) {
			case barrelBand:
				if x.seen.Frame == s.Barrel[k].Frame {
					barrel = x.place * x.place
				}
			case handsBand:
				if x.seen.Frame == s.Hands[k].Frame {
					hands = x.weight * x.weight
				}
			}
		}
		return barrel, hands
	}
	for _, c := range []struct{ off, barrel, hands float64 }{{0, 1, 1}, {3, 0.5, 0.25}, {9, 0.1, 0.01}} {
		// The lamp, found anew, moves the middles by hundredths of a pixel.
		if barrel, hands := weight(c.off); math.Abs(barrel-c.barrel) > 0.01 || math.Abs(hands-c.hands) > 0.01 {
			t.Errorf("%g s.d. off: weights %.3f and %.3f, want %g and %g", c.off, barrel, hands, c.barrel, c.hands)
		}
	}
}

// A pose carried on turns evenly about its axis and moves evenly, for 30 ms at most. By
// hand: a quarter of a turn in 25 ms.
func TestCarriedOn(t *testing.T) {
	t.Parallel()
	p := Pose{Hands: geom.World{X: 1}, HandsV: geom.World{Z: 2}, Dir: geom.World{X: 1}, DirV: geom.World{Y: 20 * math.Pi}}
	for _, c := range []struct{ ahead, turned, up float64 }{{0.025, math.Pi / 2, 0.05}, {0.1, 0.6 * math.Pi, 0.06}, {-0.025, -math.Pi / 2, -0.05}} {
		q := p.carried(7, c.ahead)
		s, k := math.Sincos(c.turned)
		if math.Abs(q.Dir.X-k) > 1e-9 || math.Abs(q.Dir.Y-s) > 1e-9 || math.Abs(q.Hands.Z-c.up) > 1e-9 || q.TimeS != 7 {
			t.Errorf("%g s on: %+v", c.ahead, q)
		}
	}
	// A third of the way between two poses a quarter of a turn apart.
	out := between(startPose{TimeS: 0, Dir: geom.World{X: 1}}, startPose{TimeS: 0.03, Hands: geom.World{Z: 3}, Dir: geom.World{Y: 1}})
	if len(out) != 2 || math.Abs(out[0].TimeS-0.01) > 1e-12 || math.Abs(out[0].Hands.Z-1) > 1e-12 || math.Abs(out[0].Dir.Y-0.5) > 1e-9 {
		t.Errorf("between: %+v", out)
	}
}

// In one frame a bat may lean either way: of the stances that a film of one allows, one
// is the bat's own, and over time the evenest choice is that.
func TestStartIsTheBat(t *testing.T) {
	t.Parallel()
	o := filmed(testEye, true).within(0.08)
	o.Sight.lamp = usualLamp
	poses, ok := o.start(wholeMass(o.Barrel))
	if !ok {
		t.Fatal("no start")
	}
	for _, p := range poses {
		_, dir := battest.Swing(p.TimeS)
		// Half of a lean, 30°, in depth.
		if c := p.Dir.X*dir.X + p.Dir.Y*dir.Y + p.Dir.Z*dir.Z; c < math.Cos(math.Pi/6) {
			t.Errorf("%+.0f ms: %.0f° off the bat", 1000*p.TimeS, math.Acos(c)*180/math.Pi)
		}
	}
}

// A pose's rates are those of its place and of its direction of length 1, whatever length
// the unknowns give it: by differences of the poses.
func TestPoseRatesAreDifferences(t *testing.T) {
	t.Parallel()
	b := someBat(4)
	at := func(t float64) Pose { return b.At(t, fit.Before) }
	const tm, h, leverM = 0.013, 1e-5, 0.6
	p, q, r := at(tm-h), at(tm), at(tm+h)
	for _, c := range []struct {
		name      string
		got, want geom.World
	}{
		{"velocity", q.Vel(leverM), r3.Scale(1/(2*h), r3.Sub(r.At(leverM), p.At(leverM)))},
		{"acceleration", q.Acc(leverM), r3.Scale(1/(h*h), r3.Sub(r3.Add(p.At(leverM), r.At(leverM)), r3.Scale(2, q.At(leverM))))},
	} {
		if off := r3.Norm(r3.Sub(c.got, c.want)); off > 1e-3*(1+r3.Norm(c.want)) {
			t.Errorf("%s %.4f, by differences %.4f", c.name, c.got, c.want)
		}
	}
	if l := q.lengthOfDir; math.Abs(l-1) < 0.01 {
		t.Fatalf("a direction of length %g shows nothing", l)
	}
}

// A hands' band whose fingers cover its lower half is seen farther towards the barrel, as
// one that sits farther up without fingers is.
func TestHandsSlipTowardsTheBarrel(t *testing.T) {
	t.Parallel()
	b := someBat(5)
	band := handsBand{b.knots.At(0.013, fit.Before), Sighting{TimeS: 0.013, Px: geom.Point{600, 300}, VarXX: 0.2, VarYY: 0.3}, 1}
	for _, slipM := range []float64{-0.02, 0.03} {
		slipped, placed := *b, *b
		slipped.slipM, placed.slipM, placed.markM = slipM, 0, b.markM+slipM
		got, want := residuals(&slipped, band), residuals(&placed, band)
		for i := range want {
			if math.Abs(got[i]-want[i]) > 1e-9 {
				t.Errorf("slip %g m: row %d is %.6f, want %.6f", slipM, i, got[i], want[i])
			}
		}
		if math.Abs(band.off(&slipped)-squares(want...)) > 1e-9 {
			t.Errorf("slip %g m: %.6f, want %.6f", slipM, band.off(&slipped), squares(want...))
		}
	}
}

// At contact the barrel is nearer to the ball than the hands are: of two stances that look
// alike the other one costs 12 more, and long before contact neither does.
func TestStancesAtContact(t *testing.T) {
	t.Parallel()
	o := filmed(testEye, true)
	for _, c := range []struct{ handsY, contactY, at, odds float64 }{
		{-0.5, 0, 0, 12}, {0.5, 0, 0, -12}, {-0.5, 0, -0.05, 0},
	} {
		o := o
		o.HandsYM, o.ContactYM = c.handsY, c.contactY
		s := o.Barrel[36]
		s.TimeS, s.Shape.Mass, s.Shape.Skewed = c.at, 0, false
		o.Hands = []Sighting{{TimeS: c.at, Px: geom.Point{s.Px[0] - 40, s.Px[1] - 90}}}
		got := o.stances(s, 1)
		if len(got) != 2 || got[0].dir.Y < 0 || got[1].dir.Y > 0 {
			t.Fatalf("stances %+v", got)
		}
		if odds := got[1].cost - got[0].cost; math.Abs(odds-c.odds) > 1e-9 {
			t.Errorf("hands at %g m, %g s: away from the camera costs %g more, want %g", c.handsY, c.at, odds, c.odds)
		}
	}
}

// What a card has wrong of a bat goes into the draw as it is: sizes, and the view.
func TestDrawHasWhatIsWrong(t *testing.T) {
	t.Parallel()
	b, ok := fitted()
	if !ok {
		t.Fatal("no bat")
	}
	v := testEye
	v.FocalPx *= 1.02
	d := b.Draw(v, Wrong{RadiusShare: 0.05, ApartM: -0.01}, rand.New(rand.NewPCG(1, 1)))
	if math.Abs(d.sight.RadiusM-1.05*battest.RadiusM) > 1e-12 || math.Abs(d.leverM-battest.LeverM+0.01) > 1e-12 || d.sight.eye.FocalPx != v.FocalPx {
		t.Errorf("radius %g m, lever %g m, focal length %g px", d.sight.RadiusM, d.leverM, d.sight.eye.FocalPx)
	}
	if b.sight.RadiusM != battest.RadiusM || b.leverM != battest.LeverM {
		t.Error("the bat itself was changed")
	}
}

// A covariance stands twice in its tensor, and counts twice in squares. By hand, with an s.d.
// of 4 px²: 8 px² each are 2 s.d., and √2 times that for the covariance.
func TestLooksInSD(t *testing.T) {
	t.Parallel()
	band := barrelBand{seen: Sighting{Shape: Shape{Mass: 1}}, whole: 1, shapeSD: 4}
	got := band.looks(look{area: 1, xx: 8, xy: 8, yy: -8}, 0.5)
	for k, want := range [4]float64{0, 1, math.Sqrt2, -1} {
		if math.Abs(got[k]-want) > 1e-12 {
			t.Errorf("%d: %g s.d., want %g", k, got[k], want)
		}
	}
}

// From the hands of any stance the barrel's band is seen where it was.
func TestStancesReachTheBand(t *testing.T) {
	t.Parallel()
	o := filmed(testEye, true)
	for _, s := range o.Barrel {
		for _, c := range o.stances(s, wholeMass(o.Barrel)) {
			if p := o.Sight.eye.Project(geom.Along(c.hands, o.LeverM, c.dir)); math.Hypot(p[0]-s.Px[0], p[1]-s.Px[1]) > 1e-6 {
				t.Fatalf("frame %d: band at %.2f, seen at %.2f", s.Frame, p, s.Px)
			}
		}
	}
}
