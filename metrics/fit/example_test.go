package fit_test

import (
	"fmt"

	"ashline/metrics/fit"
)

func ExampleSmoother() {
	// A mark on a parabola, seen at 240 frames a second to within 2 mm.
	var seen []fit.Sample
	for i := range 24 {
		t := float64(i) / 240
		seen = append(seen, fit.Sample{
			TimeS: t,
			Pos:   [2]float64{20 * t, 3*t - 4.9*t*t},
			Cov:   [2][2]float64{{4e-6, 0}, {0, 4e-6}},
		})
	}
	motion, err := (&fit.Smoother{Q: 1e8}).Fit(seen)
	if err != nil {
		fmt.Println(err)
		return
	}
	deg, sd := motion.State(0.05, fit.Before).Direction()
	fmt.Printf("%.2f° ± %.2f°\n", deg, 1.96*sd)
	// Output: 7.15° ± 0.26°
}
