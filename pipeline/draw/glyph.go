package draw

import (
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// fonts are parsed once; the data is compiled in, so that it cannot be bad.
var fonts = sync.OnceValue(func() (f [2]*opentype.Font) {
	for i, data := range [][]byte{gomedium.TTF, gobold.TTF} {
		parsed, err := opentype.Parse(data)
		if err != nil {
			panic("draw: built-in font: " + err.Error())
		}
		f[i] = parsed
	}
	return f
})

// faceKey names a font at one size, in quarters of a pixel.
type faceKey struct {
	quarters int
	bold     bool
}

// glyphKey names one letter, its place within the pixel in quarters, and the
// width of its halo.
type glyphKey struct {
	face  faceKey
	r     rune
	place int
	halo  int
}

// glyph is a letter's coverage, and where its top-left pixel lies from the
// pixel of the pen.
type glyph struct {
	pix  []uint8
	w, h int
	x, y int
}

// maxGlyphs and maxFaces bound the cache; a clip needs some dozens of letters
// in three sizes.
const (
	maxGlyphs = 4096
	maxFaces  = 32
)

// glyphCache keeps faces and letters between frames.
type glyphCache struct {
	faces  map[faceKey]font.Face
	glyphs map[glyphKey]glyph
}

func (g *glyphCache) face(k faceKey) font.Face {
	if f, ok := g.faces[k]; ok {
		return f
	}
	if g.faces == nil || len(g.faces) >= maxFaces {
		g.faces = map[faceKey]font.Face{}
		g.glyphs = map[glyphKey]glyph{}
	}
	which := 0
	if k.bold {
		which = 1
	}
	face, err := opentype.NewFace(fonts()[which], &opentype.FaceOptions{
		Size: float64(k.quarters) / 4, DPI: 72, Hinting: font.HintingNone,
	})
	if err != nil {
		panic("draw: built-in font: " + err.Error())
	}
	g.faces[k] = face
	return face
}

// letter returns the coverage of a letter, widened by halo pixels.
func (g *glyphCache) letter(k glyphKey) glyph {
	face := g.face(k.face)
	if got, ok := g.glyphs[k]; ok {
		return got
	}
	if len(g.glyphs) >= maxGlyphs {
		g.glyphs = map[glyphKey]glyph{}
	}
	got := glyph{}
	dot := fixed.Point26_6{X: fixed.Int26_6(k.place * 16)}
	if box, src, from, _, ok := face.Glyph(dot, k.r); ok && !box.Empty() {
		w, h := box.Dx(), box.Dy()
		got = glyph{pix: make([]uint8, w*h), w: w, h: h, x: box.Min.X, y: box.Min.Y}
		for y := range h {
			for x := range w {
				_, _, _, a := src.At(from.X+x, from.Y+y).RGBA()
				got.pix[y*w+x] = uint8(a >> 8)
			}
		}
		if k.halo > 0 {
			got = got.widened(k.halo)
		}
	}
	g.glyphs[k] = got
	return got
}

// widened returns the letter with every covered pixel spread over a disc of
// the given radius, px.
func (g glyph) widened(radius int) glyph {
	out := glyph{w: g.w + 2*radius, h: g.h + 2*radius, x: g.x - radius, y: g.y - radius}
	out.pix = make([]uint8, out.w*out.h)
	for dy := -radius; dy <= radius; dy++ {
		for dx := -radius; dx <= radius; dx++ {
			// The border of the disc is one pixel soft.
			k := min(float64(radius)+0.5-math.Hypot(float64(dx), float64(dy)), 1)
			if k <= 0 {
				continue
			}
			weight := int(k * 256)
			for y := range g.h {
				src := g.pix[y*g.w:][:g.w]
				dst := out.pix[(y+radius+dy)*out.w+radius+dx:][:g.w]
				for x, v := range src {
					dst[x] = max(dst[x], uint8(int(v)*weight>>8))
				}
			}
		}
	}
	return out
}
