package pipeline

import (
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/follow"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"
)

// Size of one picture of the strip, px.
const (
	stripWide = 480
	stripHigh = 540
	stripGap  = 8
	// closeName follows the key position's name in the name of its own picture.
	closeName = "-close"
)

// keyStrip is a picture of all key positions side by side, in the order of time.
type keyStrip struct {
	trace  *trace
	canvas *draw.Canvas
	warp   *warper
	space  media.ColourSpace
	cells  map[string]*media.Frame
}

// newKeyStrip lays out the strip of one swing.
func newKeyStrip(s follow.Sightings, study metrics.Study, i int, warp *warper) *keyStrip {
	p := &keyStrip{canvas: draw.New(s.Info.Space()), warp: warp, space: s.Info.Space(), cells: map[string]*media.Frame{}}
	p.canvas.On(media.NewFrame(stripWide, stripHigh))
	scr := regionScreen(study.Swings[i], study.Result.Quality.ScaleSource != "none", s.Info.Width, s.Info.Height, stripWide, stripHigh, false, 0)
	p.trace = newTrace(p.canvas, s, study, i, scr)
	p.trace.bare = true
	return p
}

// add puts the undrawn frame of a key position in its place.
func (p *keyStrip) add(name string, f *media.Frame, timeS float64, move steady.Transform) error {
	cell := media.NewFrame(stripWide, stripHigh)
	if err := p.warp.warp(cell, f, p.trace.screen); err != nil {
		return err
	}
	p.trace.draw(p.canvas.On(cell), timeS, move)
	for _, k := range p.trace.keys {
		if k.name == name {
			p.trace.caption(p.canvas, k)
		}
	}
	p.cells[name] = cell
	return nil
}

// write puts each picture, and all side by side, into files of a folder.
func (p *keyStrip) write(dir, suffix string) error {
	for name, c := range p.cells {
		if err := c.WritePNG(filepath.Join(dir, name+closeName+suffix+".png"), p.space); err != nil {
			return err
		}
	}
	var cells []*media.Frame
	for _, k := range p.trace.inOrder() {
		if c := p.cells[k.name]; c != nil {
			cells = append(cells, c)
		}
	}
	if len(cells) == 0 {
		return nil
	}
	out := media.NewFrame(len(cells)*(stripWide+stripGap)-stripGap, stripHigh)
	y, u, v := p.space.YUV(255, 255, 255)
	out.Fill(y, u, v)
	for i, c := range cells {
		out.Put(c, i*(stripWide+stripGap), 0)
	}
	return out.WritePNG(filepath.Join(dir, "strip"+suffix+".png"), p.space)
}
