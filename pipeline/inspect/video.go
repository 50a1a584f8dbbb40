package inspect

import (
	"context"
	"fmt"
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/fault"
	"ashline/pipeline/follow"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/outfile"
	"ashline/pipeline/progress"
)

// Options say what is written, and where.
type Options struct {
	// Dir receives debug.mp4 and debug.txt; it is made if missing.
	Dir string
	// Program names the program that measured.
	Program string
	// Cause is the error of a clip that was not measured. Defaults to none.
	Cause error
	// Report is told how far the work has come. Defaults to nobody.
	Report progress.Report
}

// Write writes debug.mp4 and debug.txt for the person who must find out why a clip was
// measured wrongly, or not at all: what each frame offered, what was chosen of it, and
// how sure that is. Where no path was looked for there are candidates only.
func Write(ctx context.Context, s follow.Sightings, found follow.Found, study metrics.Study, o Options) error {
	in, err := newInspection(s, found, study, o.Cause)
	if err != nil {
		return err
	}
	if err := outfile.Folder(o.Dir); err != nil {
		return fmt.Errorf("results folder: %w", err)
	}
	if err := outfile.Write(filepath.Join(o.Dir, "debug.txt"), []byte(in.text(o.Program))); err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	frames, every := chooseFrames(s.TimesS, in.spans)
	sh := newSheet(in, frames, every)
	enc, err := media.NewEncoder(ctx, filepath.Join(o.Dir, "debug.mp4"), sh.width, sh.height, footage.ShownFPS, media.EncodeOptions{
		Matrix: s.Info.Matrix, FullRange: s.Info.FullRange, Transfer: s.Info.Transfer, Threads: 2,
	})
	if err != nil {
		return err
	}
	defer enc.Abort()
	if err := sh.play(ctx, o.Report, enc.Write); err != nil {
		return err
	}
	return enc.Close()
}

// play decodes the sheet's frames once more and hands out each with what was
// found on it.
func (sh *sheet) play(ctx context.Context, report progress.Report, out func(*media.Frame) error) error {
	s := sh.in.s
	done := 0
	for f, err := range s.Again(ctx, sh.frames[0], sh.frames[len(sh.frames)-1]) {
		if err != nil {
			return err
		}
		if done == len(sh.frames) {
			break
		}
		if f.Index != sh.frames[done] {
			continue
		}
		if err := out(sh.draw(f)); err != nil {
			return err
		}
		done++
		report.At("debug", done, len(sh.frames))
	}
	if done < len(sh.frames) {
		return fmt.Errorf("%w: frame %d was not decoded again", fault.ErrBug, sh.frames[done])
	}
	return nil
}

// sheet is the picture with a strip of readings below it.
type sheet struct {
	in            *inspection
	frames        []int // shown
	width, height int   // px, even
	strip         *strip
	canvas        *draw.Canvas
	page          *media.Frame
}

func newSheet(in *inspection, frames []int, every int) *sheet {
	w, h := in.s.Info.Width, in.s.Info.Height
	sh := &sheet{in: in, frames: frames, canvas: draw.New(in.s.Info.Space())}
	sh.width = max(w+w%2, minSheetPx)
	sh.strip = newStrip(sh.canvas, in, frames, every, sh.width, h+h%2)
	sh.height = sh.strip.bottomPx
	sh.page = media.NewFrame(sh.width, sh.height)
	return sh
}

// draw puts one frame on the page. What is drawn beyond the picture's border
// disappears under the strip.
func (sh *sheet) draw(f *media.Frame) *media.Frame {
	copyPart(sh.page, f, 0, 0, f.W, f.H)
	sh.canvas.On(sh.page)
	sh.in.drawOn(sh.canvas, f.Index, f.W, f.H)
	top := f.H + f.H%2
	copyPart(sh.page, sh.strip.base, 0, top, sh.width, sh.height-top)
	if right := f.W + f.W%2; right < sh.width {
		copyPart(sh.page, sh.strip.base, right, 0, sh.width-right, top)
	}
	sh.strip.draw(sh.canvas, f.Index)
	return sh.page
}

// copyPart copies a rectangle that begins at even px from one frame to the same
// place of another.
func copyPart(to, from *media.Frame, x, y, w, h int) {
	for r := y; r < y+h; r++ {
		copy(to.Y[r*to.W+x:r*to.W+x+w], from.Y[r*from.W+x:])
	}
	for r := y / 2; r < (y+h+1)/2; r++ {
		a, b, n := r*to.ChromaW()+x/2, r*from.ChromaW()+x/2, (w+1)/2
		copy(to.U[a:a+n], from.U[b:])
		copy(to.V[a:a+n], from.V[b:])
	}
}
