package bench

import (
	"context"
	"fmt"
	"math"

	"ashline/pipeline/contrast"
	"ashline/pipeline/scene"
)

// ownName is the project's own row in the comparison.
const ownName = "ashline"

// lostFrames is the least number of frames at the span's end that make a loss;
// a single frame off is not one.
const lostFrames = 3

// Side is one tracker on one clip, judged in the frames that show the band.
type Side struct {
	Name string
	// Frames were judged, in Known of them the tracker gave a place; ErrorsPx and
	// TIoU belong to those, and a frame without a place has TIoU 0.
	Frames   int
	Known    int
	ErrorsPx []float64
	TIoU     []float64
	// Lost: off the barrel, or without a place, from some frame on until the end.
	Lost bool
	// CPUMS is the processor time a frame of the update alone, ms; for the project's
	// own tracking of following the barrel's band. WholeMS is that of the whole
	// analysis with decoding; NaN for the others, which do no more.
	CPUMS, WholeMS float64

	tail int
}

// add judges one frame.
func (s *Side) add(t scene.Truth, f scene.FrameTruth, g Glide, known bool) {
	s.Frames++
	off := true
	iou := 0.0
	if known {
		s.Known++
		e := math.Hypot((g.FromX+g.ToX)/2-f.Barrel.XPx, (g.FromY+g.ToY)/2-f.Barrel.YPx)
		s.ErrorsPx = append(s.ErrorsPx, e)
		off = e > offPx(t)
		w := f.Barrel.Streak
		iou = TIoU(Glide{w[0], w[1], w[2], w[3]}, g, barrelRadiusPx(t, f))
	}
	s.TIoU = append(s.TIoU, iou)
	if s.tail++; !off {
		s.tail = 0
	}
	s.Lost = s.tail >= lostFrames
}

// ownSide judges the path that was measured.
func ownSide(t scene.Truth, spots []spot, exposureS float64, first, last int) Side {
	s := Side{Name: ownName}
	for i := first + 1; i <= last; i++ {
		if f := t.Frames[i]; f.Barrel.Visible > bandShown {
			g, ok := glide(spots, i, exposureS)
			s.add(t, f, g, ok)
		}
	}
	return s
}

// rivalSides runs the general-purpose trackers from the true box on the clip.
func rivalSides(ctx context.Context, clip string, t scene.Truth, first, last int) ([]Side, error) {
	runs, err := contrast.Follow(ctx, contrast.Task{Clip: clip, First: first, Last: last, Box: bandBox(t, t.Frames[first])})
	if err != nil {
		return nil, fmt.Errorf("bench: %w", err)
	}
	var out []Side
	for _, run := range runs {
		s := Side{Name: string(run.Kind), CPUMS: math.NaN(), WholeMS: math.NaN()}
		steps := map[int]contrast.Step{}
		total := 0.0
		for _, step := range run.Steps {
			steps[step.Frame] = step
			total += step.CPU.Seconds()
		}
		if len(run.Steps) > 0 {
			s.CPUMS = 1000 * total / float64(len(run.Steps))
		}
		for i := first + 1; i <= last; i++ {
			f := t.Frames[i]
			if f.Barrel.Visible <= bandShown {
				continue
			}
			step, ok := steps[i]
			x, y := contrast.Centre(step.Box)
			s.add(t, f, Glide{x, y, x, y}, ok && step.Found)
		}
		out = append(out, s)
	}
	return out, nil
}
