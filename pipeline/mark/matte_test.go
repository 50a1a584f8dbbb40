package mark

import (
	"math"
	"testing"

	"ashline/pipeline/card"
	"ashline/pipeline/steady"
)

// still is a frame of one band: a rectangle of the card's pink, cx, cy its
// middle, on a plain wall. It is lit from above: full light at the upper edge,
// shadow at the lower one. Light is mixed before it is encoded.
type still struct {
	cx, cy, w, h float64
	streak       float64 // px the band moves down during the exposure
	shadow       float64 // light at the lower edge, 1 at the upper
	wall         float64 // grey, encoded 0..1
}

const (
	stillW, stillH = 96, 96
	fine           = 8 // samples a pixel and side
)

func (s still) planes() planes {
	pink := [3]float64{decode(1), decode(0x2d / 255.0), decode(0x95 / 255.0)}
	back := decode(s.wall)
	var rgb [3][stillW * stillH]float64
	for y := range stillH {
		for x := range stillW {
			var sum [3]float64
			for j := range fine * fine {
				px := float64(x) + (float64(j%fine)+0.5)/fine - 0.5
				py := float64(y) + (float64(j/fine)+0.5)/fine - 0.5
				const shots = 8
				for t := range shots {
					dy := py - s.cy - s.streak*((float64(t)+0.5)/shots-0.5)
					in := math.Abs(px-s.cx) < s.w/2 && math.Abs(dy) < s.h/2
					light := 1 + (s.shadow-1)*(dy/s.h+0.5)
					for c := range sum {
						if in {
							sum[c] += light * pink[c] / (fine * fine * shots)
						} else {
							sum[c] += back / (fine * fine * shots)
						}
					}
				}
			}
			for c := range sum {
				rgb[c][y*stillW+x] = encode(sum[c])
			}
		}
	}
	luma := func(k int) float64 { return 0.2126*rgb[0][k] + 0.7152*rgb[1][k] + 0.0722*rgb[2][k] }
	f := planes{
		y: Plane{make([]uint8, stillW*stillH), stillW, stillH, stillW},
		u: Plane{make([]uint8, stillW*stillH/4), stillW / 2, stillH / 2, stillW / 2},
		v: Plane{make([]uint8, stillW*stillH/4), stillW / 2, stillH / 2, stillW / 2},
	}
	for k := range f.y.Pix {
		f.y.Pix[k] = uint8(math.Round(16 + 219*luma(k)))
	}
	for y := range stillH / 2 {
		for x := range stillW / 2 {
			var b, r float64
			for _, k := range [4]int{2*y*stillW + 2*x, 2*y*stillW + 2*x + 1, (2*y+1)*stillW + 2*x, (2*y+1)*stillW + 2*x + 1} {
				b += (rgb[2][k] - luma(k)) / 1.8556 / 4
				r += (rgb[0][k] - luma(k)) / 1.5748 / 4
			}
			f.u.Pix[y*stillW/2+x] = uint8(math.Round(128 + 224*b))
			f.v.Pix[y*stillW/2+x] = uint8(math.Round(128 + 224*r))
		}
	}
	return f
}

