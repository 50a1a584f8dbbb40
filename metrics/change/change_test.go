package change

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

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

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

func plain(v ...float64) []Reading {
	out := make([]Reading, len(v))
	for i, x := range v {
		out[i] = Reading{Value: x, Low: math.NaN(), High: math.NaN()}
	}
	return out
}

func with(v, sd float64) Reading {
	return Reading{Value: v, Low: v - z95*sd, High: v + z95*sd}
}

func TestWeir(t *testing.T) {
	t.Parallel()
	var ref struct {
		Trial1, Trial2 []float64
		SEM, MD95      float64
		MeanDiff       float64 `json:"mean_diff"`
		SDDiff         float64 `json:"sd_diff"`
	}
	reference(t, "weir_a", &ref)
	sem, err := TypicalError(ref.Trial1, ref.Trial2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "standard error of measurement", sem, ref.SEM, 1e-9)
	near(t, "printed", sem, 7.6, 0.05)
	near(t, "least detectable difference", Detectable(sem, 1, 1), ref.MD95, 1e-9)
	near(t, "sd of differences", sem*math.Sqrt2, ref.SDDiff, 1e-9)
	// Two single readings with that error are told apart at the same difference.
	d, err := Compare([]Reading{with(100, sem)}, []Reading{with(100+ref.MD95+1e-6, sem)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "detectable of two readings", d.Detectable, ref.MD95, 1e-9)
	if !d.Real {
		t.Errorf("just above: got %+v", d)
	}
	if d, err = Compare([]Reading{with(100, sem)}, []Reading{with(100+ref.MD95-1e-6, sem)}, Options{}); err != nil || d.Real {
		t.Errorf("just below: got %+v, %v", d, err)
	}
}

func TestBlandAltman(t *testing.T) {
	t.Parallel()
	var ref struct {
		Wright1, Mini1 []float64
		Bias, SD       float64
	}
	reference(t, "bland_altman", &ref)
	e, err := TypicalError(ref.Mini1, ref.Wright1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sd of differences", e*math.Sqrt2, ref.SD, 1e-9)
	d, err := Compare(plain(ref.Mini1...), plain(ref.Wright1...), Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias", d.Value, ref.Bias, 1e-9)
}

// Source: 1.96·√(s²/n1 + s²/n2), by hand, for an error of 1.
func TestDetectable(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]float64{1: 2.77, 5: 1.24, 10: 0.88} {
		near(t, "detectable", Detectable(1, n, n), want, 0.005)
	}
}

// Worked by hand: variances 10 and 20/3, n = 4 and 5.
func TestWelchAndPooledByHand(t *testing.T) {
	t.Parallel()
	before, after := plain(1, 3, 5, 7), plain(8, 10, 12, 14, 16)
	// s² = 20/3 and 10; means 4 and 12.
	d, err := Compare(before, after, Options{})
	if err != nil {
		t.Fatal(err)
	}
	va, vb := 20.0/3/4, 10.0/5
	near(t, "difference", d.Value, 8, 1e-12)
	near(t, "standard error", d.SE, math.Sqrt(va+vb), 1e-12)
	near(t, "Welch degrees", d.DoF, (va+vb)*(va+vb)/(va*va/3+vb*vb/4), 1e-12)
	p, err := Compare(before, after, Options{Pooled: true})
	if err != nil {
		t.Fatal(err)
	}
	s2 := (3*20.0/3 + 4*10) / 7
	near(t, "pooled error", p.SE, math.Sqrt(s2/4+s2/5), 1e-12)
	near(t, "pooled degrees", p.DoF, 7, 1e-12)
	// Source: table of Student's t, 97.5 %, 7 degrees: 2.3646.
	near(t, "pooled half-width", p.Detectable/p.SE, 2.3646, 5e-5)
	if !d.Real || !p.Real || !d.SwingsVary {
		t.Errorf("got %+v and %+v", d, p)
	}
}

func TestCompareRules(t *testing.T) {
	t.Parallel()
	kind := func(k string, r Reading) Reading { r.Kind = k; return r }
	unit := func(u string, r Reading) Reading { r.Unit = u; return r }
	for _, tc := range []struct {
		name          string
		before, after []Reading
		o             Options
		want          error
		se            float64
		vary          bool
	}{
		{"empty", nil, plain(1, 2), Options{}, ErrEmpty, 0, false},
		{"all missing", plain(math.NaN()), plain(1, 2), Options{}, ErrEmpty, 0, false},
		{"one bare reading a side", plain(1), plain(2), Options{}, ErrNoSpread, 0, false},
		{"kinds", []Reading{kind("tee", with(1, 1))}, []Reading{kind("live", with(2, 1))}, Options{}, ErrUnlike, 0, false},
		{"kinds within a side", []Reading{kind("tee", with(1, 1)), kind("live", with(1, 1))}, []Reading{kind("tee", with(2, 1))}, Options{}, ErrUnlike, 0, false},
		{"units never mix", []Reading{unit("m", with(1, 1))}, []Reading{unit("s", with(2, 1))}, Options{Mix: true}, ErrUnlike, 0, false},
		{"kinds mixed when told", []Reading{kind("tee", with(1, 3))}, []Reading{kind("live", with(2, 4))}, Options{Mix: true}, nil, 5, false},
		{"one reading a side", []Reading{with(1, 3)}, []Reading{with(2, 4)}, Options{}, nil, 5, false},
		{"missing ones left out", append(plain(math.NaN()), with(1, 3)), []Reading{with(2, 4)}, Options{}, nil, 5, false},
		{"known spread", []Reading{with(1, 3)}, []Reading{with(2, 4)}, Options{SwingSD: 12}, nil, 12 * math.Sqrt2, true},
		{"spread less than the noise of measuring", []Reading{with(1, 3), with(1.1, 3)}, []Reading{with(2, 4), with(2.1, 4)}, Options{}, nil, math.Sqrt(25.0 / 2), true},
		{"single borrows the other's spread", []Reading{with(1, 0.1)}, plain(0, 2), Options{}, nil, math.Sqrt(2 + 1), true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d, err := Compare(tc.before, tc.after, tc.o)
			if !errors.Is(err, tc.want) {
				t.Fatalf("got %v, want %v", err, tc.want)
			}
			if tc.want != nil {
				return
			}
			near(t, "standard error", d.SE, tc.se, 1e-9)
			if d.SwingsVary != tc.vary || d.Mixed != tc.o.Mix {
				t.Errorf("got %+v", d)
			}
		})
	}
	var unlike *UnlikeError
	_, err := Compare([]Reading{kind("tee", with(1, 1))}, []Reading{kind("live", with(2, 1))}, Options{})
	if !errors.As(err, &unlike) || unlike.Field != "kind" || unlike.A != "tee" || unlike.B != "live" {
		t.Errorf("got %v", err)
	}
}

// Of groups that do not differ, one in twenty may be called changed; a shift of
// four standard errors must be found nearly always.
func TestFalseAlarms(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(8, 8))
	const trials = 4000
	for _, n := range [][2]int{{1, 1}, {2, 2}, {3, 8}, {5, 5}, {1, 6}} {
		draw := func(n int, mean float64) []Reading {
			out := make([]Reading, n)
			for i := range out {
				// A single swing a side can only be judged by its own interval.
				swing := 2.0
				if n == 1 {
					swing = 0
				}
				v := mean + swing*rng.NormFloat64() + 0.5*rng.NormFloat64()
				out[i] = with(v, 0.5)
			}
			return out
		}
		var alarms, found float64
		for range trials {
			d, err := Compare(draw(n[0], 0), draw(n[1], 0), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if d.Real {
				alarms++
			}
			if d, _ = Compare(draw(n[0], 0), draw(n[1], 100), Options{}); d.Real {
				found++
			}
		}
		// Four standard errors of 5 % in 4000 above the nominal rate.
		if alarms/trials > 0.064 {
			t.Errorf("%v: %.1f %% false alarms", n, 100*alarms/trials)
		}
		if found/trials < 0.95 {
			t.Errorf("%v: found %.1f %%", n, 100*found/trials)
		}
	}
}

func TestTypicalErrorRefuses(t *testing.T) {
	t.Parallel()
	if _, err := TypicalError([]float64{1, 2}, []float64{1}); !errors.Is(err, ErrPairs) {
		t.Errorf("got %v, want %v", err, ErrPairs)
	}
}
