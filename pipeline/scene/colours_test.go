package scene

import (
	"fmt"
	"math"
	"testing"
)

// Every mark that a hitter may wear at once has a hue of its own: 18° apart at least in
// the plane of Cb and Cr (ITU-R BT.709: Kr 0.2126, Kb 0.0722), as much as light and
// coding move a hue each way.
func TestBandsDifferInHue(t *testing.T) {
	t.Parallel()
	hue := func(colour string) float64 {
		var rgb [3]int
		if _, err := fmt.Sscanf(colour, "#%2x%2x%2x", &rgb[0], &rgb[1], &rgb[2]); err != nil {
			t.Fatal(err)
		}
		r, g, b := float64(rgb[0]), float64(rgb[1]), float64(rgb[2])
		y := 0.2126*r + 0.7152*g + 0.0722*b
		return math.Atan2((r-y)/(2*(1-0.2126)), (b-y)/(2*(1-0.0722))) / degree
	}
	for _, barrel := range []string{"#ff2d95", "#ff3fd0", orange} {
		p := Params{BarrelColour: barrel}
		worn := map[string]string{"barrel": barrel, "hands": "#39d353"}
		for _, n := range bandNames {
			worn[n] = p.bandColour(n)
		}
		for a, x := range worn {
			for b, y := range worn {
				if d := math.Abs(math.Remainder(hue(x)-hue(y), 360)); a < b && d < 18 {
					t.Errorf("barrel %s: %s %s and %s %s are %.1f° apart in hue", barrel, a, x, b, y, d)
				}
			}
		}
	}
}
