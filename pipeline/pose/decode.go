package pose

import "math"

// The joints of the network, in its order.
const (
	Nose = iota
	LeftEye
	RightEye
	LeftEar
	RightEar
	LeftShoulder
	RightShoulder
	LeftElbow
	RightElbow
	LeftWrist
	RightWrist
	LeftHip
	RightHip
	LeftKnee
	RightKnee
	LeftAnkle
	RightAnkle
	Joints // how many
)

// Joint is a joint's place, px of the square picture with pixel centres at whole
// numbers, and how sure the network is of it, 0 to 1.
type Joint struct {
	X, Y  float64
	Score float64
}

// Person is what the network sees.
type Person [Joints]Joint

// Maps are what the trunk gives, channels first, cells × cells each.
type Maps struct {
	Cells  int
	Heat   []float32 // Joints maps: a joint is here
	Centre []float32 // one map: a person's middle is here
	// From a person's middle to each joint, and from a joint's cell to the joint,
	// cells: first down, then right, joint by joint.
	Regress []float32
	Offset  []float32
}

// nearness is what keeps a weight by distance finite, cells.
const nearness = 1.8

// Decode finds the person nearest to the middle of the picture: the most likely
// middle of a person, weighed by its distance from the picture's; from there to about
// where each joint is; and the likeliest cell about there.
func (m Maps) Decode() Person {
	n := m.Cells
	// peak is the cell of the largest weight, by one over the distance from (y, x).
	peak := func(heat []float32, y, x float64) (int, int) {
		best, by, bx := -1.0, 0, 0
		for i := range n {
			for j := range n {
				if w := float64(heat[i*n+j]) / (math.Hypot(float64(i)-y, float64(j)-x) + nearness); w > best {
					best, by, bx = w, i, j
				}
			}
		}
		return by, bx
	}
	mid := float64(n) / 2
	cy, cx := peak(m.Centre, mid, mid)
	var out Person
	for k := range out {
		down, right := m.Regress[(2*k*n+cy)*n+cx], m.Regress[((2*k+1)*n+cy)*n+cx]
		heat := m.Heat[k*n*n : (k+1)*n*n]
		y, x := peak(heat, float64(cy)+float64(down), float64(cx)+float64(right))
		dy, dx := m.Offset[(2*k*n+y)*n+x], m.Offset[((2*k+1)*n+y)*n+x]
		out[k] = Joint{
			X: Step*(float64(x)+float64(dx)) - 0.5, Y: Step*(float64(y)+float64(dy)) - 0.5,
			Score: float64(heat[y*n+x]),
		}
	}
	return out
}
