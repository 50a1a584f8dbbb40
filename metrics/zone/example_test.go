package zone_test

import (
	"fmt"

	"ashline/metrics/zone"
)

// A level swing through a pitch that falls by 6°: the barrel is along the line
// all the time, near it for a while.
func ExampleFind() {
	barrel := zone.Straight{VelMPS: [2]float64{30, 0}}
	z := zone.Find(barrel, zone.Line{DescentDeg: 6}, zone.Limits{DistanceM: 0.07})
	fmt.Printf("%.1f ms, %.2f m behind, %.2f m ahead\n", 1000*z.DurationS(), z.BehindM, z.AheadM)
	// Output: 44.6 ms, 0.67 m behind, 0.67 m ahead
}

func ExampleMeet() {
	barrel := zone.Straight{VelMPS: [2]float64{30, 0}}
	ball := zone.Line{DescentDeg: 6}.Ball(36)
	w := zone.Meet(barrel, ball, zone.Circles{}).Solid
	fmt.Printf("%.1f ms early to %.1f ms late\n", 1000*w.EarlyS, 1000*w.LateS)
	// Output: 7.4 ms early to 7.4 ms late
}
