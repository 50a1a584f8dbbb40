package scene

import (
	"bytes"
	"math"
	"sync"
	"testing"
)

// hold makes the bat stand still along dir, its barrel mark at a place.
func hold(s *Scene, mark, dir Vec) {
	dir = dir.unit()
	grip := mark.sub(dir.mul(s.swing.markM))
	s.swing.hands = newPath([]float64{-1, 1}, []Vec{grip, grip})
	s.swing.d0, s.swing.omegaRadS, s.swing.planeRateRad, s.swing.impactAt = dir, 0, 0, math.NaN()
	s.swing.shift = Vec{-9, 0, 0} // the hitter out of the picture
	s.noBall, s.swingZero = true, 0
}

// The near half of a band seen at the angle phi from its axis has its centroid
// (π/4)·r·cos(phi) from the axis, against the axis' direction in the picture
// when that points to the camera: the mean of cos² over that of cos.
func TestBandIsACrescent(t *testing.T) {
	t.Parallel()
	for _, phiDeg := range []float64{20, 28, 35} {
		phi := phiDeg * degree
		// Far away with a long lens, so that perspective is small.
		s := setup(t, Params{
			Seed: 5, DistanceM: 24, ViewWidthM: 2.4, CameraHeightM: 1, WidthPx: 960, HeightPx: 540,
			BatLook: "metal", HandsColour: "none", LeadInS: 0.05, RunOutS: 0.05, BandWidthM: 0.02,
		})
		mark := Vec{0, 0, 1}
		hold(s, mark, Vec{math.Sin(phi), -math.Cos(phi), 0}) // points to the camera and right
		s.once.Do(func() { s.stage = newStage(s); s.crew = newCrew(s) })
		// A red band on a green bat before blue: the bat's share of a pixel is what
		// blue lacks, and the band's share of that is red's part of the rest,
		// whatever the shading.
		s.crew.paint.barrel, s.crew.paint.wood, s.crew.paint.gloss, s.crew.paint.bandGloss = rgb{1, 0, 0}, rgb{0, 1, 0}, 0, 0
		for k := range s.stage.lin {
			s.stage.lin[k] = float32(k % 3 / 2)
		}
		pic, _ := lit(s, s.Frames()-1)
		at := s.Cam.Project(mark)
		sum, sx, sy := 0.0, 0.0, 0.0
		for k := 0; k < len(pic); k += 3 {
			// The hitter, out of the picture, reaches for the bat with long arms.
			x, y := float64(k/3%960), float64(k/3/960)
			red, green, bat := float64(pic[k]), float64(pic[k+1]), 1-float64(pic[k+2])
			if red < 0.01 || math.Abs(x-at.XPx) > 40 {
				continue
			}
			w := bat * red / (red + green)
			sum, sx, sy = sum+w, sx+w*x, sy+w*y
		}
		want := -math.Pi / 4 * s.P.BarrelDiameterM / 2 * math.Cos(phi) * s.Cam.FocalPx / at.DepthM
		near(t, "centroid off the axis, px, x", sx/sum-at.XPx, want, 0.25)
		near(t, "centroid off the axis, px, y", sy/sum-at.YPx, 0, 0.25)
	}
}

// ballOnly makes a scene of a ball alone, and the frame when it is well inside.
func ballOnly(t *testing.T, shutter float64) (*Scene, int) {
	t.Helper()
	s := setup(t, Params{
		Seed: 6, WidthPx: 960, HeightPx: 540, ShutterS: shutter, TimingMS: 60, LeadInS: 0.05, RunOutS: 0.02, Phase: 0.5,
	})
	s.swing.shift = Vec{-9, 0, 0}
	far := Vec{-9, 0, 1}
	s.swing.hands = newPath([]float64{-1, 1}, []Vec{far, far})
	best := 0
	for i := range s.timesS {
		a, _ := s.Ball(s.timesS[i])
		b, _ := s.Ball(s.timesS[best])
		if math.Abs(a.X-0.8) < math.Abs(b.X-0.8) {
			best = i
		}
	}
	return s, best
}

