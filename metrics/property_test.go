package metrics

import (
	"fmt"
	"math"
	"sync"
	"testing"

	"ashline/metrics/bat"
	"ashline/metrics/bat/battest"
	"ashline/metrics/catalogue"
	"ashline/metrics/geom"
)

// filmedSwing is a whole clip of the swing of battest, at a rate, with the ball
// that it meets at time 0.
type filmedSwing struct {
	fps    float64
	startS float64 // of the clip's clock at contact less 0.15 s
	mirror bool
	zoom   float64 // picture's pixels in those of a picture 1280 wide
	scale  []Scale // on the card; nil for two points
	blind  bool    // no ball is seen
	apart  bool    // how far apart the bat's marks are is not on the card
	limits Tolerances
}

const (
	filmWidth, filmHeight = 1280, 720
	filmDistanceM         = 5.4
)

// codingPx2 is what averaging chroma over two pixels and coding it add to a variance.
const codingPx2 = 2.0 / 3

// sampled is what is seen of a band as it comes from a track.
func sampled(m battest.Moments) Sample {
	return Sample{XPx: m.Px[0], YPx: m.Px[1], VarXX: 0.09, VarYY: 0.09, How: Seen, Shape: bat.Shape{
		Mass: m.Light, SXX: m.SXX, SXY: m.SXY, SYY: m.SYY, Third: m.Third, LitX: m.LitX, LitY: m.LitY, Skewed: true,
	}}
}

// Places and speeds of the ball at contact, m and m/s: 35 m/s falling by 6° in, and
// out upwards.
var (
	filmBallIn  = [2]float64{-34.8, -3.66}
	filmBallOut = [2]float64{36, 9}
)

func (f filmedSwing) measure(t *testing.T) Swing {
	t.Helper()
	return f.study(t).Result.Swings[0]
}

// film is the clip, of one swing, and its card.
func (f filmedSwing) film() (Track, Card) {
	view := geom.View{FocalPx: 1500 * f.zoom, CX: (filmWidth*f.zoom - 1) / 2, CY: (filmHeight*f.zoom - 1) / 2, DistanceM: filmDistanceM, Sign: 1, Lens: true}
	card := Card{Kind: "machine", Bats: "right"}
	card.Tolerances = f.limits
	card.Camera = Camera{Side: "open", Pitcher: "right", DistanceM: filmDistanceM}
	if f.mirror {
		view.Sign, card.Bats, card.Camera.Pitcher = -1, "left", "left"
	}
	at := func(x, z float64) geom.Point { return view.Project(geom.World{X: x, Z: z}) }
	card.Scale = []Scale{{Points: []geom.Point{at(-0.5, -0.6), at(0.5, -0.6)}, LengthM: 1}}
	if f.scale != nil {
		card.Scale = f.scale
	}
	card.Marks = Marks{Barrel: &Mark{FromEndM: 0.118, WidthM: battest.WidthM}, Hands: &Mark{}}
	card.Bat = Bat{LengthM: battest.LeverM + 0.118 + gripM, BarrelDiameterM: 2 * battest.RadiusM, MarksApartM: battest.LeverM}
	if f.apart {
		card.Bat.MarksApartM = 0
	}
	h0, d0 := battest.Swing(0)
	depth := geom.Along(h0, battest.LeverM, d0)
	tr := Track{WidthPx: int(filmWidth * f.zoom), HeightPx: int(filmHeight * f.zoom), ExposureS: 1e-6, ExposureSDS: 1e-7}
	var ball BallFlight
	n := int(0.3*f.fps) + 1
	for i := range n {
		rel := float64(i)/f.fps - 0.15 - 0.0013 // contact falls between frames
		clock := f.startS + 0.15 + rel
		tr.TimesS = append(tr.TimesS, clock)
		h, d := battest.Swing(rel)
		// The barrel meets the ball in the plane of the pitch.
		h.Y -= depth.Y
		put := func(s Sample) Sample {
			s.Frame, s.TimeS = i, clock
			return s
		}
		tr.Barrel = append(tr.Barrel, put(sampled(battest.Usual.Band(view, geom.Along(h, battest.LeverM, d), d, battest.RadiusM, battest.WidthM, codingPx2))))
		tr.Hands = append(tr.Hands, put(sampled(battest.Usual.Band(view, h, d, battest.HandleM, battest.WidthM, codingPx2))))
		v := filmBallIn
		if rel > 0 {
			v = filmBallOut
		}
		p := at(depth.X+0.06+v[0]*rel, depth.Z+0.01+v[1]*rel-4.9*rel*rel)
		s := put(Sample{
			XPx: p[0], YPx: p[1], VarXX: 0.09, VarYY: 0.09, How: Seen,
			SizePx: 2*card.BallRadiusM()/view.MetresPerPixel(p) + ballWiderPx,
		})
		switch w := float64(tr.WidthPx); {
		case p[0] < 0 || p[0] > w-1:
		case rel < 0:
			ball.In = append(ball.In, s)
		default:
			ball.Out = append(ball.Out, s)
		}
	}
	if !f.blind {
		tr.Balls = []BallFlight{ball}
	}
	tr.Swings = []Span{{0, n}}
	return tr, card
}

