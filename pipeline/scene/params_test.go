package scene

import (
	"errors"
	"testing"
)

func TestParamsRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		p    Params
		want string
	}{
		{"kind", Params{Kind: "bunt"}, "kind"},
		{"odd size", Params{WidthPx: 641, HeightPx: 480}, "size"},
		{"colour", Params{BarrelColour: "pink"}, "barrel colour"},
		{"shutter longer than a frame", Params{ShutterS: 0.01}, "shutter"},
		{"speed", Params{BarrelSpeedMPS: 99}, "barrel speed"},
		{"band", Params{Bands: []string{"nose"}}, "bands"},
		{"turn", Params{RotateDeg: 45}, "rotate"},
		{"family", Random(1, "fog"), "family"},
		{"unreachable", Params{PitchSpeedMPS: 8}, "pitch speed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := New(c.p)
			var bad *ParamError
			if !errors.As(err, &bad) || !errors.Is(err, ErrParams) {
				t.Fatalf("got %v, want a ParamError", err)
			}
			if bad.Name != c.want {
				t.Errorf("names %q, want %q", bad.Name, c.want)
			}
		})
	}
}

func TestRandomIsRepeatable(t *testing.T) {
	t.Parallel()
	a, b := setup(t, Random(5, Jacket)), setup(t, Random(5, Jacket))
	if a.Mark(-0.03) != b.Mark(-0.03) || a.Cam != b.Cam {
		t.Error("the same seed gives another scene")
	}
	if c := setup(t, Random(6, Jacket)); a.Mark(-0.03) == c.Mark(-0.03) {
		t.Error("another seed gives the same scene")
	}
}

func TestEveryFamilyHits(t *testing.T) {
	t.Parallel()
	for _, f := range Families() {
		for seed := uint64(1000); seed < 1006; seed++ {
			if s := setup(t, Random(seed, f)); !s.hit {
				t.Errorf("%s %d: no contact", f, seed)
			}
		}
	}
}
