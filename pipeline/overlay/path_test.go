package overlay

import (
	"math"
	"testing"

	"ashline/pipeline/draw"
)

// level is a path that runs to the right at 1000 px/s.
func level(t float64) draw.Point { return draw.Point{X: 1000 * t, Y: 50} }

const frame240 = 1.0 / 240

// span is the time that the path spends as one kind.
func (p barrelPath) span(k pathKind) float64 {
	s := 0.0
	for i, kind := range p.kinds {
		if kind == k {
			s += p.timesS[i+1] - p.timesS[i]
		}
	}
	return s
}

func TestPathKinds(t *testing.T) {
	t.Parallel()
	every := evenTimes(240, 1)
	without := func(from, to float64) []float64 {
		var out []float64
		for _, s := range every {
			if s < from || s > to {
				out = append(out, s)
			}
		}
		return out
	}
	nan := math.NaN()
	for _, tc := range []struct {
		name            string
		enter, leave    float64
		seen            []float64
		inZone, guessed float64 // s
	}{
		{"seen throughout", 0.4923, 0.5107, every, 0.0184, 0},
		{"no zone", nan, nan, every, 0, 0},
		{"one frame missed", 0.4923, 0.5107, without(0.3-0.001, 0.3+0.001), 0.0184, 0},
		// 24 frames missed leave 25 intervals, of which 1.5 at each end count
		// as seen.
		{"a tenth missed", 0.4923, 0.5107, without(48*frame240-0.001, 71*frame240+0.001), 0.0184, 22 * frame240},
		{"never seen", 0.4923, 0.5107, nil, 0, 0.5},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			p := newBarrelPath(level, 0.1, 0.6, []float64{tc.enter, tc.leave}, kindsOf(tc.enter, tc.leave, tc.seen, frame240))
			if got := p.span(inZone); math.Abs(got-tc.inZone) > 1e-9 {
				t.Errorf("in the zone for %.5f s, want %.5f", got, tc.inZone)
			}
			// The ends of what was not seen fall on the path's own steps.
			if got := p.span(guessedPath); math.Abs(got-tc.guessed) > 2*pathStepS {
				t.Errorf("not seen for %.5f s, want %.5f", got, tc.guessed)
			}
			if got := p.span(inZone) + p.span(outOfZone) + p.span(guessedPath); math.Abs(got-0.5) > 1e-9 {
				t.Errorf("kinds cover %.5f s, want 0.5", got)
			}
		})
	}
}

func TestPathUntil(t *testing.T) {
	t.Parallel()
	p := newBarrelPath(level, 0.1, 0.6, []float64{0.33333}, kindsOf(0.3, 0.4, evenTimes(240, 1), frame240))
	for _, tc := range []struct{ at, end float64 }{{0.25037, 0.25037}, {0.6, 0.6}, {2, 0.6}} {
		got := p.until(tc.at)
		n := len(got.at)
		if len(got.timesS) != n || len(got.kinds) != n-1 {
			t.Fatalf("until(%g): %d times, %d points, %d kinds", tc.at, len(got.timesS), n, len(got.kinds))
		}
		if last := got.at[n-1]; math.Abs(last.X-1000*tc.end) > 1e-6 || last.Y != 50 {
			t.Errorf("until(%g) ends at %v, want x %.2f", tc.at, last, 1000*tc.end)
		}
	}
	if got := p.until(0.05); len(got.at) != 0 || len(got.kinds) != 0 {
		t.Errorf("until before the start = %v", got)
	}
	if n := len(p.at); p.at[n-1].X != 600 {
		t.Error("until changed the path itself")
	}
}

func TestPathOfNothing(t *testing.T) {
	t.Parallel()
	if p := newBarrelPath(level, 0.3, 0.3, nil, kindsOf(0, 1, nil, frame240)); len(p.at) != 0 || len(p.until(1).at) != 0 {
		t.Errorf("path of no time = %v", p.at)
	}
}
