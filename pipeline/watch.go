package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"ashline/metrics"
	"ashline/pipeline/ball"
	"ashline/pipeline/card"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"
	"ashline/pipeline/track"
)

// sightings is what one pass over the clip's pixels leaves.
type sightings struct {
	info   media.Info
	fileS  []float64   // presentation times as in the file
	timesS []float64   // capture times from the first frame
	slow   float64     // seconds of the file that one second of capture lasts
	fps    float64     // capture rate
	names  []string    // of the marks, as in the scan
	alike  [][2]string // marks of nearly one hue
	scan   *mark.Scan
	blobs  [][]track.Blob
	moves  []steady.Transform
	site   mark.Site // of the first chroma sample, in the upright picture
	lost   int       // frames whose background could not be followed
}

// open begins a pass over a clip's frames for the marks of a card; the decoder must
// be closed.
func open(ctx context.Context, path string, c metrics.Card, report Report) (*sightings, []mark.Model, *media.Decoder, error) {
	info, err := media.Probe(ctx, path, media.Limits{})
	if err != nil {
		return nil, nil, nil, err
	}
	s := &sightings{info: info}
	models, names, err := models(ctx, path, info, c, report)
	if err != nil {
		return nil, nil, nil, err
	}
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return nil, nil, nil, err
	}
	s.names, s.alike, s.slow = names, mark.Alike(models), s.stretch(c)
	s.fps = info.FileFPS * s.slow
	return s, models, dec, nil
}

// look scans a frame of the clip at path for the models' hues.
func (s *sightings) look(ctx context.Context, path string, f *media.Frame, models []mark.Model) error {
	if s.scan == nil {
		var err error
		if s.site, err = chromaSite(ctx, path, f, s.info); err != nil {
			return err
		}
		s.scan = mark.NewScan(models, mark.Coding{Matrix: s.info.Matrix, FullRange: s.info.FullRange}, s.site)
	}
	s.fileS = append(s.fileS, f.TimeS)
	s.timesS = append(s.timesS, (f.TimeS-s.fileS[0])/s.slow)
	s.scan.Add(planes(f))
	return nil
}

// watch decodes the clip once.
func watch(ctx context.Context, path string, c metrics.Card, report Report) (*sightings, error) {
	s, models, dec, err := open(ctx, path, c, report)
	if err != nil {
		return nil, err
	}
	defer dec.Close()
	info := s.info

	finder := ball.NewFinder(info.Width, info.Height, s.fps)
	defer finder.Close()
	follower := steady.NewFollower(info.Width, info.Height)
	defer follower.Close()
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if err := s.look(ctx, path, &f, models); err != nil {
			return nil, err
		}
		at, blobs, err := finder.Add(f.Y)
		if err != nil {
			return nil, err
		}
		s.blobs = append(s.blobs, nil)
		if at >= 0 {
			s.blobs[at] = blobs
		}
		move, err := follower.Add(f.Y)
		if err != nil {
			return nil, err
		}
		s.moves = append(s.moves, move)
		report.at("watch", len(s.fileS), info.FramesHint)
	}
	s.lost = follower.Lost()
	if len(s.fileS) < 8 {
		return nil, fmt.Errorf("%w: %d frames are too few for a swing", media.ErrBroken, len(s.fileS))
	}
	for i := 1; i < len(s.timesS); i++ {
		if !(s.timesS[i] > s.timesS[i-1]) {
			return nil, fmt.Errorf("%w: presentation times do not rise at frame %d", media.ErrBroken, i)
		}
	}
	return s, nil
}

// How many frames are looked at for where chroma lies, and at which of them: edges
// move little from one to the next.
const (
	siteFrames = 48
	siteEvery  = 4
)

// chromaSite is where the first chroma sample of an upright frame lies, from the
// edges in the first frame, or in more where it has too few, and from the file's tag
// where those have too few as well. Most clips need no second look.
func chromaSite(ctx context.Context, path string, first *media.Frame, info media.Info) (mark.Site, error) {
	tagged := mark.Site{X: 0, Y: 0.5}
	if info.ChromaSite == "center" {
		tagged.X = 0.5
	}
	for range info.RotateDeg / 90 { // a quarter turn clockwise
		tagged.X, tagged.Y = 1-tagged.Y, tagged.X
	}
	if info.Mirrored {
		tagged.X = 1 - tagged.X
	}
	var site mark.Siting
	site.Add(planes(first))
	if site.Settled() {
		return site.Site(tagged), nil
	}
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return tagged, err
	}
	defer dec.Close()
	var f media.Frame
	for i := 0; i < siteFrames && !site.Settled(); i++ {
		if err := dec.Next(&f); err != nil {
			break // the pass that measures says what is wrong
		}
		if i > 0 && i%siteEvery == 0 {
			site.Add(planes(&f))
		}
	}
	return site.Site(tagged), nil
}

