package flight

import (
	"fmt"
	"math"
)

// Fly is the state at time t of a ball that was in state s.
func Fly(s State, p Params, t float64) State {
	y := p.forces().fly(s.flat(), t-s.TimeS)
	return unflat(t, y)
}

func (s State) flat() [4]float64 {
	return [4]float64{s.PosM[0], s.PosM[1], s.VelMPS[0], s.VelMPS[1]}
}

func unflat(t float64, y [4]float64) State {
	return State{TimeS: t, PosM: [2]float64{y[0], y[1]}, VelMPS: [2]float64{y[2], y[3]}}
}

// maxFlightS ends the flight of a ball that does not arrive.
const maxFlightS = 5

// FlyTo flies towards −x until x; ok is false when the ball does not get there.
func FlyTo(s State, p Params, xM float64) (State, bool) {
	return p.forces().flyTo(s, xM)
}

func (f forces) flyTo(s State, xM float64) (State, bool) {
	y, t := s.flat(), s.TimeS
	if y[0] < xM {
		return s, false
	}
	for t-s.TimeS < maxFlightS {
		next := f.step(y, stepS)
		if next[0] > xM {
			y, t = next, t+stepS
			continue
		}
		if !(next[2] < 0) {
			return s, false
		}
		// The last step ends at xM: Newton on its length.
		h := 0.0
		last := y
		for range 8 {
			h += (last[0] - xM) / -last[2]
			last = f.step(y, h)
		}
		return unflat(t+h, last), true
	}
	return s, false
}

// Release is a pitch as the card states it.
type Release struct {
	SpeedMPS     float64 // at release
	HeightM      float64 // of release above the ground
	DistanceM    float64 // from release to the plate's front
	PlateHeightM float64 // where it passes the plate's front
}

// Arrival is a pitch at the plate's front, which is at x = 0.
type Arrival struct {
	State               // TimeS from release
	LaunchDeg   float64 // at release, above the horizontal
	LossPercent float64 // of speed
}

// ToPlate finds the launch angle of the flatter throw that passes the plate's
// front at the stated height, and how it arrives.
func ToPlate(r Release, p Params) (Arrival, error) {
	f := p.forces()
	end := func(deg float64) (State, bool) {
		s, c := math.Sincos(deg * math.Pi / 180)
		return f.flyTo(State{PosM: [2]float64{r.DistanceM, r.HeightM}, VelMPS: [2]float64{-r.SpeedMPS * c, r.SpeedMPS * s}}, 0)
	}
	if !(r.SpeedMPS > 0) || !(r.DistanceM > 0) {
		return Arrival{}, fmt.Errorf("%w: %g m/s from %g m", ErrRelease, r.SpeedMPS, r.DistanceM)
	}
	miss := func(deg float64) float64 {
		s, ok := end(deg)
		if !ok {
			return math.Inf(-1)
		}
		return s.PosM[1] - r.PlateHeightM
	}
	lo, hi := -60.0, -60.0
	if miss(lo) > 0 {
		return Arrival{}, fmt.Errorf("%w: %+v", ErrRelease, r)
	}
	for miss(hi) < 0 {
		if lo, hi = hi, hi+5; hi > 45 {
			return Arrival{}, fmt.Errorf("%w: %+v", ErrRelease, r)
		}
	}
	for hi-lo > 1e-10 {
		if mid := (lo + hi) / 2; miss(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	s, _ := end(hi)
	return Arrival{State: s, LaunchDeg: hi, LossPercent: 100 * (1 - s.SpeedMPS()/r.SpeedMPS)}, nil
}

// Constant is a flight of constant acceleration, the form of public pitch
// records.
type Constant struct {
	Start   State
	AccMPS2 [2]float64
}

// At is the state at time t.
func (c Constant) At(t float64) State {
	d := t - c.Start.TimeS
	out := State{TimeS: t}
	for a := range 2 {
		out.PosM[a] = c.Start.PosM[a] + c.Start.VelMPS[a]*d + c.AccMPS2[a]*d*d/2
		out.VelMPS[a] = c.Start.VelMPS[a] + c.AccMPS2[a]*d
	}
	return out
}

// Arrive is the state when a ball flying towards −x reaches x; ok is false when
// it turns before.
func (c Constant) Arrive(xM float64) (State, bool) {
	v, a := c.Start.VelMPS[0], c.AccMPS2[0]
	disc := v*v - 2*a*(c.Start.PosM[0]-xM)
	if disc < 0 || v >= 0 {
		return State{}, false
	}
	// The usual root, written so that it stays exact as a goes to zero.
	return c.At(c.Start.TimeS + 2*(c.Start.PosM[0]-xM)/(-v+math.Sqrt(disc))), true
}
