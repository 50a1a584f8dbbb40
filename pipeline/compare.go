package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"ashline/metrics"
	"ashline/metrics/change"
	"ashline/metrics/finding"
	"ashline/pipeline/draw"
	"ashline/pipeline/fault"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"
	"ashline/pipeline/report"
	"ashline/pipeline/svg"
)

// CompareJob is two clips to show side by side.
type CompareJob struct {
	// Clips are what came before and what came after, or a hitter's swing and the one to
	// hold it against. Of each, Clip, Cards, PoseDir, Rules and Words count.
	Clips [2]Job
	// OutDir receives compare.mp4, compare.html, compare.json, and a folder of metrics a
	// clip.
	OutDir string
	// Align is how the clips are put in step. Defaults to AlignKeys.
	Align Align
	// Mix compares swings of unlike kinds all the same. Defaults to false.
	Mix bool
	// Report is told how far the work has come. Defaults to nobody.
	Report progress.Report
}

// Comparison is what compare.json holds.
type Comparison struct {
	Schema   string         `json:"schema"`
	Align    Align          `json:"align"`
	Mirrored bool           `json:"mirrored"` // the second clip is shown mirrored
	Keys     []SharedKey    `json:"keys"`     // by the video's frames, 30 a second
	Frames   int            `json:"frames"`
	Shown    [][2]int       `json:"shown"` // the clips' frames that each frame of the video shows
	Change   change.Outcome `json:"change"`
	Moved    []finding.Step `json:"moved"` // what got better or worse, in words
	results  [2]metrics.Result
}

// compareName is the video's file.
const compareName = "compare.mp4"

// CompareVersion names the form of compare.json.
const CompareVersion = "ashline.compare/1.0"

// ErrAlone means: a clip whose swing could not be put into the plane, so that there is
// nothing to hold beside the other. Normal for a clip in which the barrel was lost.
var ErrAlone = errors.New("no swing to compare")

// sideNames are the folders of the two clips' metrics.
var sideNames = [2]string{"before", "after"}

// Compare measures two clips and shows them in step.
func Compare(ctx context.Context, job CompareJob) (Comparison, error) {
	out := Comparison{Schema: CompareVersion, Align: job.Align}
	if out.Align == "" {
		out.Align = AlignKeys
	}
	var sides [2]*side
	for i, j := range job.Clips {
		j.OutDir, j.Report = filepath.Join(job.OutDir, sideNames[i]), job.Report
		m, err := study(ctx, j)
		if err == nil {
			err = m.write()
		}
		if err != nil {
			return out, fmt.Errorf("%q: %w", j.Clip, err)
		}
		if sides[i] = newSide(m); sides[i] == nil {
			return out, fmt.Errorf("%q: %w: the barrel was seen too rarely", j.Clip, ErrAlone)
		}
		out.results[i] = m.study.Result
	}
	var err error
	if out.Change, err = change.Groups(out.results[:1], out.results[1:], change.GroupOptions{Mix: job.Mix}); err != nil {
		return out, err
	}
	out.Change.Program = out.results[1].Program
	out.Moved = finding.Improved(out.Change, sides[1].rules)
	out.Mirrored = sides[0].curves().View.Sign != sides[1].curves().View.Sign
	if err := out.film(ctx, job, sides); err != nil {
		return out, err
	}
	if err := writeJSON(filepath.Join(job.OutDir, "compare.json"), out); err != nil {
		return out, err
	}
	err = out.page(job.OutDir, sides)
	return out, err
}

// page writes compare.html.
func (out *Comparison) page(dir string, sides [2]*side) error {
	name := titles(sides)
	of := func(i int) report.Side {
		s := sides[i]
		path, _ := s.study.Plane(s.swing)
		return report.Side{Name: name[i], Result: s.study.Result, Swing: s.swing, Path: path}
	}
	c := report.Comparison{
		Before: of(0), After: of(1), Outcome: out.Change,
		Video: report.Video{File: compareName, FPS: overlayFPS, Frames: out.Frames, Width: 2*sides[0].cell.W + compareGap, Height: sides[0].cell.H},
	}
	for _, m := range out.Moved {
		c.Sentences = append(c.Sentences, m.Text)
	}
	for _, k := range out.Keys {
		at := sides[1].study.Result.Swings[sides[1].swing].Keys.Of(k.Name)
		c.Marks = append(c.Marks, report.Mark{Name: k.Name, TimeS: *at.TimeS, Frame: k.Frame})
	}
	return writeFile(dir, "compare.html", func(w io.Writer) error { return report.WriteCompare(w, c) })
}

// side is one of the two clips.
type side struct {
	*measured
	swing int
	trace *trace
	dec   *media.Decoder
	raw   media.Frame
	cell  *media.Frame
	shown int // frame of the clip in the cell; −1 before the first
}

// newSide takes the first swing that is known; nil without one.
func newSide(m *measured) *side {
	for i, c := range m.study.Swings {
		if c.Known && i < len(m.study.Result.Swings) {
			return &side{measured: m, swing: i, shown: -1}
		}
	}
	return nil
}

func (s *side) curves() metrics.Curves { return s.study.Swings[s.swing] }

func (s *side) scaled() bool { return s.study.Result.Quality.ScaleSource != "none" }

// titles are what the coach calls the two clips, by which they can be told apart.
func titles(sides [2]*side) [2]string {
	var label, hitter [2]string
	for i, s := range sides {
		label[i], hitter[i] = svg.Short(s.card.Label, 20), svg.Short(s.card.Hitter, 20)
	}
	for _, t := range [][2]string{label, hitter} {
		if t[0] != "" && t[1] != "" && t[0] != t[1] {
			return t
		}
	}
	return sideNames
}