// planes are a frame's three planes.
func planes(f *media.Frame) (y, u, v mark.Plane) {
	cw, ch := f.ChromaW(), f.ChromaH()
	return mark.Plane{Pix: f.Y, Width: f.W, Height: f.H, Stride: f.W},
		mark.Plane{Pix: f.U, Width: cw, Height: ch, Stride: cw},
		mark.Plane{Pix: f.V, Width: cw, Height: ch, Stride: cw}
}

// stretch is how many seconds of the file one second of capture lasts.
func (s *sightings) stretch(c metrics.Card) float64 {
	capture := c.Camera.CaptureFPS
	if capture == 0 {
		capture = s.info.CaptureFPS
	}
	if capture == 0 || s.info.FileFPS == 0 {
		return 1
	}
	// Rates within two per cent are the same rate with jitter.
	if k := capture / s.info.FileFPS; math.Abs(k-1) > 0.02 {
		return k
	}
	return 1
}

// models makes the colour models of the card's marks; a clicked pixel is read
// from the clip.
func models(ctx context.Context, path string, info media.Info, c metrics.Card, report Report) ([]mark.Model, []string, error) {
	named := card.NamedMarks(c.Marks)
	if len(named) == 0 || named[0].Name != "barrel" {
		return nil, nil, fmt.Errorf("%w: card field marks.barrel.colour is not set", ErrNoColour)
	}
	coding := mark.Coding{Matrix: info.Matrix, FullRange: info.FullRange}
	var out []mark.Model
	var names []string
	for _, nm := range named {
		var m mark.Model
		if nm.Mark.Colour != "" {
			rgb, err := card.ParseColour(nm.Mark.Colour)
			if err != nil {
				return nil, nil, fmt.Errorf("%w: marks.%s.colour: %w", card.ErrBad, nm.Name, err)
			}
			m = mark.NewModel(nm.Name, rgb, coding)
		} else {
			cb, cr, err := clicked(ctx, path, info, nm, report)
			if err != nil {
				return nil, nil, err
			}
			m = mark.ModelOf(nm.Name, cb, cr)
		}
		m.Fine = nm.Name == "barrel" || nm.Name == "hands"
		if m.Saturation < mark.MinSaturation {
			return nil, nil, fmt.Errorf("%w: marks.%s has no hue (grey, black or white)", ErrHue, nm.Name)
		}
		out, names = append(out, m), append(names, nm.Name)
	}
	mark.Separate(out)
	return out, names, nil
}

// clicked reads the chroma around a clicked pixel.
func clicked(ctx context.Context, path string, info media.Info, nm card.NamedMark, report Report) (cb, cr float64, err error) {
	p := *nm.Mark.Pixel
	x, y := int(math.Round(p[0]/2)), int(math.Round(p[1]/2))
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return 0, 0, err
	}
	defer dec.Close()
	var f media.Frame
	for {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			return 0, 0, fmt.Errorf("%w: marks.%s.frame: the clip has no frame %d", card.ErrBad, nm.Name, nm.Mark.Frame)
		} else if err != nil {
			return 0, 0, err
		}
		if f.Index == nm.Mark.Frame {
			break
		}
		report.at("click", f.Index+1, nm.Mark.Frame+1)
	}
	if x < 1 || y < 1 || x >= f.ChromaW()-1 || y >= f.ChromaH()-1 {
		return 0, 0, fmt.Errorf("%w: marks.%s.pixel: [%g, %g] is outside the picture of %d × %d", card.ErrBad, nm.Name, p[0], p[1], f.W, f.H)
	}
	// The most saturated of the nine neighbours: a click lands near the edge of a
	// narrow band more often than in its middle.
	best := -1.0
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			i := (y+dy)*f.ChromaW() + x + dx
			u, v := float64(f.U[i])-128, float64(f.V[i])-128
			if s := math.Hypot(u, v); s > best {
				best, cb, cr = s, u, v
			}
		}
	}
	return cb, cr, nil
}
