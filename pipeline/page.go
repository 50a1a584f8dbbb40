package pipeline

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"ashline/metrics"
	"ashline/pipeline/fault"
	"ashline/pipeline/follow"
	"ashline/pipeline/plot"
	"ashline/pipeline/report"
)

// Names of the files for people, beside overlay.mp4 and stills.
const (
	overlayName  = "overlay.mp4"
	pageName     = "report.html"
	captionsName = "captions.vtt"
	plotsName    = "plots"
)

// writePage writes report.html and plots/*.svg, and with an overlay captions.vtt.
func writePage(job Job, s follow.Sightings, study metrics.Study) error {
	res := study.Result
	p := report.Page{Result: res, Swings: make([]report.Swing, len(res.Swings))}
	if job.wants(PlotsProduct) {
		if err := os.MkdirAll(filepath.Join(job.OutDir, plotsName), 0o755); err != nil {
			return fmt.Errorf("results folder: %s", err.Error())
		}
	}
	for i, sw := range res.Swings {
		path, _ := study.Plane(i)
		p.Swings[i].Path = path
		if !job.wants(PlotsProduct) {
			continue
		}
		for _, one := range plot.One(plot.Swing{Path: path, Metrics: sw}) {
			ext := filepath.Ext(one.File)
			name := one.File[:len(one.File)-len(ext)] + swingSuffix(i) + ext
			if err := os.WriteFile(filepath.Join(job.OutDir, plotsName, name), one.SVG, 0o644); err != nil {
				return fmt.Errorf("writing plots: %w", err)
			}
		}
		job.Report.At("page", i+1, len(res.Swings))
	}
	if job.wants(OverlayProduct, StillsProduct) {
		shown := marks(s, study, p.Swings, job.Pace)
		if shown > 0 && job.wants(OverlayProduct) {
			p.Video = report.Video{File: overlayName, FPS: overlayFPS, Frames: shown, Width: s.Info.Width &^ 1, Height: s.Info.Height &^ 1}
		}
		for i := range p.Swings {
			p.Swings[i].Stills = stills(job.OutDir, p.Swings[i].Stills)
		}
	}
	if p.Video.File != "" {
		title := fmt.Sprintf("%s %s %s", res.Card.Hitter, res.Card.Session, res.Card.Label)
		err := writeFile(job.OutDir, captionsName, func(w io.Writer) error {
			return report.WriteCaptions(w, title, overlayFPS, report.Cues(res, p.Video, p.Swings))
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

// swingSuffix tells the files of a clip's swings apart; the first has none.
func swingSuffix(i int) string {
	if i == 0 {
		return ""
	}
	return fmt.Sprintf("-%d", i+1)
}

// marks fills in where the overlay shows the key positions of each swing, and what
// their stills would be called. It returns the number of frames that the overlay has.
func marks(s follow.Sightings, study metrics.Study, swings []report.Swing, pace Pace) int {
	done, drawn := 0, 0
	for i, cur := range study.Swings {
		if !cur.Known || i >= len(swings) {
			continue
		}
		t := &trace{cur: cur, frameS: 1 / s.FPS}
		t.times(study.Result.Swings[i], s.TimesS)
		t.moments.real = pace == RealPace
		shots := plan(s.TimesS, t.moments)
		if len(shots) == 0 {
			continue
		}
		// The overlay counts the swings that it draws, not those of the clip.
		suffix := swingSuffix(drawn)
		drawn++
		m := marksOf(t, study.Result.Swings[i], s.TimesS, shots, done)
		swings[i].Marks = m
		for _, k := range m {
			if k.Name != "zone" {
				swings[i].Stills = append(swings[i].Stills, report.Still{Name: k.Name, TimeS: k.TimeS, File: "stills/" + k.Name + closeName + suffix + ".png"})
			}
		}
		done += shown(shots)
	}
	return done
}

// marksOf are the places of one swing in the overlay, which shows done frames before
// it, in the order in which they are shown.
func marksOf(t *trace, sw metrics.Swing, timesS []float64, shots []shot, done int) []report.Mark {
	// first is the frame of the overlay that first shows time at, on the clip's clock:
	// the one in which its label appears.
	first := func(at float64) int {
		n := done
		for _, x := range shots {
			if t.reached(at, timesS[x.frame]) {
				return n
			}
			n += x.times
		}
		return n - 1
	}
	var out []report.Mark
	for _, k := range sw.Keys.Named() {
		if k.TimeS == nil {
			continue
		}
		if at := t.cur.ContactS + *k.TimeS; at >= t.moments.startS && at <= t.moments.endS {
			out = append(out, report.Mark{Name: k.Name, TimeS: *k.TimeS, Frame: first(at)})
		}
	}
	if z := sw.Zone; z.EnterS.Known() && z.LeaveS.Known() {
		enter, leave := z.EnterS.Float(), z.LeaveS.Float()
		from, until := first(t.cur.ContactS+enter), first(t.cur.ContactS+leave)+1
		out = append(out, report.Mark{Name: "zone", TimeS: enter, Frame: from, Until: max(until, from+1)})
	}
	// One frame may be the first to show two of them.
	slices.SortStableFunc(out, func(a, b report.Mark) int {
		return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.TimeS, b.TimeS))
	})
	return out
}

// stills keeps those that were made: a key position may lie where no frame is.
func stills(dir string, all []report.Still) []report.Still {
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
	if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o644); err != nil {
		return fmt.Errorf("writing %s: %w", name, err)
	}
	return nil
}
