package mark

import (
	"math"
	"testing"

	"ashline/pipeline/steady"
)

// wallFinder looks for a mark before a wall of one colour that is known all over.
func wallFinder(w, h int, areaPx float64) *Finder {
	coding := Coding{Matrix: "bt709"}
	sc := &Scene{coding: coding, w: w, h: h, all: new(density), moving: new(density)}
	back := flat(w, h, func(int, int) (luma, cb, cr uint8) { return 100, 128, 128 })
	sc.y, sc.u, sc.v = back.y, back.u, back.v
	sc.softY, sc.softC = make([]uint8, w*h), make([]uint8, w*h)
	for p := range sc.softY {
		sc.softY[p], sc.softC[p] = 4, 3
	}
	sc.all[cell(100, 128, 128)], sc.moving[cell(60, 120, 140)] = 1, 1
	sc.all.settle()
	sc.moving.settle()
	m := NewModel("mark", gardenLime, coding)
	m.AreaPx = areaPx
	return NewFinder([]Model{m}, sc, Site{0.25, 0.5})
}

// frameOf is a frame of the wall with rectangles of the mark's colour, chroma px.
func frameOf(w, h int, rects ...[4]int) planes {
	coding := Coding{Matrix: "bt709"}
	y, u, v := coding.codes(vec{float64(gardenLime.R) / 255, float64(gardenLime.G) / 255, float64(gardenLime.B) / 255})
	f := planes{
		y: Plane{make([]uint8, 4*w*h), 2 * w, 2 * h, 2 * w},
		u: Plane{make([]uint8, w*h), w, h, w}, v: Plane{make([]uint8, w*h), w, h, w},
	}
	put := func(x, row int, ly, cu, cv uint8) {
		f.u.Pix[row*w+x], f.v.Pix[row*w+x] = cu, cv
		for k := range 4 {
			f.y.Pix[(2*row+k/2)*2*w+2*x+k%2] = ly
		}
	}
	for row := range h {
		for x := range w {
			put(x, row, 100, 128, 128)
			for _, r := range rects {
				if x >= r[0] && x < r[2] && row >= r[1] && row < r[3] {
					put(x, row, code(y), code(u), code(v))
				}
			}
		}
	}
	return f
}

// By hand, a patch of 6 by 4 chroma px: 96 luma px, its middle at twice that of its samples
// and the site of the first one, its variances (n² − 1)/12 of 12 and 8 px less those within
// a sample.
func TestCandidateOfARectangle(t *testing.T) {
	t.Parallel()
	f := wallFinder(60, 40, 0)
	p := frameOf(60, 40, [4]int{20, 10, 26, 14})
	got := f.Add(p.y, p.u, p.v, steady.Still)[0]
	if len(got) != 1 {
		t.Fatalf("%d candidates", len(got))
	}
	c := got[0]
	for _, x := range []struct {
		what            string
		got, want, near float64
	}{
		{"x", c.X, 2*22.5 + 0.25, 1e-9},
		{"y", c.Y, 2*11.5 + 0.5, 1e-9},
		{"mass", c.Mass, 96, 1e-9},
		{"mean", c.Mean, 1, 1e-9},
		{"x²", c.Sxx, 4 * 35.0 / 12, 1e-9},
		{"y²", c.Syy, 4 * 15.0 / 12, 1e-9},
		{"xy", c.Sxy, 0, 1e-9},
		{"light", c.Colour, 96, 1},
		{"light's x²", c.CXX, 4 * 35.0 / 12, 1e-6},
		{"still", c.Still, 0, 0},
	} {
		if math.Abs(x.got-x.want) > x.near {
			t.Errorf("%s: %.4f, want %.4f", x.what, x.got, x.want)
		}
	}
	if c.Edge || c.Covered || c.Evidence < 24 {
		t.Errorf("%+v", c)
	}
	if along, across, dir := c.Axes(); math.Abs(along-math.Sqrt(4*35.0/12)) > 1e-9 || math.Abs(across-math.Sqrt(4*15.0/12)) > 1e-9 || dir != 0 {
		t.Errorf("axes %.3f, %.3f, %.3f", along, across, dir)
	}
	// The tone is the mark's own code.
	if math.Abs(c.Tone[1]-float64(p.u.Pix[11*60+22])) > 1e-9 {
		t.Errorf("tone %v", c.Tone)
	}
	if got := f.Share(0); math.Abs(got-24.0/2400) > 1e-12 || f.SeenFrames(0) != 1 {
		t.Errorf("share %g, %d frames", got, f.SeenFrames(0))
	}
}

