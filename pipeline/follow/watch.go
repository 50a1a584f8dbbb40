package follow

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"ashline/metrics"
	"ashline/pipeline/ball"
	"ashline/pipeline/card"
	"ashline/pipeline/fault"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/progress"
	"ashline/pipeline/steady"
	"ashline/pipeline/track"
)

// Sightings is what one pass over the clip's pixels leaves.
type Sightings struct {
	Info   media.Info
	FileS  []float64   // presentation times as in the file
	TimesS []float64   // capture times from the first frame
	slow   float64     // seconds of the file that one second of capture lasts
	FPS    float64     // capture rate
	Names  []string    // of the marks, as in the scan
	Alike  [][2]string // marks of nearly one hue
	Scan   *mark.Scan
	Blobs  [][]track.Blob
	Moves  []steady.Transform
	Site   mark.Site // of the first chroma sample, in the upright picture
	Lost   int       // frames whose background could not be followed
}

// open begins a pass over a clip's frames for the marks of a card; the decoder must
// be closed.
func open(ctx context.Context, path string, c metrics.Card, report progress.Report) (*Sightings, []mark.Model, *media.Decoder, error) {
	info, err := media.Probe(ctx, path, media.Limits{})
	if err != nil {
		return nil, nil, nil, err
	}
	s := &Sightings{Info: info}
	models, names, err := models(ctx, path, info, c, report)
	if err != nil {
		return nil, nil, nil, err
	}
	dec, err := media.Open(ctx, path, info, media.Options{})
	if err != nil {
		return nil, nil, nil, err
	}
	s.Names, s.Alike, s.slow = names, mark.Alike(models), s.stretch(c)
	s.FPS = info.FileFPS * s.slow
	return s, models, dec, nil
}

// look scans a frame of the clip at path for the models' hues.
func (s *Sightings) look(ctx context.Context, path string, f *media.Frame, models []mark.Model) error {
	if s.Scan == nil {
		var err error
		if s.Site, err = chromaSite(ctx, path, f, s.Info); err != nil {
			return err
		}
		s.Scan = mark.NewScan(models, mark.Coding{Matrix: s.Info.Matrix, FullRange: s.Info.FullRange}, s.Site)
	}
	s.FileS = append(s.FileS, f.TimeS)
	s.TimesS = append(s.TimesS, (f.TimeS-s.FileS[0])/s.slow)
	s.Scan.Add(planes(f))
	return nil
}

// Watch decodes the clip once.
func Watch(ctx context.Context, path string, c metrics.Card, report progress.Report) (*Sightings, error) {
	s, models, dec, err := open(ctx, path, c, report)
	if err != nil {
		return nil, err
	}
	defer dec.Close()
	info := s.Info

	finder := ball.NewFinder(info.Width, info.Height, s.FPS)
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
		s.Blobs = append(s.Blobs, nil)
		if at >= 0 {
			s.Blobs[at] = blobs
		}
		move, err := follower.Add(f.Y)
		if err != nil {
			return nil, err
		}
		s.Moves = append(s.Moves, move)
		report.At("watch", len(s.FileS), info.FramesHint)
	}
	s.Lost = follower.Lost()
	if len(s.FileS) < 8 {
		return nil, fmt.Errorf("%w: %d frames are too few for a swing", media.ErrBroken, len(s.FileS))
	}
	for i := 1; i < len(s.TimesS); i++ {
		if !(s.TimesS[i] > s.TimesS[i-1]) {
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
func (s *Sightings) stretch(c metrics.Card) float64 {
	capture := c.Camera.CaptureFPS
	if capture == 0 {
		capture = s.Info.CaptureFPS
	}
	if capture == 0 || s.Info.FileFPS == 0 {
		return 1
	}
	// Rates within two per cent are the same rate with jitter.
	if k := capture / s.Info.FileFPS; math.Abs(k-1) > 0.02 {
		return k
	}
	return 1
}

// models makes the colour models of the card's marks; a clicked pixel is read
// from the clip.
func models(ctx context.Context, path string, info media.Info, c metrics.Card, report progress.Report) ([]mark.Model, []string, error) {
	named := card.NamedMarks(c.Marks)
	if len(named) == 0 || named[0].Name != "barrel" {
		return nil, nil, fmt.Errorf("%w: card field marks.barrel.colour is not set", fault.ErrNoColour)
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
			return nil, nil, fmt.Errorf("%w: marks.%s has no hue (grey, black or white)", fault.ErrHue, nm.Name)
		}
		out, names = append(out, m), append(names, nm.Name)
	}
	mark.Separate(out)
	return out, names, nil
}

// clicked reads the chroma around a clicked pixel.
func clicked(ctx context.Context, path string, info media.Info, nm card.NamedMark, report progress.Report) (cb, cr float64, err error) {
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
		report.At("click", f.Index+1, nm.Mark.Frame+1)
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

// Notes says what of the pass over the clip bears on trust in its results.
func (s *Sightings) Notes() []string {
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
