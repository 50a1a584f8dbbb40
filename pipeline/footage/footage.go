package footage

import (
	"context"
	"iter"
	"math"
	"sort"

	"ashline/pipeline/media"
	"ashline/pipeline/steady"
)

// ShownFPS is how many frames a second the videos show that are made of a clip.
const ShownFPS = 30.0

// Footage is a clip that was read once from end to end.
type Footage struct {
	Path   string
	Info   media.Info
	FPS    float64            // capture rate, frames/s
	FileS  []float64          // presentation times as in the file, s
	TimesS []float64          // capture times from the first frame, s
	Moves  []steady.Transform // from each frame to the first
}

// Again decodes the frames from first to last once more, both included, as
// media.Decoder.Frames does.
func (f Footage) Again(ctx context.Context, first, last int) iter.Seq2[*media.Frame, error] {
	return func(yield func(*media.Frame, error) bool) {
		dec, err := media.Open(ctx, f.Path, f.Info, media.Options{StartS: f.FileS[first], EndS: f.FileS[last], Times: f.FileS})
		if err != nil {
			yield(nil, err)
			return
		}
		defer dec.Close()
		dec.Frames()(yield)
	}
}

// MiddleMoved is how far the middle of the picture had moved in a frame, px.
func (f Footage) MiddleMoved(frame int) (dx, dy float64) {
	x, y := float64(f.Info.Width-1)/2, float64(f.Info.Height-1)/2
	u, v := f.Moves[frame].Inverse().Apply(x, y)
	return u - x, v - y
}

// FarthestMoved is the largest distance, px, that the camera moved a corner of the
// picture, and the first frame in which it had.
func (f Footage) FarthestMoved() (px float64, frame int) {
	for i, m := range f.Moves {
		if d := m.Moved(f.Info.Width, f.Info.Height); d > px {
			px, frame = d, i
		}
	}
	return px, frame
}

// Nearest is the frame whose capture time is nearest to timeS, the earlier one of two.
func (f Footage) Nearest(timeS float64) int { return Nearest(f.TimesS, timeS) }

// Nearest is the index of the time, of a rising list, that is nearest to t, the earlier
// one of two.
func Nearest(timesS []float64, t float64) int {
	i := sort.SearchFloat64s(timesS, t)
	if i == len(timesS) || i > 0 && t-timesS[i-1] <= timesS[i]-t {
		i--
	}
	return max(i, 0)
}

// FrameAt is the fractional frame of a capture time. Before the first frame it is 0;
// after the last one, frames go on at the distance of the last two.
func (f Footage) FrameAt(timeS float64) float64 {
	i := f.Nearest(timeS)
	j := i + 1
	if timeS < f.TimesS[i] || j == len(f.TimesS) {
		j = i - 1
	}
	if j < 0 {
		return float64(i)
	}
	return float64(i) + (timeS-f.TimesS[i])/(f.TimesS[j]-f.TimesS[i])*float64(j-i)
}

// Drift is the largest distance that the middle of the picture moved, px.
func (f Footage) Drift() float64 {
	most := 0.0
	for i := range f.Moves {
		most = math.Max(most, math.Hypot(f.MiddleMoved(i)))
	}
	return most
}
