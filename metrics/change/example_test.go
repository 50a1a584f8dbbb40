package change_test

import (
	"fmt"

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
