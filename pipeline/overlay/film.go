package overlay

import (
	"context"
	"fmt"
	"math"
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/outfile"
	"ashline/pipeline/progress"
)

// Options say what is written, and where.
type Options struct {
	// Dir is the folder of the results.
	Dir string
	// Drawn asks for overlay.mp4, Clean for clean.mp4, the same without lines, Stills
	// for pictures of the key positions. Default to false.
	Drawn, Clean, Stills bool
	// Pace is how fast what is not around contact is shown. Defaults to SlowPace.
	Pace Pace
	// Report is told how far the work has come. Defaults to nobody.
	Report progress.Report
}

// Write shows each swing of a clip in slow motion with what was measured drawn on it. A
// clip without a swing that could be measured gets no file.
func Write(ctx context.Context, clip footage.Footage, study metrics.Study, o Options) error {
	parts := Parts(clip, study, o.Pace)
	if len(parts) == 0 {
		return nil
	}
	canvas := draw.New(clip.Info.Space())
	// Labels are placed on a frame of the clip's size before the first is there.
	canvas.On(media.NewFrame(clip.Info.Width, clip.Info.Height))
	warp := NewWarper()
	defer warp.Close()
	var swings []showing
	total := 0
	for n, p := range parts {
		swings = append(swings, showing{
			Part: p, o: o, clip: clip, canvas: canvas,
			drawing: NewDrawing(canvas, clip, study, p.Swing, Whole), strip: newKeyStrip(clip, study, p.Swing, warp),
		})
		total += p.Frames()
		o.Report.At("plan", n+1, len(parts))
	}
	if o.Stills {
		if err := outfile.Folder(filepath.Join(o.Dir, stillsName)); err != nil {
			return fmt.Errorf("results folder: %s", err.Error())
		}
	}
	out, err := newFilms(ctx, clip.Info, o)
	if err != nil {
		return err
	}
	defer out.abort()
	for _, s := range swings {
		if err := s.run(ctx, out, total); err != nil {
			return err
		}
	}
	return out.close()
}

// films are the videos that a clip's overlay comes to; nil those not asked for.
type films struct{ drawn, clean *media.Encoder }

func newFilms(ctx context.Context, info media.Info, o Options) (*films, error) {
	open := func(name string) (*media.Encoder, error) {
		return media.NewEncoder(ctx, filepath.Join(o.Dir, name), info.Width, info.Height, footage.ShownFPS, media.EncodeOptions{
			Matrix: info.Matrix, FullRange: info.FullRange, Transfer: info.Transfer,
			// More threads would only hold more frames in memory.
			Threads: 2,
		})
	}
	f := &films{}
	var err error
	if o.Drawn {
		if f.drawn, err = open(Name); err != nil {
			return nil, err
		}
	}
	if o.Clean {
		if f.clean, err = open(cleanName); err != nil {
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
	Part
	o       Options
	clip    footage.Footage
	canvas  *draw.Canvas
	drawing *Drawing
	strip   *keyStrip
}

// run writes the swing to the films, which come to total frames.
func (s showing) run(ctx context.Context, out *films, total int) error {
	times := map[int]int{}
	for _, x := range s.shots {
		times[x.frame] = x.times
	}
	names := map[int][]string{}
	if s.o.Stills {
		names = s.names()
	}
	first, last := s.shots[0].frame, s.shots[len(s.shots)-1].frame
	for f := range names {
		first, last = min(first, f), max(last, f)
	}
	dir, done := filepath.Join(s.o.Dir, stillsName), s.From
	for f, err := range s.clip.Again(ctx, first, last) {
		if err != nil {
			return err
		}
		n, still := times[f.Index], names[f.Index]
		if n == 0 && still == nil || f.Index >= len(s.clip.TimesS) {
			continue
		}
		at, move := s.clip.TimesS[f.Index], s.clip.Moves[f.Index]
		if err := show(out.clean, f, n); err != nil {
			return err
		}
		for _, name := range still {
			if err := s.strip.add(name, f, at, move); err != nil {
				return err
			}
		}
		s.drawing.Draw(s.canvas.On(f), at, move)
		if err := show(out.drawn, f, n); err != nil {
			return err
		}
		done += n
		for _, name := range still {
			if err := f.WritePNG(filepath.Join(dir, name+Suffix(s.n)+".png"), s.clip.Info.Space()); err != nil {
				return err
			}
		}
		s.o.Report.At("draw", done, total)
	}
	if len(names) == 0 {
		return nil
	}
	return s.strip.write(dir, Suffix(s.n))
}

// names are the stills' names by the frame that is nearest to each key position.
func (s showing) names() map[int][]string {
	out := map[int][]string{}
	for _, k := range s.drawing.keys {
		f := s.clip.Nearest(k.timeS)
		if math.Abs(s.clip.TimesS[f]-k.timeS) <= s.frameS {
			out[f] = append(out[f], k.name)
		}
	}
	return out
}
