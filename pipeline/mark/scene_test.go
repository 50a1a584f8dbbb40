package mark

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashline/pipeline/steady"
)

// flat is a shot of one colour, changed by change at each chroma pixel.
func flat(w, h int, change func(x, y int) (luma, cb, cr uint8)) shot {
	s := shot{w: w, h: h, y: make([]uint8, w*h), u: make([]uint8, w*h), v: make([]uint8, w*h), move: steady.Still}
	for p := range s.y {
		s.y[p], s.u[p], s.v[p] = change(p%w, p/w)
	}
	return s
}

// By hand: the middle of the shortest half. Two fifths of the codes are of something else;
// of a normal law half lies within 0.6745 s.d. each way, of many spans that are as short.
func TestUsual(t *testing.T) {
	t.Parallel()
	if got, _ := usual([]uint8{200, 100, 210, 101, 102, 220, 103, 230, 104, 100}); got != 102 {
		t.Errorf("usual code %d, want 102", got)
	}
	normal := distuv.Normal{Mu: 120, Sigma: 10}
	var codes []uint8
	for i := range 200 {
		codes = append(codes, code(normal.Quantile((float64(i*7%200)+0.5)/200)))
	}
	if got, sd := usual(codes); math.Abs(float64(got)-120) > 5 || math.Abs(sd-10) > 1 {
		t.Errorf("%d ± %.2f, want 120 ± 10", got, sd)
	}
	if got, sd := usual([]uint8{77}); got != 77 || sd != 0 {
		t.Errorf("of one code: %d ± %g", got, sd)
	}
}

// The background is what stands for most of the clip, wherever the camera turns: a thing
// that passes is not in it, and it counts to what moves.
func TestSceneIsWhatStands(t *testing.T) {
	t.Parallel()
	const w, h = 40, 30
	back := func(x, y int) (luma, cb, cr uint8) {
		return uint8(80 + 40*((x/8+y/8)%2)), 120, 130
	}
	survey := &Survey{coding: Coding{Matrix: "bt709"}}
	for n := range 20 {
		pan := n / 4 // chroma px
		s := flat(w, h, func(x, y int) (luma, cb, cr uint8) {
			if x+pan >= n && x+pan < n+3 && y >= 10 && y < 13 {
				return 200, 60, 200
			}
			return back(x+pan, y)
		})
		s.move.TX = 2 * float64(pan)
		survey.kept = append(survey.kept, s)
	}
	sc := survey.Scene()
	for y := range h {
		for x := 4; x < w; x++ { // what lies to the left was seen too seldom
			p := y*w + x
			luma, cb, cr := back(x, y)
			if sc.y[p] != luma || sc.u[p] != cb || sc.v[p] != cr || sc.softY[p] < 3 || sc.softC[p] < 2 {
				t.Fatalf("at %d, %d: %d %d %d, soft %d and %d; want %d %d %d", x, y, sc.y[p], sc.u[p], sc.v[p], sc.softY[p], sc.softC[p], luma, cb, cr)
			}
		}
	}
	thing, wall := cell(200, 60, 200), cell(80, 120, 130)
	if sc.moving[thing] < 50*sc.moving[wall] || sc.all[wall] < 50*sc.all[thing] {
		t.Errorf("thing: %.5f of what moves, %.5f of all; wall: %.5f and %.5f", sc.moving[thing], sc.all[thing], sc.moving[wall], sc.all[wall])
	}
	// Seen in fewer than five shots it is not known.
	few := &Survey{coding: survey.coding}
	for n := range 8 {
		s := flat(w, h, back)
		s.move.TX = float64(2 * 10 * (n % 2))
		few.kept = append(few.kept, s)
	}
	if sc := few.Scene(); sc.softY[5*w+5] != 0 || sc.softY[5*w+20] == 0 {
		t.Errorf("soft %d where four shots were, %d where eight were", sc.softY[5*w+5], sc.softY[5*w+20])
	}
	if (&Survey{}).Scene() != nil {
		t.Error("a scene of nothing")
	}
}

