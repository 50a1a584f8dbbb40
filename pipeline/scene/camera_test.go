package scene

import (
	"math"
	"testing"
)

// The picture's scale at the plate's plane, width over metres, fixes every
// pixel of a square camera; turned ones follow from plane trigonometry.
func TestProjectClosedForm(t *testing.T) {
	t.Parallel()
	const d, width, h = 6.0, 4.2, 1.05
	f := 1280 * d / width
	for _, c := range []struct {
		name       string
		p          Params
		q          Vec
		xPx, yPx   float64
		wantToLeft bool
	}{
		{"middle", Params{}, Vec{0, 0, h}, 639.5, 359.5, false},
		{"towards the pitcher", Params{}, Vec{1, 0, h}, 639.5 + f/d, 359.5, false},
		{"below", Params{}, Vec{0, 0, h - 0.5}, 639.5, 359.5 + 0.5*f/d, false},
		{"nearer is larger", Params{}, Vec{1, -1, h - 0.5}, 639.5 + f/(d-1), 359.5 + 0.5*f/(d-1), false},
		{"left-handed hitter", Params{Bats: "left"}, Vec{1, 1, h}, 639.5 - f/(d-1), 359.5, true},
		{"closed side", Params{Side: "closed"}, Vec{1, 1, h}, 639.5 - f/(d-1), 359.5, true},
		{"yaw to the pitcher", Params{YawDeg: 10}, Vec{0, 0, h}, 639.5 - f*math.Tan(10*degree), 359.5, false},
		{"yaw, left-handed", Params{YawDeg: 10, Bats: "left"}, Vec{0, 0, h}, 639.5 + f*math.Tan(10*degree), 359.5, true},
		{"tilt up", Params{TiltDeg: 5}, Vec{0, 0, h}, 639.5, 359.5 + f*math.Tan(5*degree), false},
		// A camera turned clockwise sees the world turned counter-clockwise.
		{"roll", Params{RollDeg: 30}, Vec{1, 0, h}, 639.5 + f/d*math.Cos(30*degree), 359.5 - f/d*math.Sin(30*degree), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.p.Seed = 1
			s := setup(t, c.p)
			got := s.Cam.Project(c.q)
			near(t, "x_px", got.XPx, c.xPx, 1e-9)
			near(t, "y_px", got.YPx, c.yPx, 1e-9)
			if left := s.Cam.Pitcher == "left"; left != c.wantToLeft {
				t.Errorf("pitcher at the %s", s.Cam.Pitcher)
			}
			w := s.Cam.ray(got.XPx, got.YPx)
			back := s.Cam.Position.add(w.mul(got.DepthM))
			near(t, "ray back to the point", back.sub(c.q).norm(), 0, 1e-9)
		})
	}
}

func TestScaleAtThePlate(t *testing.T) {
	t.Parallel()
	s := setup(t, Params{Seed: 1})
	near(t, "m_per_px", s.Cam.MPerPx, 4.2/1280, 1e-12)
}

func TestViewUndoesShake(t *testing.T) {
	t.Parallel()
	s := setup(t, Params{Seed: 2, ShakePx: 5})
	for _, i := range []int{0, 17, 80} {
		v := s.view(i)
		q := Vec{0.4, 0.3, 1.2}
		a, b := s.Cam.Project(q), v.project(q)
		x, y := v.still(b.XPx, b.YPx)
		near(t, "x", x, a.XPx, 1e-9)
		near(t, "y", y, a.YPx, 1e-9)
	}
	if sh := s.shakes[0]; sh != (shake{}) {
		t.Errorf("frame 0 is shaken by %+v", sh)
	}
}
