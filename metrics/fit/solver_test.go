package fit_test

import (
	"math"
	"testing"

	"ashline/metrics/fit"
)

// bent is r = (10·(y − x²), 1 − x), Rosenbrock's valley (Comput. J. 3 (1960) 175), whose
// least is at (1, 1), as a task of the solver.
type bent struct {
	x, y, oldX, oldY, moved float64
	rounds                  []int
	steps                   []float64
	short                   float64
}

func (b *bent) Reweigh(round int) { b.rounds = append(b.rounds, round) }
func (b *bent) Cost() float64 {
	r, s := 10*(b.y-b.x*b.x), 1-b.x
	return r*r + s*s
}

func (b *bent) Step(damp float64) bool {
	b.steps = append(b.steps, damp)
	r, s := 10*(b.y-b.x*b.x), 1-b.x
	// Rows of the Jacobian: (−20x, 10), (−1, 0).
	xx, xy, yy := 400*b.x*b.x+1, -200*b.x, 100.0
	gx, gy := -20*b.x*r-s, 10*r
	xx, yy = xx*(1+damp), yy*(1+damp)
	det := xx*yy - xy*xy
	dx, dy := -(yy*gx-xy*gy)/det, -(xx*gy-xy*gx)/det
	b.oldX, b.oldY = b.x, b.y
	b.x, b.y, b.moved = b.x+dx, b.y+dy, math.Hypot(dx, dy)
	return true
}
func (b *bent) Undo()         { b.x, b.y = b.oldX, b.oldY }
func (b *bent) Settled() bool { return b.moved < b.short }

func TestSolverFindsTheValleysLeast(t *testing.T) {
	t.Parallel()
	for name, s := range map[string]fit.Solver{"damped": {Rounds: 100, Gain: 1e-12, Damp: 1e-3, LeastDamp: 1e-6}, "undamped first": {Rounds: 100}} {
		b := &bent{x: -1.2, y: 1, short: 1e-9}
		if !s.Descend(b) || math.Hypot(b.x-1, b.y-1) > 1e-6 {
			t.Errorf("%s: %g, %g after %d rounds", name, b.x, b.y, len(b.rounds))
		}
		for i, r := range b.rounds {
			if i != r {
				t.Fatalf("%s: rounds %v", name, b.rounds)
			}
		}
	}
	if (fit.Solver{Rounds: 2}).Descend(&bent{x: -1.2, y: 1}) {
		t.Error("at rest after two rounds")
	}
	// What must go on is not ended by a step that gains nothing.
	b := &bent{x: 1, y: 1}
	if !(fit.Solver{Rounds: 9, Settle: 4, Damp: 1, LeastDamp: 1}).Descend(b) || len(b.rounds) != 5 {
		t.Errorf("%d rounds at the least, want 5", len(b.rounds))
	}
	if last := b.steps[4]; last != 1e3*10 && last != 1 {
		t.Errorf("dampings %v", b.steps)
	}
}

// By hand: (x − 0.3)² has its least at 0.3, and beyond an end the end is the least.
func TestLeast(t *testing.T) {
	t.Parallel()
	f := func(x float64) float64 { return (x - 0.3) * (x - 0.3) }
	for _, c := range []struct{ from, to, want float64 }{{0, 1, 0.3}, {0.5, 1, 0.5}, {-1, 0.1, 0.1}} {
		if got := fit.Least(f, c.from, c.to, 10, 40); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("between %g and %g: %g, want %g", c.from, c.to, got, c.want)
		}
	}
}

func TestSolve3(t *testing.T) {
	t.Parallel()
	n, x := [3][3]float64{{4, 1, -0.5}, {1, 3, 0.2}, {-0.5, 0.2, 2}}, [3]float64{1, -2, 3}
	var rhs [3]float64
	for i := range n {
		for j := range n {
			rhs[i] += n[i][j] * x[j]
		}
	}
	for i, got := range fit.Solve3(n, rhs) {
		if math.Abs(got-x[i]) > 1e-12 {
			t.Errorf("unknown %d: %g, want %g", i, got, x[i])
		}
	}
}
