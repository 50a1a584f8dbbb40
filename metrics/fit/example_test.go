package fit_test

import (
	"fmt"
	"math/rand/v2"

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

func ExampleConsensus() {
	var t, tol []float64
	var pos [][2]float64
	for i := range 12 {
		x := float64(i) / 240
		p := [2]float64{3 - 35*x, 1 - 4*x}
		if i%4 == 1 {
			p = [2]float64{0.3 * float64(i), 2} // something else that moved
		}
		t, pos, tol = append(t, x), append(pos, p), append(tol, 0.02)
	}
	ball, err := fit.Consensus{Degree: [2]int{1, 1}}.Find(t, pos, tol, rand.New(rand.NewPCG(1, 2)))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d of %d agree, %.1f m/s\n", ball.Count, len(t), ball.Axis[0].Deriv(0, 1))
	// Output: 9 of 12 agree, -35.0 m/s
}
