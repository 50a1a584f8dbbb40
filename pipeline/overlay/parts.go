package overlay

import (
	"cmp"
	"fmt"
	"slices"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/footage"
	"ashline/pipeline/report"
)

// Part is one swing of a clip as the overlay shows it.
type Part struct {
	Swing   int // of the clip
	From    int // frames of the overlay before it
	n       int // parts before it
	moments Moments
	shots   []shot
	timesS  []float64
	frameS  float64
}

// Parts are the swings that the overlay shows: those that could be measured and of which
// the clip holds a frame.
func Parts(clip footage.Footage, study metrics.Study, pace Pace) []Part {
	var out []Part
	from := 0
	for i, cur := range study.Swings {
		if !cur.Known || i >= len(study.Result.Swings) {
			continue
		}
		m := MomentsOf(study, i, clip.TimesS)
		m.Real = pace == RealPace
		p := Part{Swing: i, From: from, n: len(out), moments: m, shots: plan(clip.TimesS, m), timesS: clip.TimesS, frameS: 1 / clip.FPS}
		if len(p.shots) > 0 {
			out = append(out, p)
			from += p.Frames()
		}
	}
	return out
}

// Frames is how many frames of the overlay show the swing.
func (p Part) Frames() int { return shown(p.shots) }

// first is the frame of the overlay that first shows a time of the clip: the one in which
// its label appears.
func (p Part) first(at float64) int {
	n := p.From
	for _, x := range p.shots {
		if reached(at, p.timesS[x.frame], p.frameS) {
			return n
		}
		n += x.times
	}
	return n - 1
}

// Marks are the places of the swing's key positions and its zone in the overlay, in the
// order in which they are shown.
func (p Part) Marks(sw metrics.Swing) []report.Mark {
	contact := p.moments.ContactS
	var out []report.Mark
	for _, k := range sw.Keys.Named() {
		if k.TimeS == nil {
			continue
		}
		if at := contact + *k.TimeS; at >= p.moments.StartS && at <= p.moments.EndS {
			out = append(out, report.Mark{Name: k.Name, TimeS: *k.TimeS, Frame: p.first(at)})
		}
	}
	if a, b := sw.Metrics[catalogue.ZoneEnterS], sw.Metrics[catalogue.ZoneLeaveS]; a.Known() && b.Known() {
		enter, leave := a.Float(), b.Float()
		from, until := p.first(contact+enter), p.first(contact+leave)+1
		out = append(out, report.Mark{Name: zoneMark, TimeS: enter, Frame: from, Until: max(until, from+1)})
	}
	// One frame may be the first to show two of them.
	slices.SortStableFunc(out, func(a, b report.Mark) int {
		return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.TimeS, b.TimeS))
	})
	return out
}

// zoneMark is the one mark that is no key position.
const zoneMark = "zone"

// Stills are the close pictures that the swing's key positions may have.
func (p Part) Stills(marks []report.Mark) []report.Still {
	var out []report.Still
	for _, k := range marks {
		if k.Name != zoneMark {
			out = append(out, report.Still{Name: k.Name, TimeS: k.TimeS, File: stillsName + "/" + closeName(k.Name) + Suffix(p.n) + ".png"})
		}
	}
	return out
}

// Names of what is written.
const (
	Name       = "overlay.mp4"
	cleanName  = "clean.mp4"
	stillsName = "stills"
)

// closeName is the name of a key position's own picture.
func closeName(key string) string { return key + "-close" }

// Suffix tells the files of several swings apart; the first has none.
func Suffix(i int) string {
	if i == 0 {
		return ""
	}
	return fmt.Sprintf("-%d", i+1)
}
