package track

import "testing"

var objectSearch = ObjectSearch{Accel: 150 * 250, MaxSpeed: 6 * 250, MaxGapS: 0.03}

func TestObjects(t *testing.T) {
	t.Parallel()
	still := func(int) (float64, float64, float64) { return 900, 300, 2000 }
	walker := func(i int) (float64, float64, float64) { return 200 + 3*float64(i), 350, 400 }
	swollen := func(i int) (float64, float64, float64) { return 500, 350, []float64{100, 400}[i/20] }
	swung := func(i int) (float64, float64, float64) { return 100 + 30*float64(i), 500, 200 }
	tests := []struct {
		name string
		move func(int) (x, y, mass float64)
		want int // things
	}{
		{"still", still, 1},
		{"walking", walker, 1},
		{"suddenly four times as large", swollen, 2},
		{"faster than anything but a bat", swung, 40},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			frames := make([][]Node, 40)
			times := make([]float64, 40)
			for i := range frames {
				x, y, m := tt.move(i)
				frames[i], times[i] = []Node{{X: x, Y: y, Mass: m}}, float64(i)/240
			}
			seen := map[int]bool{}
			for _, ids := range Objects(frames, times, objectSearch) {
				seen[ids[0]] = true
			}
			if got := len(seen); got != tt.want {
				t.Errorf("got %d things, want %d", got, tt.want)
			}
		})
	}
}

// Two things that pass each other keep their numbers.
func TestObjectsPass(t *testing.T) {
	t.Parallel()
	frames := make([][]Node, 60)
	times := make([]float64, 60)
	for i := range frames {
		a := Node{X: 340 + 3*float64(i), Y: 300, Mass: 300}
		b := Node{X: 420, Y: 304, Mass: 320}
		frames[i], times[i] = []Node{a, b}, float64(i)/240
	}
	ids := Objects(frames, times, objectSearch)
	if last := ids[len(ids)-1]; last[0] != ids[0][0] || last[1] != ids[0][1] {
		t.Errorf("numbers %v at first and %v at last", ids[0], last)
	}
}
