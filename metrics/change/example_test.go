package change_test

import (
	"fmt"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
)

func ExampleCompare() {
	attack := func(v ...float64) (out []change.Reading) {
		for _, x := range v {
			out = append(out, change.Reading{Value: x, Low: x - 1, High: x + 1, Kind: "tee", Unit: "deg"})
		}
		return out
	}
	d, err := change.Compare(attack(3.1, 4.0, 2.2, 3.6), attack(8.0, 9.1, 7.4, 8.8), change.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%+.1f° (%.1f to %.1f), real: %t\n", d.Value, d.Low, d.High, d.Real)
	// Output: +5.1° (3.8 to 6.4), real: true
}

func ExampleGroups() {
	clip := func(attackDeg, half float64) metrics.Result {
		swing := metrics.Swing{}
		swing.Metrics[catalogue.PlaneAttackDeg] = metrics.Got(attackDeg, attackDeg-half, attackDeg+half, "deg")
		swing.Metrics[catalogue.ZoneLengthM] = metrics.Lacking("m", "no scale on the card")
		return metrics.Result{Card: metrics.Card{Kind: "tee"}, Swings: []metrics.Swing{swing}}
	}
	before := []metrics.Result{clip(3.1, 1), clip(4.0, 1), clip(2.2, 1)}
	after := []metrics.Result{clip(8.0, 1), clip(9.1, 1), clip(7.4, 1)}
	out, err := change.Groups(before, after, change.GroupOptions{Only: []string{"attack_deg", "length_m"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range out.Changes {
		fmt.Printf("%s %+.1f %s: %s\n", c.Metric, c.Change.Float(), c.Unit, c.Verdict)
	}
	for _, l := range out.LeftOut {
		fmt.Printf("%s left out, %s: %s\n", l.Metric, l.Side, l.Why)
	}
	// Output:
	// plane.attack_deg +5.1 deg: real
	// zone.length_m left out, both: no scale on the card
}