// panels gives both pictures a small panel, in the same corner.
func (out *Comparison) panels(c *draw.Canvas, sides [2]*side) {
	name := titles(sides)
	var places [2]*trace
	for i, s := range sides {
		places[i] = s.trace
	}
	cost := func(b draw.Box) float64 { return places[0].cost(b) + places[1].cost(b) }
	for i, s := range sides {
		sw := s.study.Result.Swings[s.swing]
		s.trace.panel = newPanel(c, name[i], readouts(sw)[:compareRows], cost)
	}
}

const (
	compareGap  = 8    // px between the two pictures
	compareHigh = 1080 // px at most
	compareRows = 4    // of the panel: attack, descent, gap, zone
)

// cellSize is the size of each of the two pictures, px: as high as the higher clip,
// nine by eight, so that the two fill a screen.
func cellSize(a, b media.Info) (w, h int) {
	h = min(max(a.Height, b.Height), compareHigh) &^ 1
	w = (h*8/9 - compareGap/2) &^ 1
	return w, h
}

// film writes compare.mp4.
func (out *Comparison) film(ctx context.Context, job CompareJob, sides [2]*side) error {
	w, h := cellSize(sides[0].seen.Info, sides[1].seen.Info)
	info := sides[0].seen.Info
	space := info.Space()
	scale := 0.0 // px a metre: the same in both
	for _, s := range sides {
		scr := regionScreen(s.curves(), s.scaled(), s.seen.Info.Width, s.seen.Info.Height, w, h, false, 0)
		scale = max(scale, s.pxPerM(scr))
	}
	canvas := draw.New(space)
	var m [2]moments
	var keys [2]metrics.Keys
	for i, s := range sides {
		scr := regionScreen(s.curves(), s.scaled(), s.seen.Info.Width, s.seen.Info.Height, w, h, i == 1 && out.Mirrored, scale)
		s.cell = media.NewFrame(w, h)
		s.trace = newTrace(canvas.On(s.cell), s.seen, s.study, s.swing, scr)
		m[i], keys[i] = s.trace.moments, s.study.Result.Swings[s.swing].Keys
	}
	out.panels(canvas, sides)
	frames, shared := inStep(m[0], anchors(out.Align, m, keys))
	out.Keys = shared
	for _, p := range frames {
		for range 1 + p.hold {
			out.Shown = append(out.Shown, [2]int{sides[0].seen.Nearest(p.at[0]), sides[1].seen.Nearest(p.at[1])})
		}
	}
	out.Frames = len(out.Shown)
	enc, err := media.NewEncoder(ctx, filepath.Join(job.OutDir, compareName), 2*w+compareGap, h, overlayFPS, media.EncodeOptions{
		Matrix: info.Matrix, FullRange: info.FullRange, Transfer: info.Transfer, Threads: 2,
	})
	if err != nil {
		return err
	}
	defer enc.Abort()
	warp := newWarper()
	defer warp.Close()
	defer func() {
		for _, s := range sides {
			if s.dec != nil {
				_ = s.dec.Close() // read to where it was needed
			}
		}
	}()
	for i, s := range sides {
		if err := s.open(ctx, frames, i); err != nil {
			return err
		}
	}
	both := media.NewFrame(2*w+compareGap, h)
	y, u, v := space.YUV(255, 255, 255)
	both.Fill(y, u, v)
	done := 0
	for _, p := range frames {
		for i, s := range sides {
			if err := s.show(p.at[i], warp, canvas, space); err != nil {
				return err
			}
			both.Put(s.cell, i*(w+compareGap), 0)
		}
		for range 1 + p.hold {
			if err := enc.Write(both); err != nil {
				return err
			}
			done++
		}
		job.Report.At("draw", done, out.Frames)
	}
	return enc.Close()
}

// pxPerM is how large a metre at contact is drawn; 0 without a scale.
func (s *side) pxPerM(scr screen) float64 {
	if !s.scaled() {
		return 0
	}
	c := s.curves()
	return scr.size(1 / c.View.MetresPerPixel(c.Barrel(c.ContactS)))
}

// open starts the second decode of the part that is shown.
func (s *side) open(ctx context.Context, frames []pair, i int) error {
	first := s.seen.Nearest(frames[0].at[i])
	last := s.seen.Nearest(frames[len(frames)-1].at[i])
	var err error
	s.dec, err = media.Open(ctx, s.job.Clip, s.seen.Info, media.Options{StartS: s.seen.FileS[first], EndS: s.seen.FileS[last], Times: s.seen.FileS})
	return err
}

// show puts the frame nearest to a time of the clip into the cell, with all that is
// drawn on it. Times never go back.
func (s *side) show(timeS float64, warp *warper, canvas *draw.Canvas, space media.ColourSpace) error {
	want := s.seen.Nearest(timeS)
	if want == s.shown {
		return nil
	}
	for s.raw.Index < want || s.shown < 0 {
		if err := s.dec.Next(&s.raw); errors.Is(err, io.EOF) {
			return fmt.Errorf("%w: frame %d of %q is gone", fault.ErrBug, want, s.job.Clip)
		} else if err != nil {
			return fmt.Errorf("%q: %w", s.job.Clip, err)
		}
		s.shown = s.raw.Index
	}
	s.shown = want
	if err := warp.warp(s.cell, &s.raw, s.trace.screen); err != nil {
		return err
	}
	s.cell.Recolour(s.seen.Info.Space(), space)
	s.trace.draw(canvas.On(s.cell), s.seen.TimesS[want], s.seen.Moves[want])
	return nil
}
