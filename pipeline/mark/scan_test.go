package mark

import (
	"testing"

	"ashline/pipeline/card"
)

// A thing of the band's hue that is there in every frame belongs to the scene, however
// many frames there are: more than 16 bits count.
func TestStillInVeryManyFrames(t *testing.T) {
	t.Parallel()
	const frames = 1<<16 + 100
	m := NewModel("barrel", card.RGB{R: 255, G: 0x2d, B: 0x95}, Coding{Matrix: "bt709"})
	s := NewScan([]Model{m}, Coding{Matrix: "bt709"}, Site{0.5, 0.5})
	p := still{cx: 47, cy: 47, w: 20, h: 20, shadow: 1, wall: 0.6}.planes()
	s.Add(p.y, p.u, p.v)
	for range frames - 1 {
		s.frames = append(s.frames, s.frames[0])
	}
	s.shift = make([][2]float64, frames)
	mask := s.stillMask(0)
	if !mask[23*s.width+23] {
		t.Errorf("what is there in all of %d frames does not count as still", frames)
	}
}

// The ninth mark is looked for as the first is.
func TestNineMarks(t *testing.T) {
	t.Parallel()
	var models []Model
	for range 8 {
		models = append(models, NewModel("other", card.RGB{R: 0, G: 0, B: 255}, Coding{Matrix: "bt709"}))
	}
	models = append(models, NewModel("ninth", card.RGB{R: 255, G: 0x2d, B: 0x95}, Coding{Matrix: "bt709"}))
	s := NewScan(models, Coding{Matrix: "bt709"}, Site{0.5, 0.5})
	p := still{cx: 47, cy: 47, w: 20, h: 20, shadow: 1, wall: 0.6}.planes()
	s.Add(p.y, p.u, p.v)
	if s.SeenFrames(8) != 1 {
		t.Error("the ninth mark is not seen")
	}
}