// moments gives the centroid and the spread along x of what changed.
func moments(pic, empty []float32, width int) (x, y, varX float64) {
	sum, sx, sy, sxx := 0.0, 0.0, 0.0, 0.0
	for k := 0; k < len(pic); k += 3 {
		w := math.Abs(float64(pic[k]-empty[k])) + math.Abs(float64(pic[k+2]-empty[k+2]))
		px, py := float64(k/3%width), float64(k/3/width)
		sum, sx, sy, sxx = sum+w, sx+w*px, sy+w*py, sxx+w*px*px
	}
	x, y = sx/sum, sy/sum
	return x, y, sxx/sum - x*x
}

// A uniform streak of length L adds L²/12 to the spread of the ball's picture.
func TestBlurLengthIsSpeedTimesExposure(t *testing.T) {
	t.Parallel()
	sharp, i := ballOnly(t, 1e-5)
	_, _, v0 := moments2(lit(sharp, i))
	for _, shutter := range []float64{1.0 / 1000, 1.0 / 500, 1.0 / 250} {
		s, j := ballOnly(t, shutter)
		x, y, v := moments2(lit(s, j))
		tr := s.mark(j, func(ts float64) Vec { q, _ := s.Ball(ts); return q })
		want := math.Abs(tr.VX) * shutter * s.Cam.FocalPx / (s.Cam.DistanceM - math.Abs(tr.Y)*math.Copysign(1, s.Cam.Position.Y*tr.Y))
		near(t, "streak, px", math.Sqrt(12*(v-v0)), want, 0.02*want+0.3)
		near(t, "streak in the truth, px", math.Hypot(tr.Streak[2]-tr.Streak[0], tr.Streak[3]-tr.Streak[1]), want, 0.02*want)
		// The middle of the streak is the place at mid-exposure. Shading moves a
		// ball's brightness from its centre, by the same for any exposure.
		x0, y0, _ := moments2(lit(sharp, i))
		tr0 := sharp.mark(i, func(ts float64) Vec { q, _ := sharp.Ball(ts); return q })
		near(t, "middle x, px", x-tr.XPx, x0-tr0.XPx, 0.35)
		near(t, "middle y, px", y-tr.YPx, y0-tr0.YPx, 0.35)
	}
}

func moments2(pic, empty []float32) (x, y, v float64) { return moments(pic, empty, 960) }

// Half a pixel of convention would show at once: the ball's outline must be
// centred on the truth.
func TestPixelCentresAreWholeNumbers(t *testing.T) {
	t.Parallel()
	s, i := ballOnly(t, 1e-5)
	pic, empty := lit(s, i)
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	// Where coverage passes a half, by pixel, on each side.
	for k := 0; k < len(pic); k += 3 {
		if math.Abs(float64(pic[k]-empty[k])) > 0.02 {
			x, y := float64(k/3%960), float64(k/3/960)
			x0, x1, y0, y1 = math.Min(x0, x), math.Max(x1, x), math.Min(y0, y), math.Max(y1, y)
		}
	}
	tr := s.mark(i, func(ts float64) Vec { q, _ := s.Ball(ts); return q })
	near(t, "middle of the outline x", (x0+x1)/2, tr.XPx, 0.6)
	near(t, "middle of the outline y", (y0+y1)/2, tr.YPx, 0.6)
	// The body's limbs follow another path through the renderer.
	l := newLayer(64, 64)
	cam := Camera{FocalPx: 100, CXPx: 31.5, CYPx: 31.5, Right: Vec{1, 0, 0}, Down: Vec{0, 0, -1}, Forward: Vec{0, 1, 0}}
	v := newView(&cam, shake{})
	q := Vec{0.03, 1, -0.07}
	l.draw(&capsule{a: q, b: q, ra: 0.1, rb: 0.1, colour: rgb{1, 1, 1}}, &v, &lamp{dir: Vec{0, 0, 1}, direct: 1, even: 1}, nil, 0, 64)
	sum, sx, sy := 0.0, 0.0, 0.0
	for k, c := range l.cover {
		sum, sx, sy = sum+float64(c), sx+float64(c)*float64(k%64), sy+float64(c)*float64(k/64)
	}
	near(t, "disc x", sx/sum, 34.5, 0.02)
	near(t, "disc y", sy/sum, 38.5, 0.02)
	near(t, "disc area", sum, math.Pi*100, 2)
}

