package steady

import (
	"errors"
	"image"
	"math"
	"testing"

	"gocv.io/x/gocv"
)

// wall is what a camera looks at: soft spots, one in about each cell of a grid, at
// places and of a light that a hash of the cell says. It is a formula, so that any
// frame of a moved camera is sampled from it without resampling a picture.
type wall struct {
	cellPx float64 // of the grid
	spotPx float64 // s.d. of a spot
	light  func(i, j int) float64
}

// usual fills a picture of w px with the corners that a cage has.
func usual(w int) wall {
	k := math.Max(1, float64(w)/640)
	return wall{cellPx: 20 * k, spotPx: 3 * k, light: func(i, j int) float64 { return 40 + 50*hash(i, j, 2) }}
}

// hash is a number in [0, 1) for a cell.
func hash(i, j, salt int) float64 {
	h := uint32(i*73856093) ^ uint32(j*19349663) ^ uint32(salt*83492791)
	h = (h ^ h>>15) * 0x2c1b3c6d
	h = (h ^ h>>12) * 0x297a2d39
	return float64(h^h>>15) / (1 << 32)
}

// at is the light of the wall at a point.
func (p wall) at(x, y float64) float64 {
	i0, j0 := int(math.Floor(x/p.cellPx)), int(math.Floor(y/p.cellPx))
	sum := 60.0
	for i := i0 - 1; i <= i0+1; i++ {
		for j := j0 - 1; j <= j0+1; j++ {
			light := p.light(i, j)
			if light == 0 {
				continue
			}
			dx := x - p.cellPx*(float64(i)+0.2+0.6*hash(i, j, 0))
			dy := y - p.cellPx*(float64(j)+0.2+0.6*hash(i, j, 1))
			sum += light * math.Exp(-(dx*dx+dy*dy)/(2*p.spotPx*p.spotPx))
		}
	}
	return math.Min(sum, 255)
}

// frame is the wall by a camera whose pixels lie at to(x, y) in the first frame.
func (p wall) frame(w, h int, to func(x, y float64) (float64, float64)) []uint8 {
	out := make([]uint8, w*h)
	for k := range out {
		out[k] = uint8(math.Round(p.at(to(float64(k%w), float64(k/w)))))
	}
	return out
}

// shift is a camera that moved so that what it sees moved by x, y px.
func shift(x, y float64) Transform { return Transform{XX: 1, YY: 1, TX: -x, TY: -y} }

// turn is one that rolled by deg about the picture's middle and zoomed out.
func turn(w, h int, deg, zoom float64) Transform {
	s, c := math.Sincos(deg * math.Pi / 180)
	s, c = s*zoom, c*zoom
	x, y := float64(w-1)/2, float64(h-1)/2
	return Transform{XX: c, XY: -s, YX: s, YY: c, TX: x - c*x + s*y, TY: y - s*x - c*y}
}

// off is the most by which two transforms differ within a picture, px.
func off(a, b Transform, w, h int) float64 {
	most := 0.0
	for _, x := range []float64{0, float64(w - 1)} {
		for _, y := range []float64{0, float64(h - 1)} {
			ax, ay := a.Apply(x, y)
			bx, by := b.Apply(x, y)
			most = math.Max(most, math.Hypot(ax-bx, ay-by))
		}
	}
	return most
}

// follower is one that has seen a first frame.
func follower(t *testing.T, w, h int, first []uint8) *Follower {
	t.Helper()
	f := NewFollower(w, h)
	t.Cleanup(f.Close)
	if got := add(t, f, first); got != Still {
		t.Fatalf("first frame: %+v, want still", got)
	}
	return f
}

func add(t *testing.T, f *Follower, luma []uint8) Transform {
	t.Helper()
	got, err := f.Add(luma)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

const (
	width, height = 320, 180
	// closePx is how near a fit comes to the truth: luma is rounded to whole steps, a
	// few tenths of a percent of a spot's light, and flow ends at a hundredth of a
	// pixel.
	closePx = 0.06
)

// The camera's own map is found from what it saw, whatever the map and at whatever
// reduction the flow runs: 1 at 320 px, 2 at 1280 px, 3 at 1920 px.
func TestFollowerFindsTheCamera(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		w, h int
		move func(w, h int) Transform
		tol  float64
	}{
		{"a shift", width, height, func(int, int) Transform { return shift(2.3, -1.6) }, closePx},
		{"a roll", width, height, func(w, h int) Transform { return turn(w, h, 1.2, 1) }, closePx},
		{"a zoom", width, height, func(w, h int) Transform { return turn(w, h, -0.5, 1.015) }, closePx},
		{"a shear", width, height, func(int, int) Transform { return Transform{XX: 1, XY: 0.012, YX: -0.004, YY: 1.008, TX: 1} }, closePx},
		{"half size", 1280, 360, func(w, h int) Transform { return turn(w, h, 0.4, 1.004) }, 2 * closePx},
		{"a third of the size", 1920, 300, func(w, h int) Transform { return turn(w, h, 0.3, 0.997) }, 3 * closePx},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, want := usual(c.w), c.move(c.w, c.h)
			f := follower(t, c.w, c.h, p.frame(c.w, c.h, Still.Apply))
			got := add(t, f, p.frame(c.w, c.h, want.Apply))
			if d := off(got, want, c.w, c.h); d > c.tol || f.Lost() != 0 {
				t.Errorf("off by %.3f px, lost %d: got %+v, want %+v", d, f.Lost(), got, want)
			}
		})
	}
}

