package track

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// A flight's fit is gonum's least squares of the same rows, the prior one of them, and its
// s.d. that of gonum's inverse.
func TestParabolaAgreesWithGonum(t *testing.T) {
	t.Parallel()
	const n, sd, gravity, accSD = 9, 0.5, 2450.0, 400.0
	rng := rand.New(rand.NewPCG(4, 4))
	var ts, xs, ys []float64
	for i := range n {
		u := float64(i)/240 + 0.001*rng.Float64()
		ts, xs, ys = append(ts, u), append(xs, 10-3000*u+rng.NormFloat64()), append(ys, 20+100*u+1000*u*u+rng.NormFloat64())
	}
	p := FitParabola(ts, xs, ys, sd, gravity, accSD)
	rows, bx, by := mat.NewDense(n+1, 3, nil), mat.NewVecDense(n+1, nil), mat.NewVecDense(n+1, nil)
	for i, u := range ts {
		rows.SetRow(i, []float64{1, u - p.T0, (u - p.T0) * (u - p.T0) / 2})
		bx.SetVec(i, xs[i])
		by.SetVec(i, ys[i])
	}
	rows.SetRow(n, []float64{0, 0, sd / accSD})
	by.SetVec(n, gravity*sd/accSD)
	var x, y mat.VecDense
	if x.SolveVec(rows, bx) != nil || y.SolveVec(rows, by) != nil {
		t.Fatal("gonum does not solve it")
	}
	var square, inv mat.Dense
	square.Mul(rows.T(), rows)
	if err := inv.Inverse(&square); err != nil {
		t.Fatal(err)
	}
	for _, at := range []float64{-0.01, 0.017, 0.06} {
		dt := at - p.T0
		row := mat.NewVecDense(3, []float64{1, dt, dt * dt / 2})
		gx, gy := p.At(at)
		if wx, wy := mat.Dot(row, &x), mat.Dot(row, &y); math.Abs(gx-wx) > 1e-6 || math.Abs(gy-wy) > 1e-6 {
			t.Errorf("at %g s: %.6f, %.6f, gonum %.6f, %.6f", at, gx, gy, wx, wy)
		}
		if got, want := p.SD(at), math.Sqrt(mat.Inner(row, &inv, row)); math.Abs(got-want) > 1e-6*want {
			t.Errorf("at %g s: s.d. %.6f, gonum %.6f", at, got, want)
		}
		// Velocity by differences.
		const h = 1e-5
		ax, ay := p.At(at - h)
		cx, cy := p.At(at + h)
		if vx, vy := p.Velocity(at); math.Abs(vx-(cx-ax)/(2*h)) > 1e-4 || math.Abs(vy-(cy-ay)/(2*h)) > 1e-4 {
			t.Errorf("at %g s: %.4f, %.4f px/s, by differences %.4f, %.4f", at, vx, vy, (cx-ax)/(2*h), (cy-ay)/(2*h))
		}
	}
	if vx, vy := p.Velocity(p.T0); math.Abs(p.Speed()-math.Hypot(vx, vy)) > 1e-9 {
		t.Errorf("speed %g px/s, in the middle %g", p.Speed(), math.Hypot(vx, vy))
	}
}

// ballSearch is that of a ball at 250 px a metre and 240 fps.
var ballSearch = FlightSearch{MinSpeed: 1250, MaxSpeed: 15000, Gravity: 2450, ExtraAcc: 10000, SDPx: 0.5, MaxMiss: 2, MinPoints: 5, Toward: -1}

// flying are frames of one ball that moves by step px a frame to the left, changed by
// change; a frame in which it returns false holds nothing.
func flying(n int, step float64, change func(i int, b *Blob) bool) ([][]Blob, []float64) {
	frames, times := make([][]Blob, n), make([]float64, n)
	for i := range n {
		b := Blob{X: 900 - step*float64(i), Y: 300, Along: 9, Cross: 4, Mass: 60, DirX: 1}
		times[i] = float64(i) / 240
		if change == nil || change(i, &b) {
			frames[i] = []Blob{b}
		}
	}
	return frames, times
}

