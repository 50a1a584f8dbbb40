package scene_test

import (
	"fmt"

	"ashline/pipeline/scene"
)

func ExampleNew() {
	s, err := scene.New(scene.Params{Seed: 7, AttackDeg: scene.Num(9), DescentDeg: scene.Num(6)})
	if err != nil {
		fmt.Println(err)
		return
	}
	swing := s.Truth().Swings[0]
	fmt.Printf("attack %.1f°, descent %.1f°, gap %.1f°\n",
		swing.Metrics["plane.attack_deg"], swing.Metrics["pitch.descent_deg"], swing.Metrics["plane.gap_deg"])
	// Output: attack 9.0°, descent 6.0°, gap 3.0°
}
