package pipeline

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/follow"
	"ashline/pipeline/media"
)

// overlay writes overlay.mp4, which shows each swing of the clip in slow motion
// with what was measured drawn on it, and stills of the key positions. A clip
// without a swing that could be measured gets neither.
func overlay(ctx context.Context, job Job, s follow.Sightings, study metrics.Study) error {
	var known []int
	for i, cur := range study.Swings {
		if cur.Known && i < len(study.Result.Swings) {
			known = append(known, i)
		}
	}
	if len(known) == 0 {
		return nil
	}
	canvas := draw.New(s.Info.Space())
	// Labels are placed on a frame of the clip's size before the first is there.
	canvas.On(media.NewFrame(s.Info.Width, s.Info.Height))
	warp := newWarper()
	defer warp.Close()
	var swings []showing
	total := 0
	for n, i := range known {
		t := newTrace(canvas, s, study, i, wholeScreen)
		t.moments.real = job.Pace == RealPace
		p := plan(s.TimesS, t.moments)
		job.Report.At("plan", n+1, len(known))
		if len(p) == 0 {
			continue
		}
		o := showing{job: job, s: s, trace: t, shots: p, canvas: canvas, strip: newKeyStrip(s, study, i, warp), done: total}
		o.suffix = swingSuffix(len(swings))
		swings = append(swings, o)
		total += shown(p)
	}
	if len(swings) == 0 {
		return nil
	}
	stills := filepath.Join(job.OutDir, "stills")
	if job.wants(StillsProduct) {
		if err := os.MkdirAll(stills, 0o755); err != nil {
			return fmt.Errorf("results folder: %s", err.Error())
		}
	}
	out, err := newFilms(ctx, job, s)
	if err != nil {
		return err
	}
	defer out.abort()
	for _, o := range swings {
		o.stills, o.total = stills, total
		if err := o.run(ctx, out); err != nil {
			return err
		}
	}
	return out.close()
}

// films are the videos that a clip's overlay comes to; nil those not asked for.
type films struct {
	drawn *media.Encoder
	clean *media.Encoder // the same without lines
}

func newFilms(ctx context.Context, job Job, s follow.Sightings) (*films, error) {
	open := func(name string) (*media.Encoder, error) {
		return media.NewEncoder(ctx, filepath.Join(job.OutDir, name), s.Info.Width, s.Info.Height, overlayFPS, media.EncodeOptions{
			Matrix: s.Info.Matrix, FullRange: s.Info.FullRange, Transfer: s.Info.Transfer,
			// More threads would only hold more frames in memory.
			Threads: 2,
		})
	}
	f := &films{}
	var err error
	if job.wants(OverlayProduct) {
		if f.drawn, err = open(overlayName); err != nil {
			return nil, err
		}
	}
	if job.wants(CleanProduct) {
		if f.clean, err = open("clean.mp4"); err != nil {
			f.abort()
			return nil, err
		}
	}
	return f, nil
}

func (f *films) close() error {
	for _, e := range []*media.Encoder{f.clean, f.drawn} {
		if e == nil {
			continue
		}
		if err := e.Close(); err != nil {
			return err
		}
	}
	return nil
}

func (f *films) abort() {
	for _, e := range []*media.Encoder{f.clean, f.drawn} {
		if e != nil {
			e.Abort()
		}
	}
}

// show writes a frame n times, where the film is wanted.
func show(e *media.Encoder, f *media.Frame, n int) error {
	if e == nil {
		return nil
	}
	for range n {
		if err := e.Write(f); err != nil {
			return err
		}
	}
	return nil
}

// showing is the second, partial decode of one swing.
type showing struct {
	job    Job
	s      follow.Sightings
	trace  *trace
	shots  []shot
	canvas *draw.Canvas
	strip  *keyStrip
	stills string
	suffix string // of the stills' names
	done   int    // frames shown of the swings before
	total  int
}

func (o showing) run(ctx context.Context, out *films) error {
	times := map[int]int{}
	for _, s := range o.shots {
		times[s.frame] = s.times
	}
	names := map[int][]string{}
	if o.job.wants(StillsProduct) {
		names = o.names()
	}
	first, last := o.shots[0].frame, o.shots[len(o.shots)-1].frame
	for f := range names {
		first, last = min(first, f), max(last, f)
	}
	for f, err := range o.s.Again(ctx, first, last) {
		if err != nil {
			return err
		}
		n, still := times[f.Index], names[f.Index]
		if n == 0 && still == nil || f.Index >= len(o.s.TimesS) {
			continue
		}
		at, move := o.s.TimesS[f.Index], o.s.Moves[f.Index]
		if err := show(out.clean, f, n); err != nil {
			return err
		}
		for _, name := range still {
			if err := o.strip.add(name, f, at, move); err != nil {
				return err
			}
		}
		o.trace.draw(o.canvas.On(f), at, move)
		if err := show(out.drawn, f, n); err != nil {
			return err
		}
		o.done += n
		for _, name := range still {
			if err := f.WritePNG(filepath.Join(o.stills, name+o.suffix+".png"), o.s.Info.Space()); err != nil {
				return err
			}
		}
		o.job.Report.At("draw", o.done, o.total)
	}
	if len(names) == 0 {
		return nil
	}
	return o.strip.write(o.stills, o.suffix)
}

// names are the stills' names by the frame that is nearest to each key position.
func (o showing) names() map[int][]string {
	out := map[int][]string{}
	for _, k := range o.trace.keys {
		f := o.s.Nearest(k.timeS)
		if math.Abs(o.s.TimesS[f]-k.timeS) <= o.trace.frameS {
			out[f] = append(out[f], k.name)
		}
	}
	return out
}
