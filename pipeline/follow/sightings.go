package follow

import (
	"context"
	"fmt"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/ball"
	"ashline/pipeline/fault"
	"ashline/pipeline/footage"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"
	"ashline/pipeline/steady"
	"ashline/pipeline/track"
)

// Sightings is what one pass over a clip's pixels leaves.
type Sightings struct {
	footage.Footage
	Names []string    // of the marks, as in the scan
	Alike [][2]string // marks of nearly one hue
	Scan  *mark.Scan
	Site  mark.Site // of the first chroma sample, in the upright picture
	Blobs [][]track.Blob
	Lost  int // frames whose background could not be followed
}

// pass is a reading of a clip for the hues of its marks.
type pass struct {
	sees   Sightings
	slow   float64 // seconds of the file that one second of capture lasts
	models []mark.Model
	dec    *media.Decoder
}

// begin opens the clip at path for the marks of a card; the decoder must be closed.
func begin(ctx context.Context, path string, c metrics.Card, report progress.Report) (*pass, error) {
	info, err := media.Probe(ctx, path, media.Limits{})
	if err != nil {
		return nil, err
	}
	models, names, err := models(ctx, path, info, c, report)
	if err != nil {
		return nil, err
	}
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return nil, err
	}
	p := &pass{slow: stretch(info, c), models: models, dec: dec}
	p.sees.Path, p.sees.Info, p.sees.FPS = path, info, info.FileFPS*p.slow
	p.sees.Names, p.sees.Alike = names, mark.Alike(models)
	return p, nil
}

// look scans a frame for the hues.
func (p *pass) look(ctx context.Context, f *media.Frame) error {
	s := &p.sees
	if s.Scan == nil {
		var err error
		if s.Site, err = chromaSite(ctx, s.Path, f, s.Info); err != nil {
			return err
		}
		s.Scan = mark.NewScan(p.models, mark.Coding{Matrix: s.Info.Matrix, FullRange: s.Info.FullRange}, s.Site)
	}
	s.FileS = append(s.FileS, f.TimeS)
	s.TimesS = append(s.TimesS, (f.TimeS-s.FileS[0])/p.slow)
	s.Scan.Add(planes(f))
	return nil
}

// Watch decodes the clip once.
func Watch(ctx context.Context, path string, c metrics.Card, report progress.Report) (Sightings, error) {
	p, err := begin(ctx, path, c, report)
	if err != nil {
		return Sightings{}, err
	}
	defer p.dec.Close()
	s := &p.sees
	finder := ball.NewFinder(s.Info.Width, s.Info.Height, s.FPS)
	defer finder.Close()
	follower := steady.NewFollower(s.Info.Width, s.Info.Height)
	defer follower.Close()
	for f, err := range p.dec.Frames() {
		if err != nil {
			return Sightings{}, err
		}
		if err := p.look(ctx, f); err != nil {
			return Sightings{}, err
		}
		at, blobs, err := finder.Add(f.Y)
		if err != nil {
			return Sightings{}, err
		}
		s.Blobs = append(s.Blobs, nil)
		if at >= 0 {
			s.Blobs[at] = blobs
		}
		move, err := follower.Add(f.Y)
		if err != nil {
			return Sightings{}, err
		}
		s.Moves = append(s.Moves, move)
		report.At("watch", len(s.FileS), s.Info.FramesHint)
	}
	s.Lost = follower.Lost()
	return *s, s.check()
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

// Patches are the candidates of one mark, px of the steadied picture. tell may be nil.
func (s Sightings) Patches(model int, tell func(frames int)) ([][]mark.Candidate, error) {
	shifts := make([][2]float64, len(s.Moves))
	for i := range s.Moves {
		shifts[i][0], shifts[i][1] = s.MiddleMoved(i)
	}
	out, err := s.Scan.Candidates(model, s.Site, shifts, tell)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	for f := range out {
		for k := range out[f] {
			c := &out[f][k]
			c.X, c.Y = s.Moves[f].Apply(c.X, c.Y)
		}
	}
	return out, nil
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