// What makes a flight and what does not, each on either side of its limit.
func TestFlightsByTheirLimits(t *testing.T) {
	t.Parallel()
	turned := func(deg float64) func(int, *Blob) bool {
		return func(_ int, b *Blob) bool {
			b.DirY, b.DirX = math.Sincos(deg * math.Pi / 180)
			return true
		}
	}
	grown := func(factor float64) func(int, *Blob) bool {
		return func(i int, b *Blob) bool {
			if i%2 == 1 {
				b.Mass *= factor
			}
			return true
		}
	}
	without := func(hidden ...int) func(int, *Blob) bool {
		return func(i int, _ *Blob) bool {
			for _, h := range hidden {
				if i == h {
					return false
				}
			}
			return true
		}
	}
	for _, c := range []struct {
		name   string
		frames int
		step   float64
		change func(int, *Blob) bool
		want   int // points of the longest flight
	}{
		{"a ball", 12, 30, nil, 12},
		{"slower than any", 12, 5.1, nil, 0},
		{"just fast enough", 12, 5.3, nil, 12},
		{"faster than any", 12, 63, nil, 0},
		{"just slow enough", 12, 62, nil, 12},
		{"the other way", 12, -30, nil, 0},
		{"four points", 4, 30, nil, 0},
		{"five points", 5, 30, nil, 5},
		{"a streak along its way", 12, 30, turned(30), 12},
		{"a streak across it", 12, 30, turned(35), 0},
		{"twice as large in turn", 12, 30, grown(2), 12},
		// Every second one is a flight of its own, each pair of them two frames apart.
		{"thrice as large in turn", 12, 30, grown(3.1), 6},
		{"two hidden", 12, 30, without(5, 6), 10},
		{"three hidden", 13, 30, without(5, 6, 7), 5},
		// A step of 9 px beside a way that five points know to 2 px.
		{"one far off", 12, 30, func(i int, b *Blob) bool {
			if i == 7 {
				b.Y += 9
			}
			return true
		}, 11},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			frames, times := flying(c.frames, c.step, c.change)
			got := 0
			flights := Flights(frames, times, ballSearch)
			for i, f := range flights {
				if i == 0 {
					got = len(f.Frames)
				}
				if len(f.Frames) > got {
					t.Error("the best supported does not come first")
				}
			}
			if got != c.want {
				t.Errorf("%d points, want %d", got, c.want)
			}
		})
	}
}

// Two balls in the air are two flights, and no blob is in both; the fit of each is its way,
// and its residual what noise leaves.
func TestTwoFlights(t *testing.T) {
	t.Parallel()
	frames, times := flying(14, 30, nil)
	for i := range 10 {
		frames[i+2] = append(frames[i+2], Blob{X: 700 - 25*float64(i), Y: 500 + 0.4*float64(i%2), Along: 4, Cross: 4, Mass: 50, DirX: 1})
	}
	got := Flights(frames, times, ballSearch)
	if len(got) != 2 || len(got[0].Frames) != 14 || len(got[1].Frames) != 10 {
		t.Fatalf("%d flights", len(got))
	}
	if vx, _ := got[1].Fit.Velocity(got[1].Fit.T0); math.Abs(vx+25*240) > 30 {
		t.Errorf("%.0f px/s, want %d", vx, -25*240)
	}
	// The zigzag of 0.4 px is 0.2 px off its middle, along one axis of two: 0.14 px.
	if got[0].RMS > 0.2 || math.Abs(got[1].RMS-0.2/math.Sqrt2) > 0.02 {
		t.Errorf("residuals %.3f and %.3f px, want about 0 and 0.14", got[0].RMS, got[1].RMS)
	}
}
