package follow

import (
	"math"
	"testing"

	"ashline/metrics"
)

// A bat that turns about an upright axis, its marks half a metre apart, seen from
// the side: what lies at the second mark is the hands' band, what lies half way
// there is wood.
func TestNeverApart(t *testing.T) {
	t.Parallel()
	const ppm, apartM = 200.0, 0.5
	turned := func(share float64, from, to float64) (hands, barrel []metrics.Sample) {
		for f := range 60 {
			a := from + (to-from)*float64(f)/59
			d := apartM * ppm * math.Cos(a) // along the picture
			at := metrics.Sample{Frame: f, TimeS: float64(f) / 240, XPx: 600, YPx: 400}
			hand := at
			hand.XPx += share * d
			barrel, hands = append(barrel, at), append(hands, hand)
		}
		return hands, barrel
	}
	card := metrics.Card{}
	card.Bat.MarksApartM = apartM
	for name, c := range map[string]struct {
		share    float64
		from, to float64
		frames   int
		apartM   float64
		want     bool
	}{
		"the band":                     {1, -1.2, 1.2, 60, apartM, false},
		"the band, near the axis only": {1, 0.6, 1.2, 60, apartM, false},
		"wood half way":                {0.5, -1.2, 1.2, 60, apartM, true},
		"on the barrel itself":         {0.1, -1.2, 1.2, 60, apartM, true},
		"too few frames":               {0.5, -1.2, 1.2, apartLeast - 1, apartM, false},
		"no distance on the card":      {0.5, -1.2, 1.2, 60, 0, false},
	} {
		hands, barrel := turned(c.share, c.from, c.to)
		card.Bat.MarksApartM = c.apartM
		if got := neverApart(hands[:c.frames], barrel, card, ppm); got != c.want {
			t.Errorf("%s: got %v, want %v", name, got, c.want)
		}
	}
	found := Found{Paths: Paths{{Mark: "barrel"}, Path{Mark: "hands"}.refuse(NeverApart)}}
	if got := found.Notes(); len(got) != 1 {
		t.Errorf("got notes %q", got)
	}
}
