package steady

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// leaning has six unlike numbers, so that none stands in for another.
var leaning = Transform{XX: 1.02, XY: -0.03, TX: 7, YX: 0.05, YY: 0.97, TY: -4}

// By hand: 1.02·10 − 0.03·20 + 7 = 16.6 and 0.05·10 + 0.97·20 − 4 = 15.9.
func TestApply(t *testing.T) {
	t.Parallel()
	if x, y := leaning.Apply(10, 20); math.Abs(x-16.6) > 1e-12 || math.Abs(y-15.9) > 1e-12 {
		t.Errorf("got %g, %g, want 16.6, 15.9", x, y)
	}
	if x, y := Still.Apply(10, 20); x != 10 || y != 20 {
		t.Errorf("still: got %g, %g, want 10, 20", x, y)
	}
}

// The inverse is that of gonum for the same map of homogeneous coordinates, and leads
// back to where a point came from.
func TestInverse(t *testing.T) {
	t.Parallel()
	var want mat.Dense
	if err := want.Inverse(mat.NewDense(3, 3, []float64{
		leaning.XX, leaning.XY, leaning.TX,
		leaning.YX, leaning.YY, leaning.TY,
		0, 0, 1,
	})); err != nil {
		t.Fatal(err)
	}
	u := leaning.Inverse()
	got := mat.NewDense(3, 3, []float64{u.XX, u.XY, u.TX, u.YX, u.YY, u.TY, 0, 0, 1})
	if !mat.EqualApprox(got, &want, 1e-12) {
		t.Errorf("got\n%v, want\n%v", mat.Formatted(got), mat.Formatted(&want))
	}
	if x, y := u.Apply(leaning.Apply(300, -50)); math.Abs(x-300) > 1e-9 || math.Abs(y+50) > 1e-9 {
		t.Errorf("there and back: %g, %g, want 300, -50", x, y)
	}
}

// By hand: the corner that moves farthest, each of the four in turn.
func TestMoved(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		t    Transform
		want float64
	}{
		{"still", Still, 0},
		{"a shift moves all alike", Transform{XX: 1, YY: 1, TX: 3, TY: -4}, 5},
		{"top left", Transform{XX: 0.99, XY: -0.01, YY: 1, TX: 2}, 2},
		{"top right", Transform{XX: 1.01, XY: -0.01, YY: 1}, 2},
		{"bottom left", Transform{XX: 0.995, XY: 0.02, YY: 1}, 2},
		{"bottom right", Transform{XX: 1.01, XY: 0.01, YY: 1}, 3},
	} {
		if got := c.t.Moved(200, 100); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g px, want %g", c.name, got, c.want)
		}
	}
}
