package bench

import "math"

// Glide is a disc's centre from the start to the end of one exposure, px; it
// moves evenly on a straight line.
type Glide struct{ FromX, FromY, ToX, ToY float64 }

// tiouSteps divides the exposure; see TIoU.
const tiouSteps = 200

// TIoU is the trajectory intersection over union of one frame, 0 to 1: the
// overlap of the true and the estimated disc at the same instant, averaged over
// the exposure. It punishes a wrong streak even where the middle is right.
//
// Kotera, Rozumnyi, Šroubek & Matas, "Intra-frame object tracking by deblatting",
// ICCV workshops 2019. The midpoint rule is used because the overlap has a corner
// where the discs part; with 200 steps it is within 1e-4 of the integral.
func TIoU(want, got Glide, radiusPx float64) float64 {
	sum := 0.0
	for i := range tiouSteps {
		s := (float64(i) + 0.5) / tiouSteps
		dx := (1-s)*(want.FromX-got.FromX) + s*(want.ToX-got.ToX)
		dy := (1-s)*(want.FromY-got.FromY) + s*(want.ToY-got.ToY)
		sum += discIoU(math.Hypot(dx, dy), radiusPx)
	}
	return sum / tiouSteps
}

// discIoU is the intersection over union of two discs of radius r whose centres
// are d apart: the lens 2r²·acos(d/2r) − (d/2)·√(4r² − d²) over what both cover.
func discIoU(d, r float64) float64 {
	if !(r > 0) || !(d < 2*r) {
		return 0
	}
	lens := max(0, 2*r*r*math.Acos(d/(2*r))-d/2*math.Sqrt(4*r*r-d*d))
	return lens / (2*math.Pi*r*r - lens)
}
