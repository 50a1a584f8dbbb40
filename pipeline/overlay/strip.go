package overlay

import (
	"path/filepath"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"
)

// keyStrip is a picture of all key positions side by side, in the order of time.
type keyStrip struct {
	drawing *Drawing
	canvas  *draw.Canvas
	warp    *Warper
	space   media.ColourSpace
	cells   map[string]*media.Frame
}

// newKeyStrip lays out the strip of one swing.
func newKeyStrip(clip footage.Footage, study metrics.Study, i int, warp *Warper) *keyStrip {
	p := &keyStrip{canvas: draw.New(clip.Info.Space()), warp: warp, space: clip.Info.Space(), cells: map[string]*media.Frame{}}
	p.canvas.On(media.NewFrame(stripWide, stripHigh))
	scr := Region(study, i, clip.Info, stripWide, stripHigh, false, 0)
	p.drawing = NewDrawing(p.canvas, clip, study, i, scr)
	p.drawing.bare = true
	return p
}

// add puts the undrawn frame of a key position in its place.
func (p *keyStrip) add(name string, f *media.Frame, timeS float64, move steady.Transform) error {
	cell := media.NewFrame(stripWide, stripHigh)
	if err := p.warp.Show(cell, f, p.drawing.screen); err != nil {
		return err
	}
	p.drawing.Draw(p.canvas.On(cell), timeS, move)
	for _, k := range p.drawing.keys {
		if k.name == name {
			caption(p.canvas, k, k.timeS-p.drawing.cur.ContactS)
		}
	}
	p.cells[name] = cell
	return nil
}

// write puts each picture, and all side by side, into files of a folder.
func (p *keyStrip) write(dir, suffix string) error {
	for name, c := range p.cells {
		if err := c.WritePNG(filepath.Join(dir, closeName(name)+suffix+".png"), p.space); err != nil {
			return err
		}
	}
	var cells []*media.Frame
	for _, k := range p.drawing.inOrder() {
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

// caption writes a key position's name and time from contact in the lower left corner.
func caption(c *draw.Canvas, k keyMark, fromContactS float64) {
	_, h := c.Size()
	s := labelStyle(c)
	s.Anchor = draw.BottomLeft
	edge := panelMargin * s.SizePx
	c.Text(k.name+"  "+clock(fromContactS), draw.Point{X: edge, Y: float64(h-1) - edge}, s)
}
