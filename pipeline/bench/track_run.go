package bench

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"time"

	"ashline/metrics"
	"ashline/pipeline/follow"
	"ashline/pipeline/scene"

	"golang.org/x/sync/errgroup"
	"golang.org/x/sys/unix"
)

// TrackOptions say what to run.
type TrackOptions struct {
	Cases []Case
	// Dir keeps the rendered scenes; what is there is not rendered again.
	Dir string
	// Workers measure at the same time. Defaults to 1, and is 1 with Rivals: the
	// processor time of the measuring is that of the whole process.
	Workers int
	// Rivals also runs OpenCV's general-purpose trackers. Defaults to false.
	Rivals bool
	// Each is told of every outcome as it comes, one at a time, in no order. May be nil.
	Each func(TrackOutcome)
}

// TrackOutcome is one case with its barrel's path judged frame by frame.
type TrackOutcome struct {
	Outcome
	// Frames lie within 0.15 s of contact, Empty of them without a place. Shown are those
	// that truly show the band, ShownSeen those of them in which it was seen.
	Frames, Empty, Shown, ShownSeen int
	// AroundPx are errors in frames where the band was seen, HiddenPx and
	// CarriedPx in frames where it was not and the path was carried on: those
	// that truly hide the band, and all.
	AroundPx, HiddenPx, CarriedPx []float64
	// Sides are the trackers next to each other, the project's own first.
	Sides []Side
}

// aroundS is how far from contact the path is judged, s.
const aroundS = 0.15

// RunTrack measures all cases; outcomes come in the order of the cases.
func RunTrack(ctx context.Context, o TrackOptions) ([]TrackOutcome, error) {
	workers := max(1, o.Workers)
	if o.Rivals {
		workers = 1
	}
	out := make([]TrackOutcome, len(o.Cases))
	var telling sync.Mutex
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(workers)
	for i, c := range o.Cases {
		g.Go(func() error {
			out[i] = c.measureTrack(ctx, o.Dir, o.Rivals)
			if o.Each != nil {
				telling.Lock()
				defer telling.Unlock()
				o.Each(out[i])
			}
			return ctx.Err()
		})
	}
	return out, g.Wait()
}

func (c Case) measureTrack(ctx context.Context, dir string, rivals bool) TrackOutcome {
	out := TrackOutcome{Outcome: Outcome{Case: c}}
	name := c.name()
	// Rendered first, so that the processor time is the measuring's alone.
	if _, err := os.Stat(filepath.Join(dir, name+".truth.json")); err != nil {
		if _, out.Err = scene.Write(ctx, dir, name, c.params(), scene.WriteOptions{}); out.Err != nil {
			return out
		}
	}
	before, err := processCPU()
	if err != nil {
		out.Err = err
		return out
	}
	if out.Outcome = c.Measure(ctx, dir); out.Err != nil {
		return out
	}
	after, err := processCPU()
	if err != nil {
		out.Err = err
		return out
	}
	spots, err := readSpots(filepath.Join(c.results(dir), "track.csv"))
	if err != nil {
		out.Err = err
		return out
	}
	if len(spots) != len(out.Truth.Frames) {
		out.Err = fmt.Errorf("bench: %s: %d frames measured of %d", name, len(spots), len(out.Truth.Frames))
		return out
	}
	out.around(spots)
	if !rivals {
		return out
	}
	first, last, err := sideSpan(out.Truth)
	if err != nil {
		out.Err = err
		return out
	}
	own := ownSide(out.Truth, spots, out.Result.Quality.ExposureS, first, last)
	own.WholeMS = 1000 * (after - before).Seconds() / float64(len(spots))
	clip := filepath.Join(dir, name+".mp4")
	cost, err := follow.Cost(ctx, clip, filepath.Join(dir, name+".card.yaml"), processCPU)
	if err != nil {
		out.Err = err
		return out
	}
	own.CPUMS = 1000 * cost.Seconds()
	others, err := rivalSides(ctx, clip, out.Truth, first, last)
	out.Sides, out.Err = append([]Side{own}, others...), err
	return out
}

// around judges the path near contact.
func (o *TrackOutcome) around(spots []spot) {
	for i, s := range spots {
		f := o.Truth.Frames[i]
		if math.Abs(nearestContactS(o.Truth, f.TimeS)) > aroundS {
			continue
		}
		o.Frames++
		if f.Barrel.Visible > bandShown {
			o.Shown++
			if s.How == metrics.Seen {
				o.ShownSeen++
			}
		}
		if !s.known() {
			o.Empty++
			continue
		}
		e := math.Hypot(s.XPx-f.Barrel.XPx, s.YPx-f.Barrel.YPx)
		if s.How == metrics.Seen {
			o.AroundPx = append(o.AroundPx, e)
			continue
		}
		o.CarriedPx = append(o.CarriedPx, e)
		if f.Barrel.Visible <= bandShown {
			o.HiddenPx = append(o.HiddenPx, e)
		}
	}
}

// processCPU is the processor time of this process and of the children that
// have ended.
func processCPU() (time.Duration, error) {
	var sum time.Duration
	for _, who := range []int{unix.RUSAGE_SELF, unix.RUSAGE_CHILDREN} {
		var u unix.Rusage
		if err := unix.Getrusage(who, &u); err != nil {
			return 0, fmt.Errorf("bench: processor clock: %w", err)
		}
		sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return sum, nil
}

// Line sums up one outcome.
func (o TrackOutcome) Line() string {
	if o.Err != nil {
		return fmt.Sprintf("%s %d: %v", o.Family, o.Seed, o.Err)
	}
	line := fmt.Sprintf("%s %d: seen %.2f px in %d", o.Family, o.Seed, rms(o.AroundPx), len(o.AroundPx))
	if len(o.CarriedPx) > 0 {
		line += fmt.Sprintf(", carried %.2f px in %d", rms(o.CarriedPx), len(o.CarriedPx))
	}
	line += fmt.Sprintf(", empty %d, wrong %d", o.Empty, o.Wrong)
	for _, s := range o.Sides {
		lost := ""
		if s.Lost {
			lost = " lost"
		}
		line += fmt.Sprintf("; %s %.2f px, TIoU %.2f%s", s.Name, rms(s.ErrorsPx), mean(s.TIoU), lost)
	}
	return line
}