// Phase correlation, which knows no corners, sees the same shift.
func TestFollowerAgreesWithPhaseCorrelation(t *testing.T) {
	t.Parallel()
	p, move := usual(width), shift(-2.75, 1.25)
	first, second := p.frame(width, height, Still.Apply), p.frame(width, height, move.Apply)
	got := add(t, follower(t, width, height, first), second)

	// Hann's window lets the edges, where the pictures differ, fade.
	window := gocv.NewMatWithSize(height, width, gocv.MatTypeCV32F)
	t.Cleanup(func() { window.Close() })
	for y := range height {
		for x := range width {
			window.SetFloatAt(y, x, float32(math.Pow(math.Sin(math.Pi*float64(x)/(width-1))*math.Sin(math.Pi*float64(y)/(height-1)), 2)))
		}
	}
	var pics [2]gocv.Mat
	for i, luma := range [][]uint8{first, second} {
		bytes, err := gocv.NewMatFromBytes(height, width, gocv.MatTypeCV8U, luma)
		if err != nil {
			t.Fatal(err)
		}
		pics[i] = gocv.NewMat()
		bytes.ConvertTo(&pics[i], gocv.MatTypeCV32F)
		bytes.Close()
		t.Cleanup(func() { pics[i].Close() })
	}
	moved, _ := gocv.PhaseCorrelate(pics[0], pics[1], window)
	const edgesPx = 0.1 // what the edges still say
	if math.Abs(got.TX+float64(moved.X)) > edgesPx || math.Abs(got.TY+float64(moved.Y)) > edgesPx {
		t.Errorf("corners moved by %.3f, %.3f px, the phase by %.3f, %.3f", -got.TX, -got.TY, moved.X, moved.Y)
	}
}

// A hitter who moves by two pixels over two fifths of the picture has no vote.
func TestFollowerHeedsTheMajority(t *testing.T) {
	t.Parallel()
	p, camera, hitter := usual(width), shift(1.5, 0.5), shift(3.5, 0.5)
	f := follower(t, width, height, p.frame(width, height, Still.Apply))
	got := add(t, f, p.frame(width, height, func(x, y float64) (float64, float64) {
		if x > 0.3*width && x < 0.7*width {
			return hitter.Apply(x, y)
		}
		return camera.Apply(x, y)
	}))
	if d := off(got, camera, width, height); d > 2*closePx {
		t.Errorf("off by %.2f px: got %+v", d, got)
	}
	if f.Inliers < 30 || f.Inliers > 56 {
		t.Errorf("%d corners agree, want about three fifths of 80", f.Inliers)
	}
}

// Something that comes to stand before three fifths of the wall hides it and has no vote
// either: its corners lead nowhere, and so not back.
func TestFollowerSeesPastWhatCoversTheWall(t *testing.T) {
	t.Parallel()
	p, camera := usual(width), shift(0.75, -1.5)
	f := follower(t, width, height, p.frame(width, height, Still.Apply))
	got := add(t, f, p.frame(width, height, func(x, y float64) (float64, float64) {
		if x > 0.4*width {
			return shift(4321, 1234).Apply(x, y)
		}
		return camera.Apply(x, y)
	}))
	if x, y := got.Apply(40, 90); math.Hypot(x-39.25, y-91.5) > closePx || f.Lost() != 0 {
		t.Errorf("at %.2f, %.2f, want 39.25, 91.5; lost %d", x, y, f.Lost())
	}
}

