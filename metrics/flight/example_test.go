package flight_test

import (
	"fmt"

	"ashline/metrics/flight"
)

// A youth pitch of 27 m/s with backspin, let go 12.5 m before the plate.
func ExampleToPlate() {
	a, err := flight.ToPlate(flight.Release{
		SpeedMPS: 27, HeightM: 1.5, DistanceM: 12.5, PlateHeightM: 0.76,
	}, flight.Params{SpinRPM: 1500})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f s, %.1f m/s, falling by %.1f°\n", a.TimeS, a.SpeedMPS(), a.DescentDeg())
	// Output: 0.480 s, 25.3 m/s, falling by 7.2°
}
