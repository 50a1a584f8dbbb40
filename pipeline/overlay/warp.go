package overlay

import (
	"fmt"
	"image"
	"image/color"

	"ashline/pipeline/fault"
	"ashline/pipeline/media"

	"gocv.io/x/gocv"
)

// Warper shows frames on screens. It keeps its memory between frames and must be
// closed.
type Warper struct{ matrix, out gocv.Mat }

// NewWarper takes its memory.
func NewWarper() *Warper {
	return &Warper{matrix: gocv.NewMatWithSize(2, 3, gocv.MatTypeCV64F), out: gocv.NewMat()}
}

// Close gives the memory back.
func (p *Warper) Close() error {
	if err := p.matrix.Close(); err != nil {
		return err
	}
	return p.out.Close()
}

// Show fills to with what the screen shows of from; where the picture ends it is dark.
func (p *Warper) Show(to, from *media.Frame, s Screen) error {
	to.Index, to.TimeS = from.Index, from.TimeS
	if err := p.plane(to.Y, to.W, to.H, from.Y, from.W, from.H, s, 16); err != nil {
		return err
	}
	// Sample i of chroma lies midway between the pixels 2i and 2i + 1.
	half := Screen{s.kx, s.ky, (s.atX + 0.5*s.kx - 0.5) / 2, (s.atY + 0.5*s.ky - 0.5) / 2}
	for _, c := range [2][2][]byte{{to.U, from.U}, {to.V, from.V}} {
		if err := p.plane(c[0], to.ChromaW(), to.ChromaH(), c[1], from.ChromaW(), from.ChromaH(), half, 128); err != nil {
			return err
		}
	}
	return nil
}

func (p *Warper) plane(to []byte, w, h int, from []byte, fromW, fromH int, s Screen, outside uint8) error {
	src, err := gocv.NewMatFromBytes(fromH, fromW, gocv.MatTypeCV8U, from)
	if err != nil {
		return fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	defer src.Close()
	for i, v := range [6]float64{s.kx, 0, s.atX, 0, s.ky, s.atY} {
		p.matrix.SetDoubleAt(i/3, i%3, v)
	}
	gocv.WarpAffineWithParams(src, &p.out, p.matrix, image.Pt(w, h), gocv.InterpolationLinear, gocv.BorderConstant, color.RGBA{B: outside, G: outside, R: outside})
	pix, err := p.out.DataPtrUint8()
	if err != nil || copy(to, pix) != w*h {
		return fmt.Errorf("%w: a plane of %d × %d px could not be warped", fault.ErrBug, w, h)
	}
	return nil
}
