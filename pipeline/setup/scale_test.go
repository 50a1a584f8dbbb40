package setup

import (
	"errors"
	"math"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/card"
)

func TestScale(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		rulers []metrics.Ruler
		wrong  []string
		stray  bool
	}{
		"none":              {},
		"one":               {rulers: []metrics.Ruler{{Source: "points", PxPerM: 200}}},
		"a tape's error":    {rulers: []metrics.Ruler{{Source: "points", PxPerM: 200}, {Source: "ball", PxPerM: 215}, {Source: "bat_marks", PxPerM: 188}}},
		"half the length":   {rulers: []metrics.Ruler{{Source: "points", PxPerM: 400}, {Source: "ball", PxPerM: 203}}, wrong: []string{"scale.points", "400 px", "203 px"}},
		"a ball in streaks": {rulers: []metrics.Ruler{{Source: "points", PxPerM: 208, RelSD: 0.02}, {Source: "ball", PxPerM: 159, RelSD: 0.15}}},
		"nothing stated":    {rulers: []metrics.Ruler{{Source: "ball", PxPerM: 208}, {Source: "bat_marks", PxPerM: 296}}},
		"another ball":      {rulers: []metrics.Ruler{{Source: "points", PxPerM: 200}, {Source: "ball", PxPerM: 200 * 9.125 / 12}}, wrong: []string{"pitch.ball"}},
		"marks that cannot": {rulers: []metrics.Ruler{{Source: "points", PxPerM: 200}, {Source: "ball", PxPerM: 198}, {Source: "bat_marks", PxPerM: 290}}, stray: true},
		"marks alone":       {rulers: []metrics.Ruler{{Source: "plate", PxPerM: 200}, {Source: "bat_marks", PxPerM: 290}}, wrong: []string{"scale.plate", "bat.marks_apart_m", "something else"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			stray, err := Scale(tc.rulers)
			if stray != tc.stray {
				t.Errorf("stray %v", stray)
			}
			if errors.Is(err, card.ErrBad) != (tc.wrong != nil) {
				t.Fatalf("error %v", err)
			}
			for _, w := range tc.wrong {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("%q does not say %q", err, w)
				}
			}
		})
	}
}

// A lens of focal length f sees 2 atan(w/2f) across a picture w wide.
func TestLens(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		acrossDeg float64
		bad       bool
	}{"a phone": {60, false}, "its long lens": {17, false}, "ten times as far": {6.6, true}, "a tenth as far": {160, true}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := geom.View{FocalPx: 960 / math.Tan(tc.acrossDeg/2*math.Pi/180), DistanceM: 5, Lens: true}
			if err := Lens(v, 1080, 1920); errors.Is(err, card.ErrBad) != tc.bad {
				t.Errorf("error %v", err)
			}
			v.Lens = false
			if err := Lens(v, 1080, 1920); err != nil {
				t.Errorf("without a distance: %v", err)
			}
		})
	}
}

func TestPace(t *testing.T) {
	t.Parallel()
	for mps, bad := range map[float64]bool{15: false, 37: false, 60: true} {
		if err := Pace(mps); errors.Is(err, card.ErrBad) != bad {
			t.Errorf("%g m/s: error %v", mps, err)
		}
	}
}
