package contrast

import (
	"context"
	"errors"
	"fmt"
	"image"
	"runtime"
	"time"

	"ashline/pipeline/media"

	"gocv.io/x/gocv"
	"golang.org/x/sys/unix"
)

// Task is an object to follow in one clip.
type Task struct {
	Clip string
	// First is the decoded frame, counted from 0, in which the object is in Box;
	// Last is the last frame wanted.
	First, Last int
	Box         image.Rectangle
	// Kinds are the trackers that run. Defaults to all.
	Kinds []Kind
}

// Step is a tracker's answer in one frame.
type Step struct {
	Frame int
	Box   image.Rectangle
	Found bool
	// CPU is the processor time of the tracker's update alone: neither decoding
	// nor the change of colours.
	CPU time.Duration
}

// Run is what one tracker made of a task, without the first frame.
type Run struct {
	Kind  Kind
	Steps []Step
	// Err is the exception that ended it early, nil mostly.
	Err error
}

// Follow decodes the clip once and shows every frame to all trackers.
func Follow(ctx context.Context, t Task) (runs []Run, err error) {
	if len(t.Kinds) == 0 {
		t.Kinds = Kinds()
	}
	trackers := make([]Tracker, len(t.Kinds))
	defer func() {
		for _, tr := range trackers {
			if tr != nil {
				err = errors.Join(err, tr.Close())
			}
		}
	}()
	for i, k := range t.Kinds {
		if trackers[i], err = New(k); err != nil {
			return nil, err
		}
		runs = append(runs, Run{Kind: k})
	}
	info, err := media.Probe(ctx, t.Clip, media.Limits{})
	if err != nil {
		return nil, err
	}
	dec, err := media.Open(ctx, t.Clip, info, media.Options{})
	if err != nil {
		return nil, err
	}
	defer dec.Close()
	// The thread's clock is read around each update.
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	for f, err := range dec.Frames() {
		if err != nil {
			return nil, err
		}
		if f.Index < t.First {
			continue
		}
		if err := show(f, info.Space(), t, trackers, runs); err != nil {
			return nil, err
		}
		if f.Index >= t.Last {
			return runs, nil
		}
	}
	return nil, fmt.Errorf("contrast: %q ends before frame %d", t.Clip, t.Last)
}

// show gives one frame to every tracker that still runs.
func show(f *media.Frame, space media.ColourSpace, t Task, trackers []Tracker, runs []Run) error {
	picture, err := bgr(f, space)
	if err != nil {
		return err
	}
	defer picture.Close()
	for i, tr := range trackers {
		run := &runs[i]
		if run.Err != nil {
			continue
		}
		if f.Index == t.First {
			// A box that cannot be started on is the caller's mistake.
			if err := tr.Init(picture, t.Box); err != nil {
				return fmt.Errorf("%s: %w", run.Kind, err)
			}
			continue
		}
		start, err := threadCPU()
		if err != nil {
			return err
		}
		box, found, failed := tr.Update(picture)
		end, err := threadCPU()
		if err != nil {
			return err
		}
		if run.Err = failed; failed == nil {
			run.Steps = append(run.Steps, Step{Frame: f.Index, Box: box, Found: found, CPU: end - start})
		}
	}
	return nil
}

// bgr is the frame as OpenCV's colour picture.
func bgr(f *media.Frame, space media.ColourSpace) (gocv.Mat, error) {
	img := f.RGBA(space)
	rgba, err := gocv.NewMatFromBytes(f.H, f.W, gocv.MatTypeCV8UC4, img.Pix)
	if err != nil {
		return gocv.Mat{}, fmt.Errorf("contrast: frame %d: %w", f.Index, err)
	}
	defer rgba.Close()
	out := gocv.NewMat()
	gocv.CvtColor(rgba, &out, gocv.ColorRGBAToBGR)
	return out, nil
}

// threadCPU is the processor time of this thread: unlike the time of day it does
// not count other work on the machine.
func threadCPU() (time.Duration, error) {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_THREAD_CPUTIME_ID, &ts); err != nil {
		return 0, fmt.Errorf("contrast: processor clock: %w", err)
	}
	return time.Duration(ts.Nano()), nil
}
