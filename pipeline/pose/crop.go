package pose

import "math"

// Square is a part of a picture, px from its corner: the pixel (0, 0) covers 0 to 1.
type Square struct{ X, Y, Side float64 }

// grid is the largest number of samples each way that a pixel of the crop is the mean
// of; a picture twelve times as large loses nothing that matters by it.
const grid = 4

// Picture is something with colours. Its samples may be of any three parts that a sum
// may be taken of; RGB makes red, green and blue from 0 to 255 of them.
type Picture interface {
	Size() (width, height int)
	At(x, y int) (samples [3]float32)
	RGB(samples [3]float32) [3]float32
}

// Crop shrinks a square of a picture to what the network takes. Outside of the picture
// it is black.
func Crop(p Picture, s Square) []float32 {
	out := make([]float32, 3*Side*Side)
	w, h := p.Size()
	step := s.Side / Side
	n := min(grid, max(1, int(math.Ceil(step))))
	const plane = Side * Side
	for i := range Side {
		for j := range Side {
			var sum [3]float32
			inside := 0
			for a := range n {
				y := int(math.Floor(s.Y + (float64(i)+(float64(a)+0.5)/float64(n))*step))
				for b := range n {
					x := int(math.Floor(s.X + (float64(j)+(float64(b)+0.5)/float64(n))*step))
					if x < 0 || y < 0 || x >= w || y >= h {
						continue
					}
					for k, v := range p.At(x, y) {
						sum[k] += v
					}
					inside++
				}
			}
			if inside == 0 {
				continue
			}
			for k := range sum {
				sum[k] /= float32(inside)
			}
			for k, v := range p.RGB(sum) {
				out[k*plane+i*Side+j] = v * float32(inside) / float32(n*n)
			}
		}
	}
	return out
}

// On puts a person found in the crop of a square into the picture: px with pixel
// centres at whole numbers.
func (p Person) On(s Square) Person {
	k := s.Side / Side
	for i := range p {
		p[i].X = s.X + k*(p[i].X+0.5) - 0.5
		p[i].Y = s.Y + k*(p[i].Y+0.5) - 0.5
	}
	return p
}
