package pipeline

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"ashline/metrics"
	"ashline/pipeline/fault"
	"ashline/pipeline/footage"
	"ashline/pipeline/outfile"
	"ashline/pipeline/overlay"
	"ashline/pipeline/plot"
	"ashline/pipeline/report"
)

// Names of the files for people, beside the overlay's.
const (
	pageName     = "report.html"
	captionsName = "captions.vtt"
	plotsName    = "plots"
)

// writePage writes report.html and plots/*.svg, and with an overlay captions.vtt.
func writePage(job Job, clip footage.Footage, study metrics.Study) error {
	res := study.Result
	p := report.Page{Result: res, Swings: make([]report.Swing, len(res.Swings))}
	if job.wants(PlotsProduct) {
		if err := outfile.Folder(filepath.Join(job.OutDir, plotsName)); err != nil {
			return fmt.Errorf("results folder: %s", err.Error())
		}
	}
	for i, sw := range res.Swings {
		path, _ := study.Plane(i)
		p.Swings[i].Path = path
		if !job.wants(PlotsProduct) {
			continue
		}
		for _, one := range plot.One(plot.Swing{Path: path, Measured: sw}) {
			ext := filepath.Ext(one.File)
			name := one.File[:len(one.File)-len(ext)] + overlay.Suffix(i) + ext
			if err := outfile.Write(filepath.Join(job.OutDir, plotsName, name), one.SVG); err != nil {
				return fmt.Errorf("writing plots: %w", err)
			}
		}
		job.Report.At("page", i+1, len(res.Swings))
	}
	if job.wants(OverlayProduct, StillsProduct) {
		frames := 0
		for _, part := range overlay.Parts(clip, study, job.Pace) {
			sw := &p.Swings[part.Swing]
			sw.Marks = part.Marks(res.Swings[part.Swing])
			sw.Stills = made(job.OutDir, part.Stills(sw.Marks))
			frames = part.From + part.Frames()
		}
		if frames > 0 && job.wants(OverlayProduct) {
			p.Video = report.Video{File: overlay.Name, FPS: footage.ShownFPS, Frames: frames, Width: clip.Info.Width &^ 1, Height: clip.Info.Height &^ 1}
		}
	}
	if p.Video.File != "" {
		title := fmt.Sprintf("%s %s %s", res.Card.Hitter, res.Card.Session, res.Card.Label)
		err := writeFile(job.OutDir, captionsName, func(w io.Writer) error {
			return report.WriteCaptions(w, title, footage.ShownFPS, report.Cues(res, p.Video, p.Swings))
		})
		if err != nil {
			return err
		}
	}
	if !job.wants(ReportProduct) {
		return nil
	}
	return writeFile(job.OutDir, pageName, func(w io.Writer) error { return report.Write(w, p) })
}

// made keeps the stills that were made: a key position may lie where no frame is.
func made(dir string, all []report.Still) []report.Still {
	return slices.DeleteFunc(all, func(s report.Still) bool {
		_, err := os.Stat(filepath.Join(dir, filepath.FromSlash(s.File)))
		return err != nil
	})
}

// writeFile writes a file from memory, so that an error leaves none that is half done.
func writeFile(dir, name string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("%w: %s: %w", fault.ErrBug, name, err)
	}
	if err := outfile.Write(filepath.Join(dir, name), b.Bytes()); err != nil {
		return fmt.Errorf("writing %s: %w", name, err)
	}
	return nil
}
