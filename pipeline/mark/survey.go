package mark

import "ashline/pipeline/steady"

// Survey gathers what a clip's pictures have in common. All frames are shown to it; it
// keeps a few, evenly spread.
type Survey struct {
	coding Coding
	step   int // every how many frames one is kept
	frames int
	kept   []shot
}

// shot is a kept frame at the size of its chroma planes.
type shot struct {
	w, h    int
	y, u, v []uint8
	move    steady.Transform
}

const shotsKept = 24 // of a clip that has as many frames; at most twice as many

// NewSurvey starts a survey.
func NewSurvey(coding Coding) *Survey { return &Survey{coding: coding, step: 1} }

// Add shows the next frame. move takes its points, luma px, to those of the first.
func (s *Survey) Add(y, u, v Plane, move steady.Transform) {
	n := s.frames
	s.frames++
	if n%s.step != 0 {
		return
	}
	if len(s.kept) == 2*shotsKept {
		for i := range shotsKept { // swapped: the memory of those left out serves again
			s.kept[i], s.kept[2*i] = s.kept[2*i], s.kept[i]
		}
		s.kept, s.step = s.kept[:shotsKept], 2*s.step
		if n%s.step != 0 {
			return
		}
	}
	if len(s.kept) < cap(s.kept) {
		s.kept = s.kept[:len(s.kept)+1]
	} else {
		s.kept = append(s.kept, shot{})
	}
	k := &s.kept[len(s.kept)-1]
	k.w, k.h, k.move = u.Width, u.Height, move
	n = u.Width * u.Height
	if len(k.y) != n {
		k.y, k.u, k.v = make([]uint8, n), make([]uint8, n), make([]uint8, n)
	}
	for row := range u.Height {
		at := row * u.Width
		shrink(k.y[at:at+u.Width], y, row)
		copy(k.u[at:at+u.Width], u.Pix[row*u.Stride:])
		copy(k.v[at:at+u.Width], v.Pix[row*v.Stride:])
	}
}

// shrink fills a row at the size of chroma with the mean of two by two luma samples.
func shrink(to []uint8, y Plane, row int) {
	a := y.Pix[2*row*y.Stride:]
	b := a
	if 2*row+1 < y.Height {
		b = y.Pix[(2*row+1)*y.Stride:]
	}
	for x := range to {
		i, j := 2*x, min(2*x+1, y.Width-1)
		to[x] = uint8((int(a[i]) + int(a[j]) + int(b[i]) + int(b[j]) + 2) / 4)
	}
}
