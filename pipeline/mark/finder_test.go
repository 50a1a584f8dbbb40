package mark

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ashline/pipeline/card"
	"ashline/pipeline/steady"
)

// garden is a clip of a lime band before a hedge of its hue: dark and bright leaves, which
// are as green as the band but duller.
type garden struct {
	restFrames int     // the band rests for so many frames, then moves on
	panPx      float64 // of the camera, a frame
	stops      float64 // of exposure, first frame to last
}

const gardenW, gardenH, gardenFrames, gardenBand = 320, 180, 40, 12

// gardenLime is the band's colour, sRGB.
var gardenLime = card.RGB{R: 0x8c, G: 0xe0, B: 0x28}

// at is where the band's middle is in the garden in a frame, px of the first frame.
func (g garden) at(frame int) (x, y float64) {
	n := float64(max(0, frame-g.restFrames))
	return 60 + 6*n, 90 + 30*math.Sin(n/6)
}

// frame draws one frame: mixed in linear light, encoded after.
func (g garden) frame(n int) planes {
	coding := Coding{Matrix: "bt709"}
	bx, by := g.at(n)
	gain := math.Exp2(g.stops * float64(n) / gardenFrames)
	pan := int(math.Round(g.panPx * float64(n)))
	noise := rand.New(rand.NewPCG(7, uint64(n)))
	lime := vec{toneLinear(float64(gardenLime.R) / 255), toneLinear(float64(gardenLime.G) / 255), toneLinear(float64(gardenLime.B) / 255)}
	f := planes{
		y: Plane{make([]uint8, gardenW*gardenH), gardenW, gardenH, gardenW},
		u: Plane{make([]uint8, gardenW*gardenH/4), gardenW / 2, gardenH / 2, gardenW / 2},
		v: Plane{make([]uint8, gardenW*gardenH/4), gardenW / 2, gardenH / 2, gardenW / 2},
	}
	var us, vs [gardenW * gardenH]float64
	for y := range gardenH {
		for x := range gardenW {
			// A leaf is 4 px wide, and the same wherever the camera turns.
			leaf := rand.New(rand.NewPCG(uint64((x+pan)/4), uint64(y/4)))
			l := 0.02 + 0.2*leaf.Float64()*leaf.Float64()
			rgb := vec{0.45 * l, l, 0.2 * l}
			if math.Abs(float64(x+pan)-bx) < gardenBand/2 && math.Abs(float64(y)-by) < gardenBand/2 {
				shade := 0.9 - 0.4*(float64(y)-by)/gardenBand
				rgb = vec{shade * lime[0], shade * lime[1], shade * lime[2]}
			}
			for i := range rgb {
				rgb[i] = toneEncode(math.Min(1, gain*rgb[i]))
			}
			p := y*gardenW + x
			var yy float64
			yy, us[p], vs[p] = coding.codes(rgb)
			f.y.Pix[p] = code(yy + 1.5*noise.NormFloat64())
		}
	}
	for y := range gardenH / 2 {
		for x := range gardenW / 2 {
			p, q := 2*y*gardenW+2*x, y*gardenW/2+x
			f.u.Pix[q] = code((us[p] + us[p+1] + us[p+gardenW] + us[p+gardenW+1]) / 4)
			f.v.Pix[q] = code((vs[p] + vs[p+1] + vs[p+gardenW] + vs[p+gardenW+1]) / 4)
		}
	}
	return f
}

func TestBandBeforeAHedgeOfItsHueIsTheStrongestPatch(t *testing.T) {
	t.Parallel()
	const offPx = 3.0 // a quarter of the band
	for name, g := range map[string]garden{
		"tripod":           {},
		"a pan":            {panPx: 1.3},
		"exposure drifts":  {stops: 0.7},
		"rests for a half": {restFrames: gardenFrames * 45 / 100},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			survey := NewSurvey(Coding{Matrix: "bt709"})
			move := func(n int) steady.Transform {
				m := steady.Still
				m.TX = math.Round(g.panPx * float64(n))
				return m
			}
			for n := range gardenFrames {
				f := g.frame(n)
				survey.Add(f.y, f.u, f.v, move(n))
			}
			model := NewModel("barrel", gardenLime, Coding{Matrix: "bt709"})
			finder := NewFinder([]Model{model}, survey.Scene(), Site{0.5, 0.5})
			found, wrong := 0, ""
			for n := range gardenFrames {
				f := g.frame(n)
				x, y := g.at(n)
				got := finder.Add(f.y, f.u, f.v, move(n))[0]
				if len(got) == 0 {
					wrong += fmt.Sprintf("frame %d: nothing\n", n)
					continue
				}
				cx, cy := move(n).Apply(got[0].X, got[0].Y)
				if math.Hypot(cx-x, cy-y) <= offPx {
					found++
				} else {
					wrong += fmt.Sprintf("frame %d: (%.0f, %.0f), the band is at (%.0f, %.0f)\n", n, cx, cy, x, y)
				}
			}
			if found < gardenFrames-1 {
				t.Errorf("the band came first in %d of %d frames\n%s", found, gardenFrames, wrong)
			}
		})
	}
}

// The ninth mark is looked for as the first is.
func TestNineMarks(t *testing.T) {
	t.Parallel()
	coding := Coding{Matrix: "bt709"}
	var models []Model
	for range 8 {
		models = append(models, NewModel("other", card.RGB{R: 0, G: 0, B: 255}, coding))
	}
	models = append(models, NewModel("ninth", gardenLime, coding))
	survey := NewSurvey(coding)
	f := garden{}.frame(0)
	survey.Add(f.y, f.u, f.v, steady.Still)
	finder := NewFinder(models, survey.Scene(), Site{0.5, 0.5})
	finder.Add(f.y, f.u, f.v, steady.Still)
	if finder.SeenFrames(8) != 1 {
		t.Error("the ninth mark is not seen")
	}
}

// A clip of any length leaves as many shots, spread over all of it.
func TestSurveyOfVeryManyFrames(t *testing.T) {
	t.Parallel()
	const frames = 1<<16 + 100
	survey := NewSurvey(Coding{Matrix: "bt709"})
	p := Plane{Pix: make([]uint8, 16), Width: 4, Height: 4, Stride: 4}
	c := Plane{Pix: make([]uint8, 4), Width: 2, Height: 2, Stride: 2}
	for n := range frames {
		m := steady.Still
		m.TX = float64(n)
		survey.Add(p, c, c, m)
	}
	n := len(survey.kept)
	if last := survey.kept[n-1].move.TX; n < shotsKept || n > 2*shotsKept || last < frames-2*frames/shotsKept {
		t.Errorf("%d shots, the last of frame %g", n, last)
	}
}

// A density's cells, filled or not, add up to one, and none is impossible.
func TestDensitySettles(t *testing.T) {
	t.Parallel()
	d := new(density)
	d[cell(120, 90, 200)] = 5
	d.settle()
	sum, least := 0.0, math.Inf(1)
	for _, p := range d {
		sum += float64(p)
		least = math.Min(least, float64(p))
	}
	if math.Abs(sum-1) > 1e-3 || !(least > 0) {
		t.Errorf("sum %g, least %g", sum, least)
	}
	y, u, v := centre(cell(120, 90, 200))
	if math.Max(math.Abs(y-120), math.Max(math.Abs(u-90), math.Abs(v-200))) > 4 {
		t.Errorf("the cell of (120, 90, 200) is about (%g, %g, %g)", y, u, v)
	}
}