// Without a majority for one motion, and with another scene altogether, the last that
// was known stands and the frame is counted as lost.
func TestFollowerLosesItsWay(t *testing.T) {
	t.Parallel()
	p, known := usual(width), shift(1, 1)
	first := p.frame(width, height, Still.Apply)
	for name, luma := range map[string][]uint8{
		"three motions": p.frame(width, height, func(x, y float64) (float64, float64) {
			return shift(4*math.Floor(3*x/width)-4, 3*math.Abs(math.Floor(3*x/width)-1)).Apply(x, y)
		}),
		"another wall": p.frame(width, height, shift(4321, 1234).Apply),
		"darkness":     make([]uint8, width*height),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := follower(t, width, height, first)
			if d := off(add(t, f, p.frame(width, height, known.Apply)), known, width, height); d > closePx || f.Lost() != 0 {
				t.Fatalf("off by %.2f px before, lost %d", d, f.Lost())
			}
			if d := off(add(t, f, luma), known, width, height); d > closePx || f.Lost() != 1 {
				t.Errorf("off by %.2f px from the last known, lost %d, want 1", d, f.Lost())
			}
			if add(t, f, luma); f.Lost() != 2 {
				t.Errorf("lost %d of two frames", f.Lost())
			}
		})
	}
}

// A long way goes in steps: each frame is held against the first, from where the
// corners were last, so that a drift of many windows neither adds up nor gets lost.
func TestFollowerGoesFarInSteps(t *testing.T) {
	t.Parallel()
	p := usual(width)
	f := follower(t, width, height, p.frame(width, height, Still.Apply))
	for i := 1; i <= 15; i++ {
		want := shift(4*float64(i), float64(i))
		if d := off(add(t, f, p.frame(width, height, want.Apply)), want, width, height); d > 2*closePx {
			t.Fatalf("step %d: off by %.2f px", i, d)
		}
	}
	if f.Lost() != 0 {
		t.Errorf("lost %d", f.Lost())
	}
}

// A picture that grows far beyond what a camera's moves do is not believed.
func TestFollowerRefusesAnAbsurdZoom(t *testing.T) {
	t.Parallel()
	p := wall{cellPx: 28, spotPx: 5, light: func(i, j int) float64 { return 90 }}
	f := follower(t, width, height, p.frame(width, height, Still.Apply))
	var zooms []float64 // those that were believed
	for i := 1; i <= 18; i++ {
		z := math.Pow(0.975, float64(i))
		lost := f.Lost()
		got := add(t, f, p.frame(width, height, turn(width, height, 0, z).Apply))
		if f.Lost() == lost {
			zooms = append(zooms, got.XX)
		}
	}
	if len(zooms) < 4 {
		t.Fatalf("only %d steps were followed", len(zooms))
	}
	for _, z := range zooms {
		if z*z < 0.5-0.01 {
			t.Errorf("an area of %.2f was believed", z*z)
		}
	}
}

// Too few corners are no background: nothing is followed, and nothing is lost.
func TestFollowerOfABareWall(t *testing.T) {
	t.Parallel()
	spots := func(n int) wall {
		return wall{cellPx: 40, spotPx: 4, light: func(i, j int) float64 {
			if k := i - 1 + 6*(j-1); i < 1 || i > 6 || j < 1 || j > 3 || k >= n {
				return 0
			}
			return 120
		}}
	}
	move := shift(2, 1)
	for _, c := range []struct {
		spots int
		want  Transform
	}{{0, Still}, {6, Still}, {12, move}, {18, move}} {
		p := spots(c.spots)
		f := follower(t, width, height, p.frame(width, height, Still.Apply))
		if d := off(add(t, f, p.frame(width, height, move.Apply)), c.want, width, height); d > 2*closePx || f.Lost() != 0 {
			t.Errorf("%d spots: off by %.2f px, lost %d", c.spots, d, f.Lost())
		}
	}
}

// One bright lamp does not hide a wall that is five times less bright.
func TestFollowerSeesPastALamp(t *testing.T) {
	t.Parallel()
	p := wall{cellPx: 24, spotPx: 3, light: func(i, j int) float64 {
		if i == 3 && j == 3 {
			return 170
		}
		return 34
	}}
	move := shift(1.5, -1)
	f := follower(t, width, height, p.frame(width, height, Still.Apply))
	if d := off(add(t, f, p.frame(width, height, move.Apply)), move, width, height); d > 2*closePx || f.Inliers < 40 {
		t.Errorf("off by %.2f px on %d corners", d, f.Inliers)
	}
}

