package bench

import (
	"errors"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/scene"
)

// trueAt is a true swing with its contact at a frame and its attack angle.
func trueAt(frame, attackDeg float64) scene.SwingTruth {
	at := frame / 100
	return scene.SwingTruth{
		Keys:    scene.KeysTruth{Contact: scene.KeyTruth{TimeS: &at, Frame: &frame}},
		Metrics: scene.Numbers{catalogue.PlaneAttackDeg.Path(): attackDeg},
	}
}

// gotAt is a measured one, with an interval of one degree to either side.
func gotAt(frame, attackDeg float64) metrics.Swing {
	var s metrics.Swing
	s.Keys.Contact.Frame = &frame
	low, high := attackDeg-1, attackDeg+1
	s.Metrics[catalogue.PlaneAttackDeg] = metrics.Value{Value: &attackDeg, Low: &low, High: &high, Status: metrics.Measured}
	return s
}

func outcomeOf(want []scene.SwingTruth, got ...metrics.Swing) TrackOutcome {
	o := TrackOutcome{Outcome: Outcome{Truth: scene.Truth{FPS: 100, Swings: want}}}
	o.Result.Swings = got
	return o
}

func TestPairs(t *testing.T) {
	t.Parallel()
	three := []scene.SwingTruth{trueAt(200, 9), trueAt(600, 9), trueAt(1000, 9)}
	held := []scene.SwingTruth{{}}
	for _, c := range []struct {
		name                         string
		o                            TrackOutcome
		paired, missed, extra, wrong int
	}{
		{"each once", outcomeOf(three, gotAt(201, 9), gotAt(599, 10), gotAt(1000, 8)), 3, 0, 0, 0},
		{"one missed", outcomeOf(three, gotAt(201, 9), gotAt(1000, 8)), 2, 1, 0, 0},
		{"a waggle too many", outcomeOf(three, gotAt(200, 9), gotAt(400, 9), gotAt(600, 9), gotAt(1000, 9)), 3, 0, 1, 1},
		{"one found twice", outcomeOf(three[:1], gotAt(198, 9), gotAt(203, 9)), 1, 0, 1, 1},
		{"surely wrong", outcomeOf(three[:1], gotAt(200, 12.1)), 1, 0, 0, 1},
		{"off within bounds", outcomeOf(three[:1], gotAt(200, 11.9)), 1, 0, 0, 0},
		{"a swing of a held one", outcomeOf(held, gotAt(200, 9)), 0, 0, 1, 1},
		{"nothing of a held one", outcomeOf(held, metrics.Swing{}), 0, 0, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			pairs, missed, extra := c.o.pairs()
			if len(pairs) != c.paired || missed != c.missed || extra != c.extra || c.o.surelyWrong() != c.wrong {
				t.Errorf("got %d paired, %d missed, %d extra, %d wrong", len(pairs), missed, extra, c.o.surelyWrong())
			}
			if told := c.o.fault() != ""; told != (c.missed+c.extra+c.wrong > 0) {
				t.Errorf("says %q", c.o.fault())
			}
		})
	}
}

// A clip is judged in the bin of its confidence; refused ones in none.
func TestReliability(t *testing.T) {
	t.Parallel()
	clip := func(confidence float64, px ...float64) TrackOutcome {
		o := outcomeOf(nil)
		o.Truth.Camera.MPerPx = 0.01
		o.Result.Quality.PathConfidence = confidence
		o.AroundPx = px
		return o
	}
	refused := clip(1, 99)
	refused.Err = errors.New("refused")
	r := reliability([]TrackOutcome{clip(1, 0.5, 19), clip(0.9, 0.5, 21), clip(0.3, 50), refused})
	if last := r[len(r)-1]; last.Clips != 2 || last.Frames != 4 || last.OnBat != 3 {
		t.Errorf("0.9 to 1: %+v", last)
	}
	if first := r[0]; first.Clips != 1 || first.Frames != 1 || first.OnBat != 0 {
		t.Errorf("under 0.5: %+v", first)
	}
}