// decode and encode are the sRGB curve (IEC 61966-2-1).
func decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func encode(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

func (s still) candidate(t *testing.T, isFine bool) Candidate {
	t.Helper()
	m := NewModel("barrel", card.RGB{R: 255, G: 0x2d, B: 0x95}, Coding{Matrix: "bt709"})
	m.Fine = isFine
	coding := Coding{Matrix: "bt709"}
	f, empty := s.planes(), still{cx: -99, cy: -99, wall: s.wall}.planes()
	// Most of what moves in a clip is the hitter: half of the picture in dark grey here.
	hitter := still{cx: -99, cy: -99, wall: s.wall}.planes()
	for k := range hitter.y.Pix[:stillW*stillH/2] {
		hitter.y.Pix[k] = 60
	}
	survey := NewSurvey(coding)
	for _, p := range []planes{empty, empty, f, empty, hitter, empty, empty} {
		survey.Add(p.y, p.u, p.v, steady.Still)
	}
	got := NewFinder([]Model{m}, survey.Scene(), Site{0.5, 0.5}).Add(f.y, f.u, f.v, steady.Still)
	if len(got[0]) == 0 {
		t.Fatal("no candidate")
	}
	return got[0][0]
}

func TestCentroidDoesNotFollowTheLight(t *testing.T) {
	t.Parallel()
	// Less than the colour's own lean to the light, 0.33 px in the second scene.
	const tolPx, tolArea = 0.2, 0.12
	for name, s := range map[string]still{
		"even light":        {cx: 47.3, cy: 40.6, w: 14, h: 20, shadow: 1, wall: 0.6},
		"from above":        {cx: 47.3, cy: 40.6, w: 14, h: 20, shadow: 0.35, wall: 0.6},
		"dark wall":         {cx: 40.8, cy: 51.1, w: 14, h: 20, shadow: 0.35, wall: 0.15},
		"wall of its luma":  {cx: 45.5, cy: 44.2, w: 20, h: 14, shadow: 0.5, wall: 0.42},
		"streak":            {cx: 47.3, cy: 45.4, w: 14, h: 20, streak: 10, shadow: 0.5, wall: 0.6},
		"thin, bright wall": {cx: 50.2, cy: 48.7, w: 20, h: 6, shadow: 0.8, wall: 0.8},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := s.candidate(t, true)
			if !got.Covered {
				t.Fatal("the patch is not measured by coverage")
			}
			if dx, dy := got.X-s.cx, got.Y-s.cy; math.Abs(dx) > tolPx || math.Abs(dy) > tolPx {
				t.Errorf("centroid off by %.2f, %.2f px, tolerance %.2f", dx, dy, tolPx)
			}
			t.Logf("off by %.2f, %.2f px", got.X-s.cx, got.Y-s.cy)
			if r := got.Colour / (s.w * s.h); math.Abs(r-1) > tolArea {
				t.Errorf("area is %.2f of the true one, tolerance %.2f", r, tolArea)
			}
		})
	}
}

// The colour-weighted centroid leans to the light by more than that: the check
// above can fail.
func TestColourCentroidFollowsTheLight(t *testing.T) {
	t.Parallel()
	s := still{cx: 47.3, cy: 40.6, w: 14, h: 20, shadow: 0.35, wall: 0.6}
	if got := s.candidate(t, false); got.Covered || s.cy-got.Y < 0.25 {
		t.Errorf("leans %.2f px, covered %v", s.cy-got.Y, got.Covered)
	}
}

func TestPrincipalAxes(t *testing.T) {
	t.Parallel()
	// A = Σ v·axis·axisᵀ must give the matrix back.
	a := [3]vec{{4, 1, -2}, {1, 3, 0.5}, {-2, 0.5, 5}}
	axes, v := principal(a)
	for i := range a {
		for j := range a {
			got := 0.0
			for k := range v {
				got += v[k] * axes[k][i] * axes[k][j]
			}
			if math.Abs(got-a[i][j]) > 1e-9 {
				t.Errorf("element %d, %d is %g, want %g", i, j, got, a[i][j])
			}
		}
	}
}

func TestPatchesJoinTouchingRuns(t *testing.T) {
	t.Parallel()
	// Two arms that meet only in the last row, and one patch apart.
	l := layer{runs: []run{
		{y: 1, x: 2, weight: []float32{9, 9}},
		{y: 1, x: 8, weight: []float32{9}},
		{y: 2, x: 4, weight: []float32{9, 9}},
		{y: 2, x: 7, weight: []float32{9}},
		{y: 3, x: 6, weight: []float32{9}},
		{y: 3, x: 20, weight: []float32{9}},
	}}
	ps := l.patches()
	if len(ps) != 2 {
		t.Fatalf("%d patches, want 2", len(ps))
	}
	if p := ps[0]; len(p.runs) != 5 || p.runs[0] != 0 || p.x0 != 2 || p.x1 != 9 || p.y0 != 1 || p.y1 != 4 {
		t.Errorf("got %+v", p)
	}
}