// A camera that stood still for a dozen frames is looked at every eighth frame alone:
// a move is seen then, and from there on in each frame.
func TestFollowerRestsWhileTheCameraStands(t *testing.T) {
	t.Parallel()
	p := usual(width)
	tremble, there, back := shift(0.05, 0), shift(3, 0), shift(0, 2)
	first := p.frame(width, height, Still.Apply)
	luma := map[Transform][]uint8{}
	for _, move := range []Transform{tremble, there, back} {
		luma[move] = p.frame(width, height, move.Apply)
	}
	for _, rest := range []struct{ still, unseen int }{{12, 3}, {17, 6}} { // the next is frame 16, or 24
		f := follower(t, width, height, first)
		for n, c := range []struct {
			frames      int
			shown, want Transform
		}{
			{rest.still, tremble, tremble}, // less than what counts as a move, and yet told as it is
			{rest.unseen, there, tremble},
			{1, there, there},
			{1, back, back},
			{1, there, there},
		} {
			for i := range c.frames {
				if got := add(t, f, luma[c.shown]); got == Still || off(got, c.want, width, height) > closePx {
					t.Fatalf("%d still frames, part %d, frame %d of it: %+v, want %+v", rest.still, n, i, got, c.want)
				}
			}
		}
	}
}

// A dozen still frames with a move among them are no rest.
func TestFollowerCountsItsRestAnew(t *testing.T) {
	t.Parallel()
	p := usual(width)
	luma := map[float64][]uint8{}
	for _, x := range []float64{0, 3} {
		luma[x] = p.frame(width, height, shift(x, 0).Apply)
	}
	f := follower(t, width, height, luma[0])
	for n := 1; n <= 23; n++ {
		x := 0.0
		if n == 12 || n == 23 {
			x = 3
		}
		if got := add(t, f, luma[x]); off(got, shift(x, 0), width, height) > closePx {
			t.Fatalf("frame %d: %+v, want a shift by %g px", n, got, x)
		}
	}
}

// A camera that shakes by a quarter of a pixel is looked at in every frame.
func TestFollowerWatchesAShakingCamera(t *testing.T) {
	t.Parallel()
	p := usual(width)
	shaken := p.frame(width, height, shift(0.25, 0).Apply)
	f := follower(t, width, height, p.frame(width, height, Still.Apply))
	for n := 1; n <= 13; n++ {
		add(t, f, shaken)
	}
	want := shift(-2, 0)
	if got := add(t, f, p.frame(width, height, want.Apply)); off(got, want, width, height) > closePx {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// A plane of another size than was said is refused.
func TestFollowerRefusesAShortPlane(t *testing.T) {
	t.Parallel()
	f := NewFollower(width, height)
	defer f.Close()
	if _, err := f.Add(make([]uint8, width*height-1)); !errors.Is(err, ErrSize) {
		t.Errorf("got %v, want ErrSize", err)
	}
}

// Flow runs on a picture about 640 px wide, by a whole number.
func TestReduction(t *testing.T) {
	t.Parallel()
	for w, want := range map[int]float64{320: 1, 640: 1, 854: 1, 1080: 2, 1280: 2, 1920: 3, 3840: 6} {
		f := NewFollower(w, 720)
		if f.factor != want {
			t.Errorf("%d px are reduced by %g, want %g", w, f.factor, want)
		}
		f.Close()
	}
}

// What flow runs on is the frame averaged over squares: pixel i of it lies at the middle
// of its square, 2i + ½ for squares of two. OpenCV's own reduction of a ramp says so.
func TestFullResolution(t *testing.T) {
	t.Parallel()
	const w, h = 1280, 4
	ramp := gocv.NewMatWithSize(h, w, gocv.MatTypeCV32F)
	defer ramp.Close()
	for x := range w {
		for y := range h {
			ramp.SetFloatAt(y, x, float32(x))
		}
	}
	small := gocv.NewMat()
	defer small.Close()
	gocv.Resize(ramp, &small, image.Pt(w/2, h/2), 0, 0, gocv.InterpolationArea)
	f := NewFollower(w, 720)
	defer f.Close()
	// A map of working px, by hand: it takes working pixel 100 to 1.01·100 + 3 = 104.
	full := f.full(Transform{XX: 1.01, YY: 1.01, TX: 3, TY: 1})
	if got, _ := full.Apply(float64(small.GetFloatAt(0, 100)), 0); math.Abs(got-float64(small.GetFloatAt(0, 104))) > 1e-4 {
		t.Errorf("x %g, want %g", got, small.GetFloatAt(0, 104))
	}
	// Rows alike: working row 200 goes to 1.01·200 + 1 = 203, rows 400.5 and 406.5.
	if _, got := full.Apply(0, 400.5); math.Abs(got-406.5) > 1e-9 {
		t.Errorf("y %g, want 406.5", got)
	}
}
