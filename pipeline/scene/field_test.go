package scene

import (
	"bytes"
	"fmt"
	"math"
	"testing"
)

func TestEveryFieldFamilyHits(t *testing.T) {
	t.Parallel()
	for _, f := range FieldFamilies() {
		for seed := uint64(1000); seed < 1002; seed++ {
			t.Run(fmt.Sprint(f, seed), func(t *testing.T) {
				t.Parallel()
				s := setup(t, Random(seed, f))
				if !s.hit {
					t.Fatal("no contact")
				}
				// The raised bat and the one at contact are in the picture.
				for _, at := range []float64{-0.4, 0} {
					if !s.inPicture(s.Mark(at), 0) {
						t.Errorf("at %.1f s the barrel is not in the picture", at)
					}
				}
			})
		}
	}
}

// Seeds that follow one another have nothing in common.
func TestFieldFamiliesDiffer(t *testing.T) {
	t.Parallel()
	seen := map[float64]string{}
	for _, f := range FieldFamilies() {
		for seed := uint64(1); seed <= 20; seed++ {
			p := Random(seed, f)
			if was, ok := seen[p.CameraHeightM]; ok {
				t.Errorf("%s %d has the lens of %s", f, seed, was)
			}
			seen[p.CameraHeightM] = fmt.Sprint(f, seed)
		}
	}
}

func TestFlatBatPointsAtTheLens(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 20; seed++ {
		s := setup(t, Random(seed, Flat))
		_, dir := s.Bat(0)
		if level := math.Asin(-dir.Z) / degree; level < 0 || level > 10 {
			t.Errorf("seed %d: %.1f° under level", seed, level)
		}
		if off := math.Acos(-dir.dot(Vec{s.Cam.Forward.X, s.Cam.Forward.Y, 0}.unit())) / degree; off > 11.4 { // 8° down and 8° across
			t.Errorf("seed %d: %.1f° off the lens's axis", seed, off)
		}
	}
}

func TestClosedSideSeesTheBack(t *testing.T) {
	t.Parallel()
	s := setup(t, Random(4, Closed))
	if q := s.pose(-0.4); q.face.dot(s.Cam.Position.sub(q.chest)) > 0 {
		t.Error("the chest faces the lens")
	}
}

// Under an even sky a ball's surface is lit by half of it on the whole, its top by all
// and its foot by nothing: (1 + cos)/2.
func TestSkyLightsTheUpperHalf(t *testing.T) {
	t.Parallel()
	l := lamp{dir: Vec{0, 0, 1}, sky: 1}
	near(t, "top", l.matt(Vec{0, 0, 1}), 1, 1e-12)
	near(t, "side", l.matt(Vec{1, 0, 0}), 0.5, 1e-12)
	near(t, "foot", l.matt(Vec{0, 0, -1}), 0, 1e-12)
}

// Each lamp is where its name says.
func TestLampsPlaces(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 20; seed++ {
		for _, closed := range []bool{false, true} {
			p := Params{Seed: seed, Bats: "right"}
			if closed {
				p.Side = "closed"
			}
			to := p.cameraSide()
			at := func(name string) Vec { p.Lamp = name; return newLamp(p).dir }
			if d := at("above"); d.Z < math.Sin(72*degree) {
				t.Errorf("seed %d: above is %v", seed, d)
			}
			if d := at("side"); math.Abs(d.X) < math.Abs(d.Y) || d.Z > math.Sin(45*degree) {
				t.Errorf("seed %d: side is %v", seed, d)
			}
			if d := at("behind"); d.Y*to > -0.3 {
				t.Errorf("seed %d: behind is %v, the lens at y %v", seed, d, to)
			}
		}
	}
}

// The drift goes to both ends of its width, and a still pixel's light goes with it.
func TestDriftSpansItsStops(t *testing.T) {
	t.Parallel()
	s := setup(t, small(Params{Seed: 8, DriftStops: 0.7, DriftWhite: 0.1, Kind: "tee"}))
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, g := range s.gains {
		lo, hi = math.Min(lo, float64(g[1])), math.Max(hi, float64(g[1]))
		pic := []float32{0.2, 0.2, 0.2}
		s.develop(i, pic)
		near(t, "white balance", float64((pic[0]+pic[2])/pic[1]), 2, 1e-5)
	}
	near(t, "least", lo, math.Exp2(-0.7), 1e-6)
	near(t, "most", hi, math.Exp2(0.7), 1e-6)
}

