package compare

import (
	"context"
	"fmt"
	"iter"
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/fault"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/overlay"
	"ashline/pipeline/progress"
)

// Choices of the video.
const (
	videoName = "compare.mp4"
	gapPx     = 8    // between the two pictures
	highPx    = 1080 // of a picture, at most
	panelRows = 4    // attack, descent, gap, zone
	// cellWide and cellHigh are a picture's shape: two beside each other fill a screen
	// of 16 by 9.
	cellWide, cellHigh = 8, 9
)

// film is the plan of a video of two clips.
type film struct {
	width, height int // px, of each of the two pictures
	space         media.ColourSpace
	canvas        *draw.Canvas
	sides         [2]side
	mirrored      bool
	pairs         []pair
	shared        []SharedKey
	shown         [][2]int // the clips' frames that each frame shows
}

// side is one of the two clips.
type side struct {
	clip    Clip
	screen  overlay.Screen
	drawing *overlay.Drawing
	cell    *media.Frame
}

func newFilm(clips [2]Clip, swings [2]int, align Align) (*film, error) {
	f := &film{space: clips[0].Info.Space()}
	f.width, f.height = cellSize(clips[0].Info, clips[1].Info)
	f.canvas = draw.New(f.space)
	f.mirrored = clips[0].Study.Swings[swings[0]].View.Sign != clips[1].Study.Swings[swings[1]].View.Sign
	scale := 0.0 // px a metre: the same in both
	for i, c := range clips {
		scr := overlay.Region(c.Study, swings[i], c.Info, f.width, f.height, false, 0)
		scale = max(scale, pxPerM(c.Study, swings[i], scr))
	}
	var m [2]overlay.Moments
	var keys [2]metrics.Keys
	for i, c := range clips {
		s := side{clip: c, cell: media.NewFrame(f.width, f.height)}
		s.screen = overlay.Region(c.Study, swings[i], c.Info, f.width, f.height, i == 1 && f.mirrored, scale)
		s.drawing = overlay.NewDrawing(f.canvas.On(s.cell), c.Footage, c.Study, swings[i], s.screen)
		f.sides[i] = s
		m[i], keys[i] = overlay.MomentsOf(c.Study, swings[i], c.TimesS), c.Study.Result.Swings[swings[i]].Keys
	}
	// Both panels are small and in the same corner.
	name := titles(clips)
	cost := func(b draw.Box) float64 { return f.sides[0].drawing.Cost(b) + f.sides[1].drawing.Cost(b) }
	for i, s := range f.sides {
		s.drawing.Panel(f.canvas, name[i], panelRows, cost)
	}
	f.pairs, f.shared = inStep(m[0], anchors(align, m, keys))
	for _, p := range f.pairs {
		for range 1 + p.hold {
			f.shown = append(f.shown, [2]int{clips[0].Nearest(p.at[0]), clips[1].Nearest(p.at[1])})
		}
	}
	return f, nil
}

// cellSize is the size of each of the two pictures, px: as high as the higher clip, or
// as may be.
func cellSize(a, b media.Info) (w, h int) {
	h = min(max(a.Height, b.Height), highPx) &^ 1
	w = (h*cellWide/cellHigh - gapPx/2) &^ 1
	return w, h
}

// pxPerM is how large a metre at contact is drawn; 0 without a scale.
func pxPerM(study metrics.Study, swing int, scr overlay.Screen) float64 {
	if !overlay.Scaled(study) {
		return 0
	}
	c := study.Swings[swing]
	return scr.Size(1 / c.View.MetresPerPixel(c.Barrel(c.ContactS)))
}

// write writes the video.
func (f *film) write(ctx context.Context, dir string, report progress.Report) error {
	info := f.sides[0].clip.Info
	enc, err := media.NewEncoder(ctx, filepath.Join(dir, videoName), 2*f.width+gapPx, f.height, footage.ShownFPS, media.EncodeOptions{
		Matrix: info.Matrix, FullRange: info.FullRange, Transfer: info.Transfer, Threads: 2,
	})
	if err != nil {
		return err
	}
	defer enc.Abort()
	warp := overlay.NewWarper()
	defer warp.Close()
	var reels [2]*reel
	for i, s := range f.sides {
		reels[i] = newReel(ctx, s.clip, f.shown[0][i], f.shown[len(f.shown)-1][i])
	}
	defer reels[0].stop()
	defer reels[1].stop()
	both := media.NewFrame(2*f.width+gapPx, f.height)
	y, u, v := f.space.YUV(255, 255, 255)
	both.Fill(y, u, v)
	done := 0
	for _, p := range f.pairs {
		for i, s := range f.sides {
			raw, fresh, err := reels[i].to(s.clip.Nearest(p.at[i]))
			if err != nil {
				return fmt.Errorf("%q: %w", s.clip.Path, err)
			}
			if fresh {
				if err := f.show(s, raw, warp); err != nil {
					return err
				}
			}
			both.Put(s.cell, i*(f.width+gapPx), 0)
		}
		for range 1 + p.hold {
			if err := enc.Write(both); err != nil {
				return err
			}
			done++
		}
		report.At("draw", done, len(f.shown))
	}
	return enc.Close()
}

// show puts a frame into the side's cell, with all that is drawn on it.
func (f *film) show(s side, raw *media.Frame, warp *overlay.Warper) error {
	if err := warp.Show(s.cell, raw, s.screen); err != nil {
		return err
	}
	s.cell.Recolour(s.clip.Info.Space(), f.space)
	s.drawing.Draw(f.canvas.On(s.cell), s.clip.TimesS[raw.Index], s.clip.Moves[raw.Index])
	return nil
}

// reel reads a part of a clip again, forwards.
type reel struct {
	next func() (*media.Frame, error, bool)
	stop func()
	at   *media.Frame // nil before the first
}

func newReel(ctx context.Context, clip Clip, first, last int) *reel {
	r := &reel{}
	r.next, r.stop = iter.Pull2(clip.Again(ctx, first, last))
	return r
}

// to winds on to a frame, and says whether it is another than before.
func (r *reel) to(frame int) (f *media.Frame, fresh bool, err error) {
	for r.at == nil || r.at.Index < frame {
		f, err, ok := r.next()
		if !ok {
			return nil, false, fmt.Errorf("%w: frame %d is gone", fault.ErrBug, frame)
		}
		if err != nil {
			return nil, false, err
		}
		r.at, fresh = f, true
	}
	return r.at, fresh, nil
}
