package draw

import (
	"math"

	"golang.org/x/image/math/fixed"
)

// Anchor says which point of a text's box lies at the given place.
type Anchor int

// The nine anchors, row by row.
const (
	TopLeft Anchor = iota
	Top
	TopRight
	Left
	Centre
	Right
	BottomLeft
	Bottom
	BottomRight
)

// TextStyle says how a text looks.
type TextStyle struct {
	// SizePx is the size of the font's square; capitals are 0.72 of it high.
	// Defaults to TextPx of the frame.
	SizePx float64
	// Colour of the letters. Defaults to the palette's paper.
	Colour Colour
	// Bold letters.
	Bold bool
	// HaloPx is the width of a border round the letters. Defaults to none.
	HaloPx float64
	// Halo is the colour of the border. Defaults to the palette's.
	Halo Colour
	// Plate is the colour of a rounded surface behind the text. Defaults to
	// none.
	Plate Colour
	// Anchor of the box. Defaults to TopLeft.
	Anchor Anchor
	// Inside moves the text, plate included, back into the frame.
	Inside bool
}

// TextPx returns a size of text that can be read on a phone, where the picture
// is some 60 mm high: 1/28 of the height gives letters of 1.5 mm. A tall
// picture is limited by its width instead.
func TextPx(w, h int) float64 {
	return max(min(float64(h)/28, float64(w)/16), 8)
}

// maxTextPx bounds the size of letters and with it of the cache.
const maxTextPx = 400

// Measure returns the box that the text would fill with its anchor at (0, 0),
// plate included.
func (c *Canvas) Measure(text string, s TextStyle) Box {
	s = c.styled(s)
	s.Inside = false
	return c.place(text, Point{}, s).outer
}

// Text draws one line of text and returns the box it fills, plate included.
func (c *Canvas) Text(text string, at Point, s TextStyle) Box {
	if !finite(at) || text == "" {
		return Box{}
	}
	s = c.styled(s)
	p := c.place(text, Point{bounded(at.X), bounded(at.Y)}, s)
	if s.Plate.Opacity > 0 {
		c.Panel(p.outer, 0.3*s.SizePx, s.Plate)
	}
	if s.HaloPx > 0 {
		c.letters(text, p.pen, s, int(math.Ceil(s.HaloPx)))
		c.paint(s.Halo)
	}
	c.letters(text, p.pen, s, 0)
	c.paint(s.Colour)
	return p.outer
}

func (c *Canvas) styled(s TextStyle) TextStyle {
	if !(s.SizePx > 0) {
		s.SizePx = TextPx(c.frame.W, c.frame.H)
	}
	s.SizePx = min(s.SizePx, maxTextPx)
	s.HaloPx = min(s.HaloPx, 8)
	if s.Colour == (Colour{}) {
		s.Colour = Paper
	}
	if s.Halo == (Colour{}) {
		s.Halo = Halo
	}
	return s
}

func (s TextStyle) face() faceKey {
	return faceKey{quarters: max(int(math.Round(s.SizePx*4)), 4), bold: s.Bold}
}

// placed is where a text comes to lie: the pen's start on the baseline and the
// box with its margins.
type placed struct {
	pen   Point
	outer Box
}

// Heights of the Go fonts by their own tables, parts of the size: capitals, and
// what hangs below the line in letters such as g.
const (
	capHeight = 0.723
	descent   = 0.212
)

func (c *Canvas) place(text string, at Point, s TextStyle) placed {
	w := c.advance(text, s)
	padX, padY := s.HaloPx, s.HaloPx
	if s.Plate.Opacity > 0 {
		padX, padY = 0.35*s.SizePx, 0.22*s.SizePx
	}
	ascent, below := capHeight*s.SizePx, descent*s.SizePx
	if s.Plate.Opacity > 0 {
		// On a plate capitals and digits should sit in the middle.
		below = 0.12 * s.SizePx
		ascent += 0.04 * s.SizePx
	}
	fullW, fullH := w+2*padX, ascent+below+2*padY
	x := at.X - fullW*float64(s.Anchor%3)/2
	y := at.Y - fullH*float64(s.Anchor/3)/2
	if s.Inside {
		edge := 0.25 * s.SizePx
		x = max(min(x, float64(c.frame.W)-1-edge-fullW), edge)
		y = max(min(y, float64(c.frame.H)-1-edge-fullH), edge)
	}
	return placed{
		pen:   Point{x + padX, y + padY + ascent},
		outer: Box{x, y, x + fullW, y + fullH},
	}
}

// advance is the width of the text, px.
func (c *Canvas) advance(text string, s TextStyle) float64 {
	face := c.glyphs.face(s.face())
	var x fixed.Int26_6
	last := rune(-1)
	for _, r := range text {
		if last >= 0 {
			x += face.Kern(last, r)
		}
		if a, ok := face.GlyphAdvance(r); ok {
			x += a
		}
		last = r
	}
	return float64(x) / 64
}

// letters puts the text into the mask, the pen starting on the baseline at p.
func (c *Canvas) letters(text string, p Point, s TextStyle, halo int) {
	key := s.face()
	face := c.glyphs.face(key)
	// Letters sit at quarters of a pixel across and at whole ones down. The
	// half turns places of centres into places of corners.
	x := fixed.Int26_6(math.Round((p.X + 0.5) * 64))
	baseline := int(math.Round(p.Y + 0.5))
	last := rune(-1)
	for _, r := range text {
		if last >= 0 {
			x += face.Kern(last, r)
		}
		at := (x + 8) &^ 15
		g := c.glyphs.letter(glyphKey{face: key, r: r, place: int(at&63) / 16, halo: halo})
		if g.w > 0 {
			c.mask.stamp(g.pix, g.w, g.h, at.Floor()+g.x, baseline+g.y)
		}
		if a, ok := face.GlyphAdvance(r); ok {
			x += a
		}
		last = r
	}
}
