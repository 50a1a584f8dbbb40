package media

import (
	"fmt"
	"image"
	"image/png"

	"ashline/pipeline/outfile"

	"ashline/pipeline/ycbcr"
)

// RGBA returns the frame as a picture. Chroma is interpolated between its
// samples, which sit on even columns and between two rows (the left siting that
// H.264 and HEVC assume when a file says nothing).
func (f *Frame) RGBA(space ColourSpace) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, f.W, f.H))
	if !f.whole() {
		return img
	}
	conv := newConverter(space)
	cw, ch := f.ChromaW(), f.ChromaH()
	for y := range f.H {
		// The nearer chroma row weighs three quarters.
		near := y / 2
		far := min(max(near-1+2*(y%2), 0), ch-1)
		nu, fu := f.U[near*cw:][:cw], f.U[far*cw:][:cw]
		nv, fv := f.V[near*cw:][:cw], f.V[far*cw:][:cw]
		row := f.Y[y*f.W:][:f.W]
		out := img.Pix[y*img.Stride:]
		for x, luma := range row {
			i := x / 2
			u, v := 3*int(nu[i])+int(fu[i]), 3*int(nv[i])+int(fv[i])
			if j := min(i+1, cw-1); x%2 == 1 {
				u += 3*int(nu[j]) + int(fu[j])
				v += 3*int(nv[j]) + int(fv[j])
			} else {
				u, v = 2*u, 2*v
			}
			conv.put(out[4*x:4*x+4:4*x+4], int(luma), u, v)
		}
	}
	return img
}

// converter is ColourSpace.RGB in fixed point, 16 binary places, with chroma
// in eighths.
type converter struct {
	y0             int
	yScale         int
	rv, gu, gv, bu int
}

func newConverter(c ColourSpace) converter {
	const one = 1 << 16
	kr, kb := ycbcr.Weights(c.Matrix)
	y0, ySpan, cSpan := ycbcr.Scales(c.FullRange)
	kg := 1 - kr - kb
	chroma := one * 255 / cSpan / 8
	return converter{
		y0:     int(y0),
		yScale: int(one * 255 / ySpan),
		rv:     int(chroma * 2 * (1 - kr)),
		bu:     int(chroma * 2 * (1 - kb)),
		gv:     int(chroma * 2 * (1 - kr) * kr / kg),
		gu:     int(chroma * 2 * (1 - kb) * kb / kg),
	}
}

func (c *converter) put(out []byte, luma, u, v int) {
	l := (luma-c.y0)*c.yScale + 1<<15
	u -= 8 * 128
	v -= 8 * 128
	out[0] = clip8((l + c.rv*v) >> 16)
	out[1] = clip8((l - c.gu*u - c.gv*v) >> 16)
	out[2] = clip8((l + c.bu*u) >> 16)
	out[3] = 255
}

func clip8(v int) uint8 { return uint8(min(max(v, 0), 255)) }

// WritePNG writes the frame to path as a PNG.
func (f *Frame) WritePNG(path string, space ColourSpace) (err error) {
	out, err := outfile.Create(path)
	if err != nil {
		return fmt.Errorf("media: write picture: %w", err)
	}
	defer func() {
		if cerr := out.Close(); err == nil && cerr != nil {
			err = fmt.Errorf("media: write picture: %w", cerr)
		}
	}()
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(out, f.RGBA(space)); err != nil {
		return fmt.Errorf("media: write picture: %w", err)
	}
	return nil
}
