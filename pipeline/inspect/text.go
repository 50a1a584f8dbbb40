package inspect

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/follow"
)

// text is the account of the clip in words.
func (in *inspection) text(program string) string {
	var b strings.Builder
	in.clipText(&b, program)
	in.markText(&b)
	in.swingText(&b)
	in.ballText(&b)
	in.scaleText(&b)
	return b.String()
}

func note(b *strings.Builder, name, format string, args ...any) {
	fmt.Fprintf(b, "  %-16s %s\n", name, fmt.Sprintf(format, args...))
}

func orNone(s string) string {
	if s == "" {
		return "not stated"
	}
	return s
}

func (in *inspection) clipText(b *strings.Builder, program string) {
	s := in.s
	i, n := s.Info, len(s.TimesS)
	fmt.Fprintf(b, "ashline %s\n\n", program)
	if in.cause != nil {
		fmt.Fprintf(b, "not measured: %v\n\n", in.cause)
	}
	fmt.Fprintln(b, "clip")
	note(b, "picture", "%d × %d px upright, %d × %d px coded, turned %d°, mirrored %t", i.Width, i.Height, i.CodedWidth, i.CodedHeight, i.RotateDeg, i.Mirrored)
	note(b, "coding", "%s %s, matrix %s, full range %t, transfer %s, chroma site tagged %s, found at %.2f, %.2f px", i.Codec, i.PixFmt, i.Matrix, i.FullRange, orNone(i.Transfer), orNone(i.ChromaSite), s.Site.X, s.Site.Y)
	note(b, "frames", "%d decoded, %d by the container", n, i.FramesHint)
	note(b, "rate", "%.3f frames/s in the file, %.3f stated by the file, %.3f used", i.FileFPS, i.CaptureFPS, s.FPS)
	note(b, "length", "%.4f s in the file, %.4f s of capture", i.DurationS, s.TimesS[n-1])
	var steps []float64
	for k := 1; k < n; k++ {
		steps = append(steps, 1000*(s.TimesS[k]-s.TimesS[k-1]))
	}
	sort.Float64s(steps)
	note(b, "frame to frame", "%.3f ms median, %.3f to %.3f", steps[len(steps)/2], steps[0], steps[len(steps)-1])
	most, at := s.FarthestMoved()
	note(b, "camera", "moved %.2f px at most (frame %d); background lost in %d frames", most, at, s.Lost)
}

func (in *inspection) markText(b *strings.Builder) {
	for k := range in.marks {
		m := &in.marks[k]
		model := in.s.Marks.Model(k)
		fmt.Fprintf(b, "\nmark %s\n", m.name)
		note(b, "colour", "hue %.1f° in (Cb, Cr), saturation %.1f steps", degrees(model.HueRad), model.Saturation)
		note(b, "pixels", "in %d of %d frames, %.2f %% of the picture at most", in.s.Marks.SeenFrames(k), len(in.s.TimesS), 100*in.s.Marks.Share(k))
		total, with, most := 0, 0, 0
		for _, cs := range m.candidates {
			total += len(cs)
			most = max(most, len(cs))
			if len(cs) > 0 {
				with++
			}
		}
		note(b, "patches", "in %d frames, %.1f a frame, %d at most", with, float64(total)/float64(len(m.candidates)), most)
		if m.chosen == nil {
			note(b, "path", "none looked for")
			continue
		}
		in.pathText(b, m)
	}
}

// pathText tells what the chosen path of a mark is like.
func (in *inspection) pathText(b *strings.Builder, m *inspectedMark) {
	var mass, mean, still, sd []float64
	for f := range m.chosen {
		if k := m.picked(f); k >= 0 {
			c := m.candidates[f][k]
			mass, mean, still = append(mass, c.Mass), append(mean, c.Mean), append(still, c.Still)
		}
	}
	for _, s := range m.samples {
		sd = append(sd, math.Sqrt((s.VarXX+s.VarYY)/2))
	}
	note(b, "chosen", "%d frames of the patches", len(mass))
	if m.score > 0 {
		note(b, "evidence", "%.0f nats, and %.0f for the best other path at the time of the swing", m.score, m.rival)
	}
	if m.refused != "" {
		note(b, "refused", "%s", m.refused)
	}
	note(b, "path", "seen %d, flow %d, filled %d frames; patches but none chosen %d, no patch %d", m.count[foundSeen], m.count[foundFlow], m.count[foundFilled], m.count[foundRefused], m.count[foundNothing])
	if len(mass) == 0 || len(m.samples) == 0 {
		return
	}
	note(b, "span", "frames %d to %d", m.samples[0].Frame, m.samples[len(m.samples)-1].Frame)
	note(b, "chosen patches", "area %.0f px, coverage %.2f, still share %.2f (medians)", median(mass), median(mean), median(still))
	note(b, "s.d.", "%.2f px median, %.2f px at most", median(sd), largestOf(sd))
	if before, n := in.largestGap(m); n > 0 {
		note(b, "largest gap", "%d frames (%.1f ms) after frame %d", n, 1000*(in.s.TimesS[before+n+1]-in.s.TimesS[before]), before)
	} else {
		note(b, "largest gap", "none")
	}
}