// A patch that touches the border says so; one of less than 6 px is none; of two that are as
// likely the larger one comes first, but not one many times as large as the mark.
func TestCandidatesInOrder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		areaPx float64
		rects  [][4]int
		want   []float64 // masses
		edge   bool
	}{
		{"at the left", 0, [][4]int{{0, 10, 4, 14}}, []float64{64}, true},
		{"at the bottom", 0, [][4]int{{30, 36, 34, 40}}, []float64{64}, true},
		{"a pixel inside", 0, [][4]int{{1, 1, 5, 5}}, []float64{64}, false},
		{"one sample", 0, [][4]int{{10, 10, 11, 11}}, nil, false},
		{"two samples", 0, [][4]int{{10, 10, 12, 11}}, []float64{8}, false},
		{"touching corners are one", 0, [][4]int{{10, 10, 12, 12}, {12, 12, 14, 14}}, []float64{32}, false},
		{"a gap of one is two", 0, [][4]int{{10, 10, 12, 12}, {13, 10, 15, 12}}, []float64{16, 16}, false},
		{"the larger first", 0, [][4]int{{10, 10, 12, 12}, {30, 10, 38, 18}}, []float64{256, 16}, false},
		// 64 px are the mark's: 576 px are more than twice of what a streak may cover, and count
		// for a sixth, of nine times as much. With 16 px 2304 are 36 times, 1 in 1297 of 144.
		{"a jacket yet", 64, [][4]int{{10, 10, 14, 14}, {30, 10, 42, 22}}, []float64{576, 64}, false},
		{"not a wall", 16, [][4]int{{5, 20, 7, 22}, {20, 5, 44, 29}}, []float64{16, 2304}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			f := wallFinder(60, 40, c.areaPx)
			p := frameOf(60, 40, c.rects...)
			got := f.Add(p.y, p.u, p.v, steady.Still)[0]
			if len(got) != len(c.want) {
				t.Fatalf("%d candidates, want %d", len(got), len(c.want))
			}
			for i := range got {
				if math.Abs(got[i].Mass-c.want[i]) > 1e-9 || got[i].Edge != c.edge {
					t.Errorf("candidate %d: mass %g, edge %v; want %g, %v", i, got[i].Mass, got[i].Edge, c.want[i], c.edge)
				}
			}
		})
	}
}