func TestSameSeedSameBytes(t *testing.T) {
	t.Parallel()
	p := small(Random(11, Shake))
	a, b, c := setup(t, p), setup(t, p), setup(t, small(Random(12, Shake)))
	n := 3 * p.WidthPx * p.HeightPx
	one, two, other := make([]byte, n), make([]byte, n), make([]byte, n)
	var wg sync.WaitGroup
	for _, k := range []int{3, 20} { // b renders its frames at the same time
		wg.Go(func() {
			buf := make([]byte, n)
			if err := b.Frame(k, buf); err != nil {
				t.Error(err)
			}
			if k == 20 {
				copy(two, buf)
			}
		})
	}
	wg.Wait()
	if err := a.Frame(20, one); err != nil {
		t.Fatal(err)
	}
	if err := c.Frame(20, other); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(one, two) {
		t.Error("the same seed gives another frame")
	}
	if bytes.Equal(one, other) {
		t.Error("another seed gives the same frame")
	}
}

func TestHiddenFrames(t *testing.T) {
	t.Parallel()
	s := setup(t, Random(3, Hidden12))
	run, best := 0, 0
	for i := range s.Frames() {
		if s.frameTruth(i).Barrel.Visible == 0 {
			run++
			best = max(best, run)
		} else {
			run = 0
		}
	}
	if best < 12 {
		t.Errorf("hidden for %d frames on end, want 12 or more", best)
	}
}

func TestRollingShutterMovesMarksByRow(t *testing.T) {
	t.Parallel()
	s := setup(t, Params{Seed: 3, ReadoutMS: 4})
	for _, i := range []int{20, 100, s.Frames() - 30} {
		m := s.frameTruth(i).Barrel
		want := s.timesS[i] + 0.004*m.YPx/719
		near(t, "time of the mark's row", m.TimeS, want, 1e-9)
	}
}

func TestSensorNoise(t *testing.T) {
	t.Parallel()
	for _, light := range lights {
		c := newSensor(light)
		const level, n = 0.2, 60000
		lin, out := make([]float32, 3*n), make([]byte, 3*n)
		for k := range lin {
			lin[k] = level
		}
		c.expose(lin, out, newNoise(1, 2))
		sum, sq := 0.0, 0.0
		for _, v := range out {
			l := linear(float64(v) / 255)
			sum, sq = sum+l, sq+l*l
		}
		mean := sum / (3 * n)
		sd := math.Sqrt(sq/(3*n) - mean*mean)
		well, read := fullWell[light], readNoise[light]
		near(t, light+" mean", mean, level, 0.002)
		near(t, light+" noise", sd, math.Sqrt(level*well+read*read)/well, 0.0006)
	}
}

func BenchmarkFrame(b *testing.B) {
	s, err := New(Params{Seed: 3, WidthPx: 960, HeightPx: 540})
	if err != nil {
		b.Fatal(err)
	}
	buf := make([]byte, 3*960*540)
	if err := s.Frame(0, buf); err != nil {
		b.Fatal(err)
	}
	k := 0
	for b.Loop() {
		if err := s.Frame(k%s.Frames(), buf); err != nil {
			b.Fatal(err)
		}
		k++
	}
}
