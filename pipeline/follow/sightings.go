package follow

import (
	"context"
	"fmt"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/ball"
	"ashline/pipeline/footage"
	"ashline/pipeline/lines"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"
	"ashline/pipeline/steady"
	"ashline/pipeline/track"
)

// Sightings is what two passes over a clip's pixels leave.
type Sightings struct {
	footage.Footage
	Names []string    // of the marks
	Alike [][2]string // marks of nearly one hue
	Marks *mark.Finder
	// Edges are the straight ones of the still background, px of the steadied picture.
	Edges [][2]geom.Point
	// Patches are, by mark and frame, what may be the mark, px of the steadied picture.
	Patches [][][]mark.Candidate
	Site    mark.Site // of the first chroma sample, in the upright picture
	Blobs   [][]track.Blob
	Lost    int // frames whose background could not be followed
}

// Watch decodes the clip twice: once for what all frames have in common, and once for
// what each shows of the marks and the balls.
func Watch(ctx context.Context, path string, c metrics.Card, report progress.Report) (Sightings, error) {
	s, models, scene, err := survey(ctx, path, c, report)
	if err != nil {
		return Sightings{}, err
	}
	if s.Edges, err = edges(scene, s.Info.Height); err != nil {
		return Sightings{}, err
	}
	s.Marks = mark.NewFinder(models, scene, s.Site)
	s.Patches = make([][][]mark.Candidate, len(s.Names))
	finder := ball.NewFinder(s.Info.Width, s.Info.Height, s.FPS)
	defer finder.Close()
	err = s.again(ctx, func(n int, f *media.Frame) error {
		s.addPatches(n, f)
		at, blobs, err := finder.Add(f.Y)
		if err != nil {
			return err
		}
		s.Blobs = append(s.Blobs, nil)
		if at >= 0 {
			s.Blobs[at] = blobs
		}
		report.At("watch", n+1, len(s.TimesS))
		return nil
	})
	return s, err
}

// edges lists the background's straight edges that are long enough to tell a direction.
func edges(scene *mark.Scene, heightPx int) ([][2]geom.Point, error) {
	luma, w, h := scene.Luma()
	found, err := lines.Find(luma, w, h)
	var out [][2]geom.Point
	for _, s := range found {
		for i, p := range s {
			s[i] = geom.Point{2*p[0] + 0.5, 2*p[1] + 0.5}
		}
		if math.Hypot(s[1][0]-s[0][0], s[1][1]-s[0][1]) >= math.Max(edgeLeastPx, edgeLeast*float64(heightPx)) {
			out = append(out, s)
		}
	}
	return out, err
}

// survey is the first pass: times, the camera's motion, where chroma lies, and what the
// clip shows beside the marks of a card.
func survey(ctx context.Context, path string, c metrics.Card, report progress.Report) (Sightings, []mark.Model, *mark.Scene, error) {
	info, err := media.Probe(ctx, path, media.Limits{})
	if err != nil {
		return Sightings{}, nil, nil, err
	}
	models, names, err := models(ctx, path, info, c, report)
	if err != nil {
		return Sightings{}, nil, nil, err
	}
	slow := stretch(info, c)
	s := Sightings{Names: names, Alike: mark.Alike(models)}
	s.Path, s.Info, s.FPS = path, info, info.FileFPS*slow
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return Sightings{}, nil, nil, err
	}
	defer dec.Close()
	follower := steady.NewFollower(info.Width, info.Height)
	defer follower.Close()
	common := mark.NewSurvey(mark.Coding{Matrix: info.Matrix, FullRange: info.FullRange})
	var site mark.Siting
	for f, err := range dec.Frames() {
		if err != nil {
			return Sightings{}, nil, nil, err
		}
		n := len(s.FileS)
		s.FileS = append(s.FileS, f.TimeS)
		s.TimesS = append(s.TimesS, (f.TimeS-s.FileS[0])/slow)
		y, u, v := planes(f)
		if n < siteFrames && n%siteEvery == 0 && !site.Settled() {
			site.Add(y, u, v)
		}
		move, err := follower.Add(f.Y)
		if err != nil {
			return Sightings{}, nil, nil, err
		}
		s.Moves = append(s.Moves, move)
		common.Add(y, u, v, move)
		report.At("survey", n+1, info.FramesHint)
	}
	s.Lost = follower.Lost()
	s.Site = site.Site(taggedSite(info))
	return s, models, common.Scene(), s.check()
}

// again is the second pass: do is called with each frame and its number.
func (s Sightings) again(ctx context.Context, do func(n int, f *media.Frame) error) error {
	dec, err := media.Open(ctx, s.Path, s.Info, media.Options{})
	if err != nil {
		return err
	}
	defer dec.Close()
	n := 0
	for f, err := range dec.Frames() {
		if err != nil {
			return err
		}
		if n == len(s.TimesS) {
			return fmt.Errorf("%w: read a second time it has more frames", media.ErrBroken)
		}
		if err := do(n, f); err != nil {
			return err
		}
		n++
	}
	if n < len(s.TimesS) {
		return fmt.Errorf("%w: read a second time it has fewer frames", media.ErrBroken)
	}
	return nil
}

// addPatches adds what frame n shows of the marks.
func (s Sightings) addPatches(n int, f *media.Frame) {
	y, u, v := planes(f)
	for i, patches := range s.Marks.Add(y, u, v, s.Moves[n]) {
		for k := range patches {
			patches[k].X, patches[k].Y = s.Moves[n].Apply(patches[k].X, patches[k].Y)
		}
		s.Patches[i] = append(s.Patches[i], patches)
	}
}

// check refuses a clip that cannot hold a swing in time.
func (s Sightings) check() error {
	if len(s.FileS) < leastFrames {
		return fmt.Errorf("%w: %d frames are too few for a swing", media.ErrBroken, len(s.FileS))
	}
	for i := 1; i < len(s.TimesS); i++ {
		if !(s.TimesS[i] > s.TimesS[i-1]) {
			return fmt.Errorf("%w: presentation times do not rise at frame %d", media.ErrBroken, i)
		}
	}
	return nil
}

// stretch is how many seconds of the file one second of capture lasts.
func stretch(info media.Info, c metrics.Card) float64 {
	capture := c.Camera.CaptureFPS
	if capture == 0 {
		capture = info.CaptureFPS
	}
	if capture == 0 || info.FileFPS == 0 {
		return 1
	}
	if k := capture / info.FileFPS; math.Abs(k-1) > sameRate {
		return k
	}
	return 1
}

// Notes says what of the pass over the clip bears on trust in its results.
func (s Sightings) Notes() []string {
	var out []string
	if s.Lost > 0 {
		out = append(out, fmt.Sprintf("the background could not be followed in %d frames; the camera is taken as still there", s.Lost))
	}
	if s.Info.Endless {
		out = append(out, "the file does not say where it ends: whether the clip was cut off cannot be told")
	}
	for _, n := range s.Alike {
		a, b := strings.ReplaceAll(n[0], "_", " "), strings.ReplaceAll(n[1], "_", " ")
		out = append(out, fmt.Sprintf("the marks of %s and %s have nearly one hue and may be taken for each other: give each mark a colour of its own", a, b))
	}
	return out
}