// A pan goes as far as it says, and a bump is a damped sine that starts at rest.
func TestPanAndBump(t *testing.T) {
	t.Parallel()
	s := setup(t, Params{Seed: 3, PanPx: 60, FPS: 240})
	n := s.Frames()
	near(t, "pan", s.shakes[n-1].dxPx-s.shakes[0].dxPx, 60, 1e-9)
	s = setup(t, Params{Seed: 3, BumpPx: 20, BumpAtS: -0.1})
	for i, at := range s.timesS {
		d := at + 0.1
		want := 0.0
		if d > 0 {
			want = 20 * math.Exp(-d/bumpFadesS) * math.Abs(math.Sin(2*math.Pi*bumpHz*d))
		}
		near(t, "thrown", math.Hypot(s.shakes[i].dxPx, s.shakes[i].dyPx), want, 1e-9)
	}
}

// A doubled frame is the one before to the bit, stands at its own time in the file, and
// its truth is that of what it shows.
func TestStutter(t *testing.T) {
	t.Parallel()
	p := small(Params{Seed: 2, Stutter: true})
	p.LeadInS = 0.5
	s := setup(t, p)
	doubled, dropped := 0, 0
	a, b := make([]byte, 3*p.WidthPx*p.HeightPx), make([]byte, 3*p.WidthPx*p.HeightPx)
	for i := 1; i < s.Frames(); i++ {
		step := (s.ptsS[i] - s.ptsS[i-1]) * s.P.FPS
		if whole := math.Round(step); math.Abs(step-whole) > 1e-6 || whole < 1 {
			t.Fatalf("frame %d is %.3f frames after the last", i, step)
		} else if whole > 1 {
			dropped++
		}
		if s.timesS[i] != s.timesS[i-1] {
			continue
		}
		if doubled++; doubled > 1 {
			continue
		}
		if err := s.Frame(i-1, a); err != nil {
			t.Fatal(err)
		}
		if err := s.Frame(i, b); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("frame %d is not the one before", i)
		}
		if f, g := s.frameTruth(i), s.frameTruth(i-1); f.Barrel != g.Barrel {
			t.Errorf("frame %d has another truth than the one before", i)
		}
	}
	if doubled == 0 || dropped == 0 {
		t.Errorf("%d doubled, %d dropped", doubled, dropped)
	}
}

// However far out of focus, two sets of cords of width w that are m apart cover
// 1 - (1 - w/m)² of the picture.
func TestNearNetCovers(t *testing.T) {
	t.Parallel()
	for _, d := range []float64{0.3, 0.6, 1.1} {
		p, err := Params{Seed: 5, NearNetM: d}.withDefaults()
		if err != nil {
			t.Fatal(err)
		}
		c := newCamera(p, p.cameraSide())
		sum := 0.0
		net := nearNet(p, &c, &stage{w: p.WidthPx, h: p.HeightPx})
		for _, v := range net {
			sum += float64(v)
		}
		near(t, fmt.Sprintf("share covered at %.1f m", d), sum/float64(len(net)), 1-(1-0.0025/0.045)*(1-0.0025/0.045), 0.02)
	}
}

// Reflective tape is white somewhere on the band in some frames and in colour in others.
func TestFoilGlares(t *testing.T) {
	t.Parallel()
	white, coloured := 0, 0
	for seed := uint64(1); seed <= 4; seed++ {
		s := setup(t, Random(seed, Glare))
		paint, lamp := newPaint(s.P), newLamp(s.P)
		for i := 0; i < s.Frames(); i += 6 {
			knob, dir := s.Bat(s.timesS[i])
			rod := newRod(&s.bat, knob, dir, s.Cam.Position)
			least := float32(0)
			for k := range 9 {
				// Along the middle of the band, edge to edge as the lens sees it.
				side := dir.cross(s.Cam.Forward).unit().mul(s.bat.maxM * (float64(k)/4 - 1) * 0.95)
				w := s.Mark(s.timesS[i]).add(side).sub(s.Cam.Position)
				hit, ok := rod.hit(w)
				if !ok || hit.s < paint.bandLo || hit.s > paint.bandHi {
					continue
				}
				c := paint.at(hit, w, &lamp)
				least = max(least, min(c[0], c[1], c[2]))
			}
			if least >= 1 {
				white++
			} else if least < 0.6 {
				coloured++
			}
		}
	}
	if white < 10 || coloured < 10 {
		t.Errorf("%d instants white, %d in colour", white, coloured)
	}
}