// By hand: of pixels three s.d. off their background none moves, of those five s.d. off all
// do.
func TestWhatMovesIsCounted(t *testing.T) {
	t.Parallel()
	const w, h = 30, 20
	s := flat(w, h, func(x, _ int) (luma, cb, cr uint8) {
		return 100 + uint8([]int{0, 24, 40}[x/10]), 128, 128
	})
	sc := &Scene{w: w, h: h, all: new(density), moving: new(density)}
	back := flat(w, h, func(int, int) (luma, cb, cr uint8) { return 100, 128, 128 })
	sc.y, sc.u, sc.v, sc.softY, sc.softC = back.y, back.u, back.v, make([]uint8, w*h), make([]uint8, w*h)
	for p := range sc.softY {
		sc.softY[p], sc.softC[p] = 8, 8
	}
	var same light
	for c := range 256 {
		same.y[c], same.u[c], same.v[c] = uint8(c), uint8(c), uint8(c)
	}
	sc.count([]shot{s}, []light{same})
	at := func(d *density, y uint8) float64 { return float64(d[cell(y, 128, 128)]) }
	if a, b := at(sc.moving, 124), at(sc.moving, 140); a > b/10 || b < 0.1 {
		t.Errorf("three s.d. off: %.5f of what moves, five: %.5f", a, b)
	}
	if a, b, c := at(sc.all, 100), at(sc.all, 124), at(sc.all, 140); math.Abs(a-b) > 0.3*a || math.Abs(b-c) > 0.3*b {
		t.Errorf("of all: %.5f, %.5f, %.5f, want a third of an eighth each", a, b, c)
	}
}

// By hand: an edge of 40 codes over two pixels is soft by 0.35 px of it, 7 codes, and 3 that
// every pixel is.
func TestEdgesAreSoft(t *testing.T) {
	t.Parallel()
	const w, h = 8, 6
	s := flat(w, h, func(x, _ int) (luma, cb, cr uint8) {
		if x >= 4 {
			return 140, 148, 128
		}
		return 100, 128, 128
	})
	sc := &Scene{w: w, h: h, y: s.y, u: s.u, v: s.v, softY: make([]uint8, w*h), softC: make([]uint8, w*h)}
	for p := range sc.softY {
		sc.softY[p], sc.softC[p] = 3, 2
	}
	sc.softY[2*w+2] = 0
	sc.soften()
	for x, want := range map[int][2]uint8{1: {3, 2}, 3: {10, 5}, 4: {10, 5}, 6: {3, 2}} {
		if p := 2*w + x; sc.softY[p] != want[0] || sc.softC[p] != want[1] {
			t.Errorf("x %d: soft %d, %d; want %v", x, sc.softY[p], sc.softC[p], want)
		}
	}
	if sc.softY[2*w+2] != 0 {
		t.Error("what is not known is soft")
	}
}

// By hand: 6 codes of luma at 3 s.d. each are χ² 4, 3 and 4 of chroma at 2.5 another 4. As a
// density over all colours it adds up to one.
func TestOffIsChi2(t *testing.T) {
	t.Parallel()
	sc := &Scene{y: []uint8{120}, u: []uint8{110}, v: []uint8{140}, softY: []uint8{30}, softC: []uint8{20}}
	if got, want := sc.off(0, 120+60, 110-30, 140+40), 4+(900.0+1600)/400; math.Abs(got-want) > 1e-12 {
		t.Errorf("χ² %g, want %g", got, want)
	}
	sum := 0.0
	for c := range (density{}) {
		y, u, v := centre(c)
		sum += math.Exp(sc.logStill(0, code(y), code(u), code(v)))
	}
	if math.Abs(sum-1) > 0.02 {
		t.Errorf("the likelihood adds up to %.4f", sum)
	}
}

// A picture that is darker by a fifth above black and a few codes bluer is brought into the
// background's light, whatever moves through it and wherever the camera turned.
func TestLightIsMatched(t *testing.T) {
	t.Parallel()
	const w, h, pan = 200, 160, 6
	rng := rand.New(rand.NewPCG(2, 2))
	var wall [(w + pan) * h]uint8
	for p := range wall {
		wall[p] = uint8(90 + rng.IntN(90))
	}
	sc := &Scene{coding: Coding{Matrix: "bt709"}, w: w, h: h}
	back := flat(w, h, func(x, y int) (luma, cb, cr uint8) { return wall[y*(w+pan)+x], 128, 128 })
	sc.y, sc.u, sc.v = back.y, back.u, back.v
	s := flat(w, h, func(x, y int) (luma, cb, cr uint8) {
		if x > 60 && x < 120 { // a hitter
			return 40, 150, 100
		}
		return uint8(math.Round(16 + 0.8*(float64(wall[y*(w+pan)+x+pan])-16))), 133, 126
	})
	s.move.TX = 2 * pan
	l := sc.light(&s, steady.Still)
	for _, c := range []struct{ got, want float64 }{
		{float64(l.y[96]), 16 + 80/0.8}, {float64(l.y[16]), 16}, {float64(l.u[133]), 128}, {float64(l.v[126]), 128}, {float64(l.u[173]), 128 + 40/0.8},
	} {
		if math.Abs(c.got-c.want) > 1.5 {
			t.Errorf("code %g, want %g", c.got, c.want)
		}
	}
	// Too little of a wall to tell by: nothing is changed.
	dark := flat(w, h, func(int, int) (luma, cb, cr uint8) { return 30, 128, 128 })
	if l := sc.light(&dark, steady.Still); l.y[100] != 100 || l.u[90] != 90 {
		t.Errorf("a dark picture: code 100 is %d", l.y[100])
	}
}

// By hand: one filled cell is blurred to an eighth of itself and to a quarter, a half and so
// on of that for its neighbours; two in a hundred of all are any colour.
func TestDensityIsBlurred(t *testing.T) {
	t.Parallel()
	d := new(density)
	const x = 1 << cellBits
	at := 10*x*x + 12*x + 14
	d[at] = 7
	d.settle()
	rest := 0.02 / float64(len(d))
	for off, want := range map[int]float64{0: 1.0 / 8, 1: 1.0 / 16, x: 1.0 / 16, -x * x: 1.0 / 16, 1 + x: 1.0 / 32, 1 - x - x*x: 1.0 / 64, 2: 0} {
		if got := float64(d[at+off]); math.Abs(got-0.98*want-rest) > 1e-6 {
			t.Errorf("cell %+d: %.6f, want %.6f", off, got, 0.98*want+rest)
		}
	}
}

// A band's pixels look like its colour in half or full light and not like another colour; a
// rim looks like both it and what lies behind.
func TestBandLooksLikeItsColour(t *testing.T) {
	t.Parallel()
	coding := Coding{Matrix: "bt709"}
	behind := new(density)
	blue := vec{0.02, 0.3, 0.6} // linear light
	wy, wu, wv := coding.codes(vec{toneEncode(blue[0]), toneEncode(blue[1]), toneEncode(blue[2])})
	behind[cell(code(wy), code(wu), code(wv))] = 1
	full := vec{1, 0.05, 0.3}
	d := bandDensity(full, coding, behind)
	like := func(share, mix float64) float64 {
		var rgb vec
		for i := range rgb {
			rgb[i] = toneEncode(mix*share*full[i] + (1-mix)*blue[i])
		}
		y, u, v := coding.codes(rgb)
		return float64(d[cell(code(y), code(u), code(v))])
	}
	y, u, v := coding.codes(vec{0.2, 0.9, 0.4})
	other := float64(d[cell(code(y), code(u), code(v))])
	for name, p := range map[string]float64{"full light": like(1, 1), "half light": like(0.5, 1), "a rim": like(0.7, 0.5), "a thin rim": like(0.7, 0.35)} {
		if p < 20*other {
			t.Errorf("%s: %.6f, another colour %.6f", name, p, other)
		}
	}
	// In deep shadow for 15 % of the samples, and glaring for 4 %.
	if deep := like(0.12, 1); deep < 3*other {
		t.Errorf("in shadow: %.6f, another colour %.6f", deep, other)
	}
}

// By hand: the mean of two by two, the last column and row taken twice where there is none.
func TestShrink(t *testing.T) {
	t.Parallel()
	p := Plane{Pix: []uint8{10, 20, 30, 30, 40, 51, 7, 9, 11}, Width: 3, Height: 3, Stride: 3}
	for row, want := range map[int][2]uint8{0: {25, 41}, 1: {8, 11}} {
		var got [2]uint8
		shrink(got[:], p, row)
		if got != want {
			t.Errorf("row %d: %v, want %v", row, got, want)
		}
	}
}