// median is the middle of v, the upper one of two; it reorders v.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)/2]
}

func largestOf(v []float64) float64 {
	most := 0.0
	for _, x := range v {
		most = math.Max(most, x)
	}
	return most
}

// largestGap is the longest run of frames inside the path in which the mark was
// neither seen nor carried by flow, and the frame before it.
func (in *inspection) largestGap(m *inspectedMark) (before, frames int) {
	last := -1
	for f, k := range m.found {
		if k != foundSeen && k != foundFlow {
			continue
		}
		if n := f - last - 1; last >= 0 && n > frames {
			before, frames = last, n
		}
		last = f
	}
	return before, frames
}

func (in *inspection) swingText(b *strings.Builder) {
	fmt.Fprintln(b, "\nswings")
	if len(in.spans) == 0 {
		note(b, "found", "none")
	}
	for i, sp := range in.spans {
		note(b, fmt.Sprintf("swing %d", i), "frames %d to %d, barrel fastest at %.4f s", sp.From, sp.To-1, follow.PeakTime(in.found.Track.Barrel, sp))
		if i >= len(in.study.Result.Swings) {
			continue
		}
		k := in.study.Result.Swings[i].Keys
		for _, key := range []struct {
			name string
			metrics.Key
		}{{"launch", k.Launch}, {"slot", k.Slot}, {"lag", k.Lag}, {"contact", k.Contact}, {"finish", k.Finish}} {
			note(b, "  "+key.name, "%s", keyText(key.name, key.Key))
		}
	}
}

// keyText tells when a key position is and how that is known.
func keyText(name string, k metrics.Key) string {
	if k.TimeS == nil || k.Frame == nil {
		return fmt.Sprintf("%s: %s", k.Status, k.Why)
	}
	how := k.Why
	if how == "" && name == "contact" {
		how = "where the ball's path turns"
	}
	out := fmt.Sprintf("frame %.2f, %+.1f ms, %s, confidence %.2f", *k.Frame, 1000**k.TimeS, k.Status, k.Confidence)
	if how != "" {
		out += ": " + how
	}
	return out
}

func (in *inspection) ballText(b *strings.Builder) {
	fmt.Fprintln(b, "\nball")
	total, with := 0, 0
	for _, bl := range in.s.Blobs {
		total += len(bl)
		if len(bl) > 0 {
			with++
		}
	}
	note(b, "moving blobs", "in %d frames, %.1f a frame", with, float64(total)/float64(len(in.s.Blobs)))
	if len(in.found.Paths) == 0 {
		note(b, "flights", "none looked for")
		return
	}
	if len(in.flights) == 0 {
		note(b, "flights", "none chosen")
	}
	for _, f := range in.flights {
		first, last := f.samples[0].Frame, f.samples[len(f.samples)-1].Frame
		rms, speed := "too few to tell", ""
		if !math.IsNaN(f.rms) {
			rms = fmt.Sprintf("%.2f px", f.rms)
			speed = fmt.Sprintf(", %.0f px/s", f.fit.Speed())
			if in.found.Ruler.Known() {
				speed += fmt.Sprintf(" (%.1f m/s)", f.fit.Speed()*1/in.found.Ruler.PxPerM())
			}
		}
		note(b, fmt.Sprintf("swing %d, %s", f.swing, f.name()), "%d sightings, frames %d to %d, %d missed in a row at most, RMS off a parabola %s%s", len(f.samples), first, last, f.missed(), rms, speed)
	}
}

func (in *inspection) scaleText(b *strings.Builder) {
	fmt.Fprintln(b, "\nscale and exposure")
	if len(in.found.Paths) == 0 {
		note(b, "scale", "not looked for")
		return
	}
	v, sc := in.found.Ruler.View, in.found.Ruler.Scale
	source := sc.Source
	if source == "guess" {
		source = "none on the card, so the width of the picture is guessed and only bounds the search"
	}
	note(b, "scale", "%s; %.4f mm a px in the middle, error %.1f %%", source, 1000*v.MetresPerPixel(geom.Point{v.CX, v.CY}), 100*sc.RelSD)
	if v.Lens {
		note(b, "lens", "%.3f m from the plane of the pitch, roll %.2f°, yaw %.2f°", v.DistanceM, degrees(v.RollRad), degrees(v.YawRad))
	} else {
		note(b, "lens", "distance not known: no depth")
	}
	q := in.study.Result.Quality
	if q.Frame != "" {
		note(b, "frame", "%s", q.Frame)
	}
	if q.ExposureS > 0 {
		note(b, "exposure", "%.3f ms from streaks (1/%.0f s)", 1000*q.ExposureS, 1/q.ExposureS)
	} else {
		note(b, "exposure", "not known")
	}
	for _, n := range q.Notes {
		note(b, "note", "%s", n)
	}
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }
