package metrics

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"ashline/metrics/bat/battest"
	"ashline/metrics/contact"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// batted is the swing of battest, filmed and fitted with a bat, for tests that only ask
// it.
type batted struct {
	p     paths
	m     motion
	whole wholePath
}

var batSwing = sync.OnceValue(func() (b batted) {
	tr, card := filmedSwing{fps: 240, zoom: 1}.film()
	p, ok := pathsOf(sightedIn(settingOf(tr, card), tr, 0))
	if !ok {
		return b
	}
	m, _ := motionOf(p, nuisance{}, 0, nil)
	whole, _ := wholeOf(p, m)
	return batted{p, m, whole}
})

// fitted gives that swing and the true motion of its bat's axis leverM from the hands, on
// the clip's clock, in the plane of the pitch: place and velocity by differences.
func fitted(t *testing.T) (b batted, truth func(at, leverM float64) (w, v geom.World)) {
	t.Helper()
	b = batSwing()
	if b.m.bat == nil || b.whole.barrel == nil {
		t.Fatal("no bat")
	}
	h0, d0 := battest.Swing(0)
	depth := geom.Along(h0, battest.LeverM, d0).Y
	at := func(t, leverM float64) geom.World {
		h, d := battest.Swing(t - 0.15)
		h.Y -= depth
		return geom.Along(h, leverM, d)
	}
	return b, func(t, leverM float64) (w, v geom.World) {
		const h = 1e-6
		p, q := at(t-h, leverM), at(t+h, leverM)
		return at(t, leverM), geom.World{X: (q.X - p.X) / (2 * h), Y: (q.Y - p.Y) / (2 * h), Z: (q.Z - p.Z) / (2 * h)}
	}
}

// The course of a bat is that of the swing that was filmed, hands and barrel.
func TestCourseOfABat(t *testing.T) {
	t.Parallel()
	b, truth := fitted(t)
	c := courseOf(b.p, b.m, b.whole, nil)
	if c.threshold != 0.10 || c.stretch != 1 || !c.scaled {
		t.Errorf("threshold %g, stretch %g, scaled %v", c.threshold, c.stretch, c.scaled)
	}
	for _, at := range []float64{0.05, 0.09, 0.13, 0.148, 0.17} {
		for name, x := range map[string]struct {
			of     func(t float64) (pos, vel [2]float64)
			leverM float64
		}{"barrel": {c.barrel, battest.LeverM}, "hands": {c.hands, 0}} {
			pos, vel := x.of(at)
			w, v := truth(at, x.leverM)
			// A centimetre is three pixels of the film; speeds of a fit of splines.
			if math.Hypot(pos[0]-w.X, pos[1]-w.Z) > 0.01 || math.Hypot(vel[0]-v.X, vel[1]-v.Z) > 0.7 {
				t.Errorf("%s at %g s: %.3f m, %.2f m/s; want %.3f, %.2f", name, at, pos, vel, w, v)
			}
		}
		// Hands are shown where the picture has them at the scale of the plane: what is
		// farther away is shown nearer to the middle, by D/(D − y).
		pos, vel := c.shown(at)
		w, v := truth(at, 0)
		k := filmDistanceM / (filmDistanceM - w.Y)
		// The rate of k itself: v_y·D/(D − y)².
		rate := v.Y * filmDistanceM / ((filmDistanceM - w.Y) * (filmDistanceM - w.Y))
		if math.Hypot(pos[0]-k*w.X, pos[1]-k*w.Z) > 0.01 || math.Hypot(vel[0]-k*v.X-rate*w.X, vel[1]-k*v.Z-rate*w.Z) > 0.5 {
			t.Errorf("hands shown at %g s: %.3f m, %.2f m/s; want %.3f, %.2f", at, pos, vel, [2]float64{k * w.X, k * w.Z}, [2]float64{k*v.X + rate*w.X, k*v.Z + rate*w.Z})
		}
	}
	// Without a lens a place is moved by what perspective would do, and its velocity is
	// still the change of place.
	flat := b.p.view
	flat.Lens = false
	c = batCourse(b.m.bat, flat, 1/filmDistanceM)
	for name, of := range map[string]func(t float64) (pos, vel [2]float64){"barrel": c.barrel, "hands": c.hands} {
		const h = 1e-5
		p, _ := of(0.12 - h)
		q, _ := of(0.12 + h)
		_, v := of(0.12)
		if math.Hypot((q[0]-p[0])/(2*h)-v[0], (q[1]-p[1])/(2*h)-v[1]) > 0.05 {
			t.Errorf("%s without a lens: %.3f m/s, by difference %.3f, %.3f", name, v, (q[0]-p[0])/(2*h), (q[1]-p[1])/(2*h))
		}
	}
	// Barrel's speed towards the camera.
	_, v := truth(0.13, battest.LeverM)
	if got := b.m.depthVel(0.13); !near(got, v.Y, 1) {
		t.Errorf("%.2f m/s to the camera, want %.2f", got, v.Y)
	}
	// Hands were seen throughout, so that nothing of them is hidden.
	if h := handsHidden(b.p.sighted, b.m.contact.TimeS); h > 0.25 {
		t.Errorf("hands hidden for %.2f of the swing", h)
	}
}

// The kink of an impact takes an eighth of the barrel's speed along its travel, give or
// take a twenty-fifth, and nothing across it; the bend of its path, which goes with the
// square of speed, is then 0.7656 of what it was. The speed is that of the filmed swing,
// the bend that of the bat's places, both by differences.
func TestKink(t *testing.T) {
	t.Parallel()
	b, truth := fitted(t)
	k := b.m.kink()
	const h = 1e-5
	_, v := truth(0.15-h, battest.LeverM) // before the film's own change of pace
	speed := math.Hypot(v.X, v.Z)
	if k.TimeS != b.m.contact.TimeS || !near(k.Mean[0][0], -speed/8, 0.02*speed/8) || !near(k.SD[0], speed/25, 0.02*speed/25) {
		t.Errorf("at %.4f s: %.3f ± %.3f m/s along, want %.3f ± %.3f", k.TimeS, k.Mean[0][0], k.SD[0], -speed/8, speed/25)
	}
	var p [3]geom.World
	for i := range p {
		p[i] = b.m.bat.Barrel(b.m.contact.TimeS-h*float64(2-i), fit.Before)
	}
	bend := (b.m.dir[0]*(p[2].Z-2*p[1].Z+p[0].Z) - b.m.dir[1]*(p[2].X-2*p[1].X+p[0].X)) / (h * h)
	if want := (0.875*0.875 - 1) * bend; len(k.Mean[1]) != 2 || k.Mean[1][0] != 0 || !near(k.Mean[1][1], want, 0.03*math.Abs(want)) || math.Abs(want) < 5 {
		t.Errorf("across: %.3f m/s and m/s², want 0 and %.3f", k.Mean[1], want)
	}
	// A few tenths of a metre a second across: far less than along it.
	if k.Cross[0] != 0.25 {
		t.Errorf("%g m/s across", k.Cross[0])
	}
	// A miss, and a swing of which no bat is known, may lose anything and expect nothing.
	miss := b.m
	miss.contact.Outcome = contact.Miss
	for name, m := range map[string]motion{"a miss": miss, "no bat": {contact: contact.Contact{Outcome: contact.Hit}}} {
		if k := m.kink(); k.SD[0] != 8 || k.Mean[0] != nil || k.Mean[1] != nil {
			t.Errorf("%s: %+v", name, k)
		}
	}
}

// Along and across the travel is a rotation: gonum's product of matrices says the same,
// and back it leads to where it came from.
func TestTurnedAndBack(t *testing.T) {
	t.Parallel()
	const angle = 0.4
	m := motion{dir: [2]float64{math.Cos(angle), math.Sin(angle)}}
	in := fit.Sample{TimeS: 2, Pos: [2]float64{3, -1}, Cov: [2][2]float64{{2, 0.5}, {0.5, 1}}}
	got := m.turned([]fit.Sample{in})[0]
	turn := mat.NewDense(2, 2, []float64{math.Cos(angle), math.Sin(angle), -math.Sin(angle), math.Cos(angle)})
	var pos, cov mat.Dense
	pos.Mul(turn, mat.NewDense(2, 1, []float64{3, -1}))
	cov.Product(turn, mat.NewDense(2, 2, []float64{2, 0.5, 0.5, 1}), turn.T())
	for i := range 2 {
		if !near(got.Pos[i], pos.At(i, 0), 1e-12) {
			t.Errorf("axis %d: %g, want %g", i, got.Pos[i], pos.At(i, 0))
		}
		for j := range 2 {
			if !near(got.Cov[i][j], cov.At(i, j), 1e-12) {
				t.Errorf("covariance %d %d: %g, want %g", i, j, got.Cov[i][j], cov.At(i, j))
			}
		}
	}
	if p := m.back(got.Pos); !near(p[0], 3, 1e-12) || !near(p[1], -1, 1e-12) || in.Pos[0] != 3 {
		t.Errorf("back to %v, want 3, -1", p)
	}
}

