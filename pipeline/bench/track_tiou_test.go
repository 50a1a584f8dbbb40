package bench

import (
	"math"
	"testing"
)

// gridIoU counts the cells of a fine grid in the discs, an instant at a time:
// it shares neither the lens formula nor the rule of integration with TIoU.
func gridIoU(want, got Glide, r float64) float64 {
	const instants, cells = 41, 150
	sum := 0.0
	for k := range instants {
		s := float64(k) / (instants - 1)
		ax, ay := want.FromX+s*(want.ToX-want.FromX), want.FromY+s*(want.ToY-want.FromY)
		bx, by := got.FromX+s*(got.ToX-got.FromX), got.FromY+s*(got.ToY-got.FromY)
		lo, hi := math.Min(ax, bx)-r, math.Max(ax, bx)+r
		lo2, hi2 := math.Min(ay, by)-r, math.Max(ay, by)+r
		both, either := 0, 0
		for i := range cells {
			for j := range cells {
				x, y := lo+(hi-lo)*(float64(i)+0.5)/cells, lo2+(hi2-lo2)*(float64(j)+0.5)/cells
				a, b := math.Hypot(x-ax, y-ay) <= r, math.Hypot(x-bx, y-by) <= r
				if a && b {
					both++
				}
				if a || b {
					either++
				}
			}
		}
		weight := 1.0
		if k == 0 || k == instants-1 {
			weight = 0.5 // trapezium rule
		}
		sum += weight * float64(both) / float64(either)
	}
	return sum / (instants - 1)
}

func TestTIoU(t *testing.T) {
	t.Parallel()
	const r = 9.0
	// Two discs half a diameter apart: the lens is r²(2π/3 − √3/2).
	lens := r * r * (2*math.Pi/3 - math.Sqrt(3)/2)
	half := lens / (2*math.Pi*r*r - lens)
	// Where the discs touch, the lens is the difference of two nearly equal terms,
	// each with the square root of the rounding error.
	const touching = 1e-7
	tests := []struct {
		name      string
		want, got Glide
		iou       float64
		tolerance float64
	}{
		{"the same", Glide{0, 0, 30, 10}, Glide{0, 0, 30, 10}, 1, 1e-12},
		{"parallel, a radius apart", Glide{0, 0, 40, 0}, Glide{0, r, 40, r}, half, 1e-12},
		{"parallel along the streak", Glide{0, 0, 40, 0}, Glide{r, 0, 40 + r, 0}, half, 1e-12},
		{"touching", Glide{0, 0, 40, 0}, Glide{0, 2 * r, 40, 2 * r}, 0, touching},
		{"far off", Glide{0, 0, 40, 0}, Glide{500, 500, 540, 500}, 0, 0},
		{"nothing known", Glide{0, 0, 40, 0}, Glide{math.NaN(), 0, 0, 0}, 0, 0},
	}
	for _, tt := range tests {
		if got := TIoU(tt.want, tt.got, r); math.Abs(got-tt.iou) > tt.tolerance {
			t.Errorf("%s: got %.6f, want %.6f", tt.name, got, tt.iou)
		}
	}
}

func TestTIoUAgainstGrid(t *testing.T) {
	t.Parallel()
	const r = 9.0
	const tolerance = 0.006 // of the grid of 150 × 150 cells and 41 instants
	for name, g := range map[string][2]Glide{
		"box that stands still":  {{0, 0, 34, 0}, {17, 0, 17, 0}},
		"streak across":          {{0, 0, 30, 0}, {15, -15, 15, 15}},
		"streak too long, aside": {{0, 0, 20, 5}, {-6, 4, 26, 9}},
		"parts midway":           {{0, 0, 10, 0}, {0, 0, 40, 20}},
	} {
		got, want := TIoU(g[0], g[1], r), gridIoU(g[0], g[1], r)
		if math.Abs(got-want) > tolerance {
			t.Errorf("%s: got %.4f, grid %.4f", name, got, want)
		}
		if swapped := TIoU(g[1], g[0], r); math.Abs(swapped-got) > 1e-12 {
			t.Errorf("%s: not symmetric, %.6f and %.6f", name, got, swapped)
		}
	}
}
