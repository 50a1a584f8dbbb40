package metrics

import (
	"math"
	"testing"
)

// Radii of balls from their published diameters, and of a barrel from that of usual
// bats. Sources: a baseball's circumference is 9 to 9¼ in (Official Baseball Rules
// 3.01), a softball's of 12 in 11⅞ to 12⅛ in and one of 11 in 10⅞ to 11⅛ in (Little
// League Rule 1.09, softball); 2⅝ in is the widest barrel of Little League (Rule 1.10).
func TestRadii(t *testing.T) {
	t.Parallel()
	const mm = 1e-3
	for _, c := range []struct {
		ball        string
		least, most float64 // circumference, in
	}{{"", 9, 9.25}, {"baseball", 9, 9.25}, {"softball_11", 10.875, 11.125}, {"softball_12", 11.875, 12.125}} {
		got := 1000 * Card{Pitch: PitchCard{Ball: c.ball}}.BallRadiusM()
		if want := 25.4 * (c.least + c.most) / 4 / math.Pi; !near(got, want, 0.01) {
			t.Errorf("%q: radius %.3f mm, want %.3f mm, the middle of the range", c.ball, got, want)
		}
	}
	if got := (Card{}).BarrelRadiusM(); got < 0.5*2.5*25.4*mm || got > 0.5*2.625*25.4*mm {
		t.Errorf("a usual barrel's radius is %.1f mm, want that of 2½ to 2⅝ in", got/mm)
	}
	if got := (Card{Bat: Bat{BarrelDiameterM: 0.07}}).BarrelRadiusM(); got != 0.035 {
		t.Errorf("radius %g m of a diameter of 0.07 m", got)
	}
	// Where the centres of ball and barrel that touch are: 36.9 and 33 mm.
	if got := (Card{}).DistanceM(); !near(got, 0.0699, 1e-4) {
		t.Errorf("ball and barrel touch at %.4f m, want 0.0699 m", got)
	}
	if got := (Card{Tolerances: Tolerances{DistanceM: 0.05}}).DistanceM(); got != 0.05 {
		t.Errorf("stated distance %g m, want 0.05", got)
	}
}

// What a card leaves out, as its fields say.
func TestCardDefaults(t *testing.T) {
	t.Parallel()
	marked := Card{Marks: Marks{Barrel: &Mark{FromEndM: 0.15, WidthM: 0.03}}, Bat: Bat{LengthM: 0.8}, Tolerances: Tolerances{DirectionDeg: 7, SolidM: 0.01}}
	closed := Card{Camera: Camera{Side: "closed"}}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"width of a band", Card{}.BandWidthM(), 0.05},
		{"stated width", marked.BandWidthM(), 0.03},
		{"direction of the zone", Card{}.DirectionDeg(), 10},
		{"stated direction", marked.DirectionDeg(), 7},
		{"solid contact, half an inch", Card{}.SolidM(), 0.5 * 25.4e-3},
		{"stated", marked.SolidM(), 0.01},
		// A bat of 33 in, the band 10 cm from its end, hands 12 cm from its knob.
		{"hands to band", Card{}.leverM(), 33*25.4e-3 - 0.22},
		{"hands to band, stated", marked.leverM(), 0.8 - 0.15 - 0.12},
		{"hands beyond the plate", Card{}.handsYM(), -0.5},
		{"hands before the plate", closed.handsYM(), 0.5},
	} {
		if !near(c.got, c.want, 3e-4) { // 33 in are 0.8382 m
			t.Errorf("%s: %g, want %g", c.name, c.got, c.want)
		}
	}
}