// A ball's place in the plane has the covariance that propagating its pixel's, by
// differences of the view, gives; three tenths of a pixel are added each way.
func TestBallInThePlane(t *testing.T) {
	t.Parallel()
	for _, sign := range []float64{1, -1} {
		v := geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: sign, Lens: true}
		got := inPlane(v, []Sample{{TimeS: 1, XPx: 700, YPx: 300, VarXX: 0.2, VarXY: 0.1, VarYY: 0.4}})[0]
		at := func(x, y float64) geom.World { return v.At(geom.Point{x, y}, 0) }
		px, py, qx, qy := at(699.5, 300), at(700, 299.5), at(700.5, 300), at(700, 300.5)
		j := mat.NewDense(2, 2, []float64{qx.X - px.X, qy.X - py.X, qx.Z - px.Z, qy.Z - py.Z})
		var want mat.Dense
		want.Product(j, mat.NewDense(2, 2, []float64{0.2 + 0.09, 0.1, 0.1, 0.4 + 0.09}), j.T())
		for i := range 2 {
			for k := range 2 {
				if w := want.At(i, k); !near(got.Cov[i][k], w, 1e-9) {
					t.Errorf("sign %g, covariance %d %d: %g m², want %g", sign, i, k, got.Cov[i][k], w)
				}
			}
		}
		// By hand: 60 px right and 60 px up where 200 px are a metre.
		if !near(got.Pos[0], 0.3*sign, 1e-9) || !near(got.Pos[1], 0.3, 1e-9) || got.TimeS != 1 {
			t.Errorf("sign %g: at %v, %g s", sign, got.Pos, got.TimeS)
		}
	}
}

// Without a known lens the plane's places are what one of distance D would see when the
// nuisance is 1/D: a thing nearer to the camera is smaller than it looks by (D − y)/D.
func TestPlacesOfAFlatView(t *testing.T) {
	t.Parallel()
	b, truth := fitted(t)
	// The same focal length and distance, which is not said to be that of a lens.
	flat, m := b.p.view, b.m
	flat.Lens = false
	m.wrong.near = 1 / flat.DistanceM
	lens, none := placed(b.m, b.p.view, b.p.barrel), placed(m, flat, b.p.barrel)
	apart := 0.0
	for i := range lens.places {
		p, q := lens.places[i], none.places[i]
		if math.Hypot(p.X-q.X, p.Z-q.Z) > 1e-9 {
			t.Errorf("sample %d: %.4f, with a lens %.4f", i, q, p)
		}
		apart = math.Max(apart, math.Abs(p.Y))
		if w, _ := truth(b.p.barrel[i].TimeS, battest.LeverM); math.Abs(p.Y-w.Y) > 0.12 {
			t.Errorf("sample %d: depth %.3f m, want %.3f", i, p.Y, w.Y)
		}
	}
	if apart < 0.3 {
		t.Errorf("depths up to %.2f m only", apart)
	}
	// Covariances shrink and grow with the square of the distance that is left.
	in := lens.inPlane(b.p.view)
	for i, s := range in {
		k := (b.p.view.DistanceM - lens.places[i].Y) / b.p.view.FocalPx // m/px at that depth
		if want := k * k * lens.axisPx[i].VarXX; !near(s.Cov[0][0], want, 1e-3*want) {
			t.Errorf("sample %d: variance %g m², want %g", i, s.Cov[0][0], want)
		}
	}
	// With no bat a face is off by what the nuisance says, and moves by it.
	bare := motion{contact: contact.Contact{TimeS: 1}, wrong: nuisance{face: [2]float64{0.01, -0.02}, faceV: [2]float64{0.5, 0.7}}}
	s := []Sample{{TimeS: 1.1, XPx: flat.CX, YPx: flat.CY}}
	if w := placed(bare, flat, s).places[0]; !near(w.X, 0.06, 1e-9) || !near(w.Z, 0.05, 1e-9) {
		t.Errorf("face at %.4f, %.4f m, want 0.06, 0.05", w.X, w.Z)
	}
}

// Where the barrel was hidden for five frames the bat says where it was in each of them.
func TestBridged(t *testing.T) {
	t.Parallel()
	b, truth := fitted(t)
	use := append(append([]Sample(nil), b.p.barrel[:20]...), b.p.barrel[25:]...)
	got := bridged(b.m, b.p.view, use, 1.0/240, b.m.bat)
	if len(got) != 5 {
		t.Fatalf("%d places, want 5", len(got))
	}
	for i, s := range got {
		frame := b.p.barrel[20+i]
		w, _ := truth(frame.TimeS, battest.LeverM)
		sd := math.Sqrt(s.Cov[0][0])
		if !near(s.TimeS, frame.TimeS, 1e-9) || math.Hypot(s.Pos[0]-w.X, s.Pos[1]-w.Z) > 0.01 {
			t.Errorf("%d: at %.4f s, %.3f m; want %.4f, %.3f", i, s.TimeS, s.Pos, frame.TimeS, w)
		}
		// One pixel, 3.6 mm, and what the bat's own place is unsure by.
		if sd < 0.0035 || sd > 0.01 || s.Cov[0][1] != 0 || s.Cov[0][0] != s.Cov[1][1] {
			t.Errorf("%d: s.d. %.4f m", i, sd)
		}
	}
	if got := bridged(motion{}, b.p.view, use, 1.0/240, nil); got != nil {
		t.Errorf("without a bat: %v", got)
	}
}

