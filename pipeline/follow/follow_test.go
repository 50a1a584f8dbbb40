package follow

import (
	"math"
	"slices"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/card"
	"ashline/pipeline/scene"
)

// told is one call of a Report.
type told struct {
	stage       string
	done, total int
}

// followed is a small rendered swing as far as it is followed.
type followed struct {
	truth scene.Truth
	s     Sightings
	found Found
	told  []told
}

func rendered(t *testing.T) followed {
	t.Helper()
	p := scene.Random(1, scene.Clean)
	p.WidthPx, p.HeightPx, p.LeadInS, p.RunOutS = 640, 360, 0.3, 0.2
	files, err := scene.Write(t.Context(), t.TempDir(), "swing", p, scene.WriteOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	sc, err := scene.New(p)
	if err != nil {
		t.Fatal(err)
	}
	c, err := card.Load(card.Beside(files.Clip)...)
	if err != nil {
		t.Fatal(err)
	}
	d := followed{truth: sc.Truth()}
	if d.s, err = Watch(t.Context(), files.Clip, c, nil); err != nil {
		t.Fatal(err)
	}
	tell := func(stage string, done, total int) { d.told = append(d.told, told{stage, done, total}) }
	if d.found, err = Follow(t.Context(), d.s, c, nil, tell); err != nil {
		t.Fatal(err)
	}
	return d
}

// A followed place lies on the thing that was followed: not farther from its true middle
// than its own half, m. Rules of the game give the ball's girth and bound the barrel.
const (
	onBarrelM = 0.033
	onHandsM  = 0.033
	onBallM   = 0.037
)

func TestFollowScene(t *testing.T) {
	t.Parallel()
	d := rendered(t)
	tr := d.found.Track
	if len(tr.Swings) != 1 || len(tr.Balls) != 1 {
		t.Fatalf("got %d swings and %d balls, want one each", len(tr.Swings), len(tr.Balls))
	}
	contact := int(math.Round(-d.truth.Frames[0].TimeS * d.truth.Params.FPS))
	if sp := tr.Swings[0]; contact <= sp.From || contact >= sp.To {
		t.Errorf("the swing is in frames %d to %d, contact in %d", sp.From, sp.To-1, contact)
	}
	ppm := d.found.Ruler.PxPerM()
	apart := func(name string, samples []metrics.Sample, reachM float64, truth func(scene.FrameTruth) (x, y float64)) {
		if len(samples) == 0 {
			t.Errorf("%s: not seen", name)
		}
		for _, s := range samples {
			x, y := truth(d.truth.Frames[s.Frame])
			if m := math.Hypot(s.XPx-x, s.YPx-y) / ppm; s.How == metrics.Seen && !(m <= reachM) {
				t.Errorf("%s in frame %d: %.3f m from its true place", name, s.Frame, m)
			}
		}
	}
	apart("barrel", tr.Barrel, onBarrelM, func(f scene.FrameTruth) (x, y float64) { return f.Barrel.XPx, f.Barrel.YPx })
	apart("hands", tr.Hands, onHandsM, func(f scene.FrameTruth) (x, y float64) { return f.Hands.XPx, f.Hands.YPx })
	ball := func(f scene.FrameTruth) (x, y float64) {
		if f.Ball == nil {
			return math.NaN(), math.NaN()
		}
		return f.Ball.XPx, f.Ball.YPx
	}
	apart("pitch", tr.Balls[0].In, onBallM, ball)
	apart("hit", tr.Balls[0].Out, onBallM, ball)
	checkTold(t, d)
}

// checkTold holds the steps of following the marks against the clip: while each mark is
// looked for, while it is linked, and while balls are, it is told how far that is.
func checkTold(t *testing.T, d followed) {
	t.Helper()
	n, last := len(d.s.TimesS), 0
	parts := make([]int, len(d.s.Names)+2) // each mark, the barrel once more, the balls
	for _, x := range d.told {
		if x.stage != "follow" {
			continue
		}
		if x.done <= last || x.total != n*len(parts) {
			t.Errorf("got step %d of %d after %d, want more, of %d", x.done, x.total, last, n*len(parts))
		}
		parts[(x.done-1)/n]++
		last = x.done
	}
	if last != n*len(parts) {
		t.Errorf("the last step is %d of %d", last, n*len(parts))
	}
	for k, count := range parts {
		if count == 0 {
			t.Errorf("part %d of %d told nothing: %v", k, len(parts), d.told)
		}
	}
	bridged := 0
	for _, x := range d.told {
		if x.stage == "bridge" {
			bridged++
		}
	}
	if carried := slices.ContainsFunc(d.found.Track.Barrel, func(s metrics.Sample) bool { return s.How == metrics.Flow }); carried && bridged == 0 {
		t.Error("frames were bridged and nothing told")
	}
}
