package compare

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"

	"ashline/metrics"
	"ashline/metrics/change"
	"ashline/metrics/finding"
	"ashline/pipeline/fault"
	"ashline/pipeline/footage"
	"ashline/pipeline/outfile"
	"ashline/pipeline/progress"
	"ashline/pipeline/report"
)

// Options say how two clips are compared, and where the results go.
type Options struct {
	// Dir receives compare.mp4, compare.html and compare.json.
	Dir string
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
}

// Version names the form of compare.json.
const Version = "ashline.compare/1.0"

// ErrAlone means: a clip whose swing could not be put into the plane, so that there is
// nothing to hold beside the other. Normal for a clip in which the barrel was lost.
var ErrAlone = fault.New(fault.BadInput, "no swing to compare")

// Write compares the first known swings of two clips and shows them in step.
func Write(ctx context.Context, clips [2]Clip, o Options) (Comparison, error) {
	if o.Align == "" {
		o.Align = AlignKeys
	}
	out := Comparison{Schema: Version, Align: o.Align}
	swings, results := [2]int{}, [2]metrics.Result{}
	for i, c := range clips {
		var ok bool
		if swings[i], ok = c.swing(); !ok {
			return out, fmt.Errorf("%q: %w: the barrel was seen too rarely", c.Path, ErrAlone)
		}
		results[i] = c.Study.Result
	}
	var err error
	if out.Change, err = change.Groups(results[:1], results[1:], change.GroupOptions{Mix: o.Mix}); err != nil {
		return out, err
	}
	out.Change.Program = results[1].Program
	out.Moved = finding.Improved(out.Change, clips[1].Rules)
	f, err := newFilm(clips, swings, o.Align)
	if err != nil {
		return out, err
	}
	out.Mirrored, out.Keys, out.Shown, out.Frames = f.mirrored, f.shared, f.shown, len(f.shown)
	if err := f.write(ctx, o.Dir, o.Report); err != nil {
		return out, err
	}
	text, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return out, fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	if err := outfile.Write(filepath.Join(o.Dir, "compare.json"), append(text, '\n')); err != nil {
		return out, fmt.Errorf("writing results: %w", err)
	}
	return out, out.page(o.Dir, clips, swings, f)
}

// page writes compare.html.
func (out Comparison) page(dir string, clips [2]Clip, swings [2]int, f *film) error {
	name := titles(clips)
	of := func(i int) report.Side {
		study := clips[i].Study
		path, _ := study.Plane(swings[i])
		return report.Side{Name: name[i], Result: study.Result, Swing: swings[i], Path: path}
	}
	c := report.Comparison{
		Before: of(0), After: of(1), Outcome: out.Change,
		Video: report.Video{File: videoName, FPS: footage.ShownFPS, Frames: out.Frames, Width: 2*f.width + gapPx, Height: f.height},
	}
	for _, m := range out.Moved {
		c.Sentences = append(c.Sentences, m.Text)
	}
	for _, k := range out.Keys {
		at := clips[1].Study.Result.Swings[swings[1]].Keys.Of(k.Name)
		c.Marks = append(c.Marks, report.Mark{Name: k.Name, TimeS: *at.TimeS, Frame: k.Frame})
	}
	// From memory, so that an error leaves no page that is half done.
	var b bytes.Buffer
	if err := report.WriteCompare(&b, c); err != nil {
		return fmt.Errorf("%w: compare.html: %w", fault.ErrBug, err)
	}
	if err := outfile.Write(filepath.Join(dir, "compare.html"), b.Bytes()); err != nil {
		return fmt.Errorf("writing compare.html: %w", err)
	}
	return nil
}
