package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Posts and rails put in place by hand, seen by a view and read back: the attitude of any
// camera comes out, whatever else is in the picture.
func TestAttitudeOfACage(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]struct{ roll, tilt, yaw float64 }{
		"square": {0, 0, 0}, "rolled": {2, 0, 0}, "tilted": {0, -5, 0}, "turned": {0, 0, 12}, "all": {-1.3, 3.7, -8}, "more": {12, 4, 5},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			const degree = math.Pi / 180
			v := View{FocalPx: 900, CX: 639.5, CY: 359.5, DistanceM: 6, RollRad: want.roll * degree, TiltRad: want.tilt * degree, YawRad: want.yaw * degree, Sign: 1}
			var segments [][2]Point
			line := func(a, b World) { segments = append(segments, [2]Point{v.Project(a), v.Project(b)}) }
			for x := -3.0; x <= 3; x++ {
				line(World{X: x, Y: -2, Z: -1}, World{X: x, Y: -2, Z: 1.5})
			}
			for z := -1.0; z <= 1.5; z += 0.5 {
				line(World{X: -2.5, Y: -2, Z: z}, World{X: 2.5, Y: -2, Z: z})
			}
			line(World{X: -1, Y: 0, Z: -1}, World{X: -1, Y: -3, Z: -1}) // into the depth
			rng := rand.New(rand.NewPCG(3, 4))
			for range 12 { // limbs, shadows
				x, y, turn := 1280*rng.Float64(), 720*rng.Float64(), math.Pi*rng.Float64()
				segments = append(segments, [2]Point{{x, y}, {x + 60*math.Cos(turn), y + 60*math.Sin(turn)}})
			}
			got := AttitudeOf(segments, View{FocalPx: v.FocalPx, CX: v.CX, CY: v.CY, Sign: 1})
			if off := math.Abs(got.RollRad-v.RollRad) / degree; off > 0.05 {
				t.Errorf("roll is %.2f° off", off)
			}
			if off := math.Abs(got.TiltRad-v.TiltRad) / degree; off > 0.2 {
				t.Errorf("tilt is %.2f° off", off)
			}
			if off := math.Abs(got.YawRad-v.YawRad) / degree; off > 0.2 {
				t.Errorf("yaw is %.2f° off", off)
			}
			if got.Upright < 1000 || got.Level < 1000 {
				t.Errorf("%.0f px upright and %.0f px level agree", got.Upright, got.Level)
			}
		})
	}
}
