package lines

import (
	"math"
	"testing"
)

// A dark bar on a bright wall, drawn by how much of each pixel it covers: its two edges come
// back where they are, to a tenth of a pixel.
func TestFindsABar(t *testing.T) {
	t.Parallel()
	const w, h, left, right, lean = 200, 120, 80.3, 95.8, 0.12 // px; lean in px a row
	luma := make([]uint8, w*h)
	for y := range h {
		for x := range w {
			l, r := left+lean*float64(y), right+lean*float64(y)
			covered := math.Max(0, math.Min(float64(x)+0.5, r)-math.Max(float64(x)-0.5, l))
			luma[y*w+x] = uint8(200 - 150*covered)
		}
	}
	found, err := Find(luma, w, h)
	if err != nil {
		t.Fatal(err)
	}
	for _, edge := range []float64{left, right} {
		best := math.Inf(1)
		for _, s := range found {
			if math.Abs(s[0][1]-s[1][1]) < h/2 {
				continue
			}
			off := 0.0
			for _, p := range s {
				off = math.Max(off, math.Abs(p[0]-edge-lean*p[1]))
			}
			best = math.Min(best, off)
		}
		if best > 0.2 {
			t.Errorf("the edge at %.1f px is found %.2f px off", edge, best)
		}
	}
}

func TestRefusesWhatIsNoPicture(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct{ w, h, n int }{"empty": {0, 0, 0}, "short": {10, 10, 99}} {
		if _, err := Find(make([]uint8, tc.n), tc.w, tc.h); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