// What a card may have wrong scatters as it is said to: 3 % of the camera's distance, 6 mm
// between bands, 5 cm of depth, a third of a degree of roll and so on.
func TestNuisancesScatter(t *testing.T) {
	t.Parallel()
	const n, degree = 4000, math.Pi / 180
	rng := rand.New(rand.NewPCG(9, 9))
	x := map[string][]float64{}
	for range n {
		d := drawNuisance(rng, ScaleUse{RelSD: 0.02}, AttitudeSD{})
		for name, v := range map[string]float64{
			"scale": d.scale, "distance": d.distance, "apart": d.apart, "depth": d.depth, "radius": d.radius, "roll": d.rollRad, "tilt": d.tiltRad,
			"yaw": d.yawRad, "descent": d.descent, "reach": d.reach, "speed": d.speed, "near": math.Log(d.near * 5.5), "face": d.face[0], "faceV": d.faceV[1],
		} {
			x[name] = append(x[name], v)
		}
	}
	for name, want := range map[string]float64{
		"scale": 0.02, "distance": 0.03, "apart": 0.006, "depth": 0.05, "radius": 0.03, "roll": 0.3 * degree, "tilt": 0.5 * degree,
		"yaw": 1 * degree, "descent": 0.8, "reach": 0.001, "speed": 0.02, "near": 0.35, "face": 0.015, "faceV": 0.7,
	} {
		mean, sd := stat.MeanStdDev(x[name], nil)
		// An s.d. of 4000 is known to 1.1 %.
		if !near(sd, want, 0.05*want) || math.Abs(mean) > 4*want/math.Sqrt(n) {
			t.Errorf("%s: %.5f ± %.5f, want 0 ± %g", name, mean, sd, want)
		}
	}
}

// A view that is wrong by a nuisance: a length grows by scale, and a lens that stands
// farther away shows the plane at the scale that the card gave it.
func TestWrongView(t *testing.T) {
	t.Parallel()
	v := geom.View{FocalPx: 1200, CX: 640, CY: 360, DistanceM: 6, Sign: 1, Lens: true}
	p := geom.Point{1000, 200}
	if a, b := v.At(p, 0), (nuisance{scale: 0.1}).view(v).At(p, 0); !near(b.X, 1.1*a.X, 1e-9) || !near(b.Z, 1.1*a.Z, 1e-9) {
		t.Errorf("a tenth larger: %v, was %v", b, a)
	}
	far := nuisance{distance: 0.05}.view(v)
	if a, b := v.At(p, 0), far.At(p, 0); !near(b.X, a.X, 1e-9) || !near(far.DistanceM, 6.3, 1e-9) {
		t.Errorf("farther away: %v at %g m, was %v", b, far.DistanceM, a)
	}
	// A roll of the camera turns the picture about its middle.
	rolled := nuisance{rollRad: 0.1}.view(v)
	if a, b := v.At(p, 0), rolled.At(p, 0); !near(math.Hypot(a.X, a.Z), math.Hypot(b.X, b.Z), 1e-9) || !near(math.Abs(math.Atan2(a.Z, a.X)-math.Atan2(b.Z, b.X)), 0.1, 1e-9) {
		t.Errorf("rolled: %v, was %v", b, a)
	}
	tilted := nuisance{tiltRad: 0.02, yawRad: 0.03}
	if got := tilted.view(v); got.TiltRad != 0.02 || got.YawRad != 0.03 {
		t.Errorf("turned: %+v", got)
	}
	v.Lens = false
	if got := tilted.view(v); got.TiltRad != 0 || got.YawRad != 0 || got.DistanceM != 6 {
		t.Errorf("without a lens: %+v", got)
	}
}

// A bat serves for another time of contact up to half a millisecond away, and for any
// random motion; beyond that it is fitted anew.
func TestBatServesNearby(t *testing.T) {
	t.Parallel()
	b, _ := fitted(t)
	at := func(offS float64, n nuisance, p paths) bool {
		c := b.m.contact
		c.TimeS = b.m.bat.ContactS() + offS
		return batAt(p, c, p.view, b.m.bat, n) == b.m.bat
	}
	if !at(0.0004, nuisance{}, b.p) || at(0.0007, nuisance{}, b.p) || !at(0.01, nuisance{rng: rand.New(rand.NewPCG(1, 1))}, b.p) {
		t.Error("want the same bat 0.4 ms away and for a random motion, and another 0.7 ms away")
	}
	bare := b.p
	bare.scale.Source = "guess"
	if at(0, nuisance{}, bare) {
		t.Error("a bat without a scale")
	}
}
