package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/media"
)

// overlay writes overlay.mp4, which shows each swing of the clip in slow motion
// with what was measured drawn on it, and stills of the key positions. A clip
// without a swing that could be measured gets neither.
func overlay(ctx context.Context, job Job, s *sightings, c metrics.Card, study metrics.Study) error {
	var known []int
	for i, cur := range study.Swings {
		if cur.Known && i < len(study.Result.Swings) {
			known = append(known, i)
		}
	}
	if len(known) == 0 {
		return nil
	}
	canvas := draw.New(s.info.Space())
	// Labels are placed on a frame of the clip's size before the first is there.
	canvas.On(media.NewFrame(s.info.Width, s.info.Height))
	var traces []*trace
	var plans [][]shot
	total := 0
	for _, i := range known {
		t := newTrace(canvas, s, study, i, wholeScreen)
		p := plan(s.timesS, t.moments)
		if len(p) == 0 {
			continue
		}
		traces, plans = append(traces, t), append(plans, p)
		total += shown(p)
	}
	if len(traces) == 0 {
		return nil
	}
	stills := filepath.Join(job.OutDir, "stills")
	if err := os.MkdirAll(stills, 0o755); err != nil {
		return fmt.Errorf("results folder: %w", err)
	}
	enc, err := media.NewEncoder(ctx, filepath.Join(job.OutDir, "overlay.mp4"), s.info.Width, s.info.Height, overlayFPS, media.EncodeOptions{
		Matrix: s.info.Matrix, FullRange: s.info.FullRange, Transfer: s.info.Transfer,
		// More threads would only hold more frames in memory.
		Threads: 2,
	})
	if err != nil {
		return err
	}
	defer enc.Abort()
	done := 0
	for i, t := range traces {
		o := showing{job: job, s: s, trace: t, canvas: canvas, stills: stills, done: done, total: total}
		if i > 0 {
			o.suffix = fmt.Sprintf("-%d", i+1)
		}
		if err := o.run(ctx, enc, plans[i]); err != nil {
			return err
		}
		done += shown(plans[i])
	}
	return enc.Close()
}

// showing is the second, partial decode of one swing.
type showing struct {
	job    Job
	s      *sightings
	trace  *trace
	canvas *draw.Canvas
	stills string
	suffix string // of the stills' names
	done   int    // frames shown of the swings before
	total  int
}

func (o showing) run(ctx context.Context, enc *media.Encoder, shots []shot) error {
	times := map[int]int{}
	for _, s := range shots {
		times[s.frame] = s.times
	}
	names := o.names()
	first, last := shots[0].frame, shots[len(shots)-1].frame
	for f := range names {
		first, last = min(first, f), max(last, f)
	}
	opt := media.Options{StartS: o.s.fileS[first], EndS: o.s.fileS[last], Times: o.s.fileS}
	dec, err := media.Open(ctx, o.job.Clip, o.s.info, opt)
	if err != nil {
		return err
	}
	defer dec.Close()
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return err
		}
		n, still := times[f.Index], names[f.Index]
		if n == 0 && still == nil || f.Index >= len(o.s.timesS) {
			continue
		}
		o.trace.draw(o.canvas.On(&f), o.s.timesS[f.Index], o.s.moves[f.Index])
		for range n {
			if err := enc.Write(&f); err != nil {
				return err
			}
			o.done++
		}
		for _, name := range still {
			if err := f.WritePNG(filepath.Join(o.stills, name+o.suffix+".png"), o.s.info.Space()); err != nil {
				return err
			}
		}
		o.job.Report.at("draw", o.done, o.total)
	}
	return nil
}

// names are the stills' names by the frame that is nearest to each key position.
func (o showing) names() map[int][]string {
	out := map[int][]string{}
	for _, k := range o.trace.keys {
		f := nearestFrame(o.s.timesS, k.timeS)
		if math.Abs(o.s.timesS[f]-k.timeS) <= o.trace.frameS {
			out[f] = append(out[f], k.name)
		}
	}
	return out
}
