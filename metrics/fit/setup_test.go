package fit

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// reference reads one table of testdata/reference, whose source field says
// where the numbers come from.
func reference(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "reference", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

// near fails unless got is within tol of want, relative to |want| or 1,
// whichever is greater.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

// nearRel is near, relative to |want| alone.
func nearRel(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

func seeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

func scalar(y []float64, variance float64) []Sample {
	out := make([]Sample, len(y))
	for i, v := range y {
		out[i] = Sample{TimeS: float64(i), Pos: [2]float64{v, 0}, Cov: [2][2]float64{{variance, 0}, {0, 1}}}
	}
	return out
}