// studies are the clips that were measured, so that none is twice.
var studies sync.Map

// study measures the clip.
func (f filmedSwing) study(t *testing.T) Study {
	t.Helper()
	of, _ := studies.LoadOrStore(fmt.Sprintf("%+v %t", f, f.scale == nil), sync.OnceValue(func() Study {
		tr, card := f.film()
		return Measure(tr, card, nil)
	}))
	st := of.(func() Study)()
	if len(st.Result.Swings) != 1 {
		t.Fatalf("%d swings", len(st.Result.Swings))
	}
	return st
}

// sameSwing compares two measurements of one swing: values within share of the
// interval's half-width, or equal but for rounding when share is 0.
func sameSwing(t *testing.T, want, got Swing, share float64) {
	t.Helper()
	known := 0
	for m := range catalogue.NumMetrics {
		path, w, g := m.Path(), want.Metrics[m], got.Metrics[m]
		if w.Status != g.Status {
			t.Errorf("%s: %s, was %s", path, g.Status, w.Status)
			continue
		}
		if !w.Known() || !g.Known() {
			continue
		}
		known++
		limit := 1e-6 * (1 + math.Abs(w.Float()))
		if share > 0 && w.Low != nil && w.High != nil {
			limit = math.Max(limit, share*(*w.High-*w.Low)/2)
		}
		if d := math.Abs(g.Float() - w.Float()); !(d <= limit) {
			t.Errorf("%s: %.6g, was %.6g; allowed %.2g", path, g.Float(), w.Float(), limit)
		}
	}
	const least = 25 // metrics of a swing with barrel, hands and ball
	if known < least {
		t.Errorf("only %d metrics compared", known)
	}
}

// The same swing filmed in other ways. A mirrored picture of a hitter who bats from
// the other side is the same to the last digit; a later clock is the same but for
// where the solver, whose sums then round otherwise, stops; twice the frames or a
// picture twice as large see the same swing better, not another one.
func TestFilmingChangesNothing(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("six whole swings")
	}
	base := filmedSwing{fps: 240, zoom: 1}.measure(t)
	for _, c := range []struct {
		name  string
		film  filmedSwing
		share float64
	}{
		{"mirrored", filmedSwing{fps: 240, zoom: 1, mirror: true}, 0},
		{"later", filmedSwing{fps: 240, zoom: 1, startS: 3.5}, 0.02},
		{"twice the frames", filmedSwing{fps: 480, zoom: 1}, 1},
		{"twice the picture", filmedSwing{fps: 240, zoom: 2}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			sameSwing(t, base, c.film.measure(t), c.share)
		})
	}
}

// Without points on the card the ball's size or the distance of the bat's marks says
// how large everything is, within what they are said to err; without either, lengths
// are missing.
func TestScaleFromWhatWasSeen(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("four whole swings")
	}
	want := filmedSwing{fps: 240, zoom: 1}.measure(t).Metrics[catalogue.SpeedBarrelContactMPS].Float()
	for name, film := range map[string]filmedSwing{"ball": {apart: true}, "ball and bat's marks": {}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			film.fps, film.zoom, film.scale = 240, 1, []Scale{}
			v := film.measure(t).Metrics[catalogue.SpeedBarrelContactMPS]
			if !v.Known() || v.Low == nil || !(*v.Low < want && want < *v.High) || math.Abs(v.Float()/want-1) > 3*marksRelSD {
				t.Errorf("barrel's speed %s, with points %.2f", v, want)
			}
			if v.Status != Assumed { // what was seen need not lie in the plane of the pitch
				t.Errorf("barrel's speed is %s", v.Status)
			}
		})
	}
	t.Run("none", func(t *testing.T) {
		t.Parallel()
		if v := (filmedSwing{fps: 240, zoom: 1, scale: []Scale{}, blind: true, apart: true}).measure(t).Metrics[catalogue.SpeedBarrelContactMPS]; v.Known() {
			t.Errorf("barrel's speed %s without a scale", v)
		}
	})
}