// What a pixel weighs, by Bayes' rule: the band in one in twenty, or what else moves there,
// against the background in nineteen; whatever the background is like there.
func TestWeightOfAPixel(t *testing.T) {
	t.Parallel()
	p := frameOf(60, 40, [4]int{20, 10, 22, 12})
	q := 11*60 + 21
	y, u, v := p.y.Pix[22*120+42], p.u.Pix[q], p.v.Pix[q]
	c := cell(y, u, v)
	alike := 0 // pixels of which the background has a say
	f := wallFinder(60, 40, 0)
	band := float64(bandDensity(f.models[0].full, f.scene.coding, f.scene.all)[c])
	others := float64(f.scene.moving[c])
	for darker := 10; darker < 60; darker++ {
		for _, k := range []int{10*60 + 20, 10*60 + 21, 11*60 + 20, 11*60 + 21} {
			f.scene.y[k], f.scene.u[k], f.scene.v[k] = y-uint8(darker), u, v
		}
		gauss := func(x, sd float64) float64 { return math.Exp(-x*x/(2*sd*sd)) / (sd * math.Sqrt(2*math.Pi)) }
		behind := math.Log(1 + 19*512*gauss(float64(darker), 4)*gauss(0, 3)*gauss(0, 3)/others)
		// What moves is held for at most an eighth as likely as the band in its own colour.
		want := math.Log(band/math.Min(others, band/8)) - behind
		got := f.Add(p.y, p.u, p.v, steady.Still)[0]
		if len(got) != 1 {
			t.Fatalf("%d codes darker: %d candidates", darker, len(got))
		}
		switch {
		case want <= 0:
			if got[0].Still != 1 {
				t.Errorf("%d codes darker: not still", darker)
			}
			continue
		case behind > 0.2:
			alike++
		}
		if e := got[0].Evidence / 4; math.Abs(e-want) > 1e-3*(1+want) || got[0].Still != 0 {
			t.Errorf("%d codes darker: a pixel weighs %.4f nats, want %.4f", darker, e, want)
		}
	}
	if alike < 3 {
		t.Errorf("the background had a say %d times", alike)
	}
	// A frame of another size shows nothing.
	small := frameOf(30, 20, [4]int{1, 1, 9, 9})
	if got := wallFinder(60, 40, 0).Add(small.y, small.u, small.v, steady.Still); len(got) != 1 || got[0] != nil {
		t.Errorf("a frame of another size: %v", got)
	}
}

// What hardly moves keeps its coverage for a few frames and goes with the patch; what changes
// its shape is measured anew at once, what changes its light within six frames.
func TestCoverageIsKept(t *testing.T) {
	t.Parallel()
	f := wallFinder(60, 40, 0)
	f.models[0].Fine = true
	look := func(rect [4]int, dim float64) Candidate {
		t.Helper()
		p := frameOf(60, 40, rect)
		for row := rect[1] + rect[3]; row < 2*rect[3]; row++ { // its lower half
			for x := 2 * rect[0]; x < 2*rect[2]; x++ {
				k := row*p.y.Stride + x
				p.y.Pix[k] = uint8(16 + dim*float64(p.y.Pix[k]-16))
				c := row/2*p.u.Stride + x/2
				if row%2 == 0 && x%2 == 0 {
					p.u.Pix[c], p.v.Pix[c] = uint8(128+dim*(float64(p.u.Pix[c])-128)), uint8(128+dim*(float64(p.v.Pix[c])-128))
				}
			}
		}
		got := f.Add(p.y, p.u, p.v, steady.Still)[0]
		if len(got) != 1 || !got[0].Covered {
			t.Fatalf("%v: %+v", rect, got)
		}
		return got[0]
	}
	first := look([4]int{20, 10, 26, 14}, 1)
	moved := look([4]int{21, 10, 27, 14}, 1)
	if math.Abs(moved.X-first.X-2) > 0.05 || math.Abs(moved.Y-first.Y) > 0.05 {
		t.Errorf("moved by %.3f, %.3f px, want 2, 0", moved.X-first.X, moved.Y-first.Y)
	}
	grown := look([4]int{21, 10, 31, 14}, 1)
	if r := grown.Colour / first.Colour; r < 1.5 || r > 1.8 {
		t.Errorf("light of a band two thirds larger is %.2f of what it was", r)
	}
	// A lower half in shadow draws the light together about the upper one.
	for n := 1; n <= 8; n++ {
		c := look([4]int{21, 10, 31, 14}, 0.7)
		if c.Tone != grown.Tone {
			t.Errorf("frame %d in shadow: tone %v, that of the lit half is %v", n, c.Tone, grown.Tone)
		}
		if fresh := math.Abs(c.CYY-grown.CYY) > 0.3; fresh != (n > 6) {
			t.Errorf("frame %d in shadow: variance %.2f px², %.2f px² in the light", n, c.CYY, grown.CYY)
		}
	}
}
