package scene

import (
	"errors"
	"os"
	"testing"
)

// Every corner of the ranges that are drawn from can be rendered.
func TestAcademyCanBeFilmed(t *testing.T) {
	t.Parallel()
	for name, draws := range map[string][]float64{"low": {0}, "high": {1}, "slow and steep": {0, 1}, "fast and flat": {1, 0}} {
		i := -1
		takes := enrol(1, func() float64 {
			i++
			return draws[i%len(draws)]
		})
		for _, k := range []Take{takes[0], takes[5]} {
			if _, err := New(k.Params); err != nil {
				t.Errorf("%s, %s: %v", name, k.Name, err)
			}
		}
	}
}

func TestAcademy(t *testing.T) {
	t.Parallel()
	names, left := map[string]bool{}, 0
	for _, k := range Academy(3) {
		names[k.Name] = true
		if k.Params.Bats == "left" {
			left++
		}
	}
	if len(names) != 12 || left != 4 {
		t.Errorf("got %d clips, %d of left-handed hitters; want 12 and 4", len(names), left)
	}
	if a, b := Academy(3), Academy(4); a[0].Params.HitterHeightM == b[0].Params.HitterHeightM {
		t.Error("the seed changes nothing")
	}
}

// Film tells of every frame and of every whole clip, and stops when nobody listens
// any more.
func TestFilm(t *testing.T) {
	t.Parallel()
	takes := []Take{{Name: "one", Params: small(Params{Seed: 1})}, {Name: "two", Params: small(Params{Seed: 2})}}
	frames, whole := map[string]int{}, map[string]int{}
	err := Film(t.Context(), t.TempDir(), takes, 2, func(k Take, done, total int, f *Files) error {
		if f == nil {
			frames[k.Name]++
			return nil
		}
		whole[k.Name]++
		if frames[k.Name] != total || done != total {
			t.Errorf("%s is whole after %d of %d frames, told of %d", k.Name, done, total, frames[k.Name])
		}
		_, err := os.Stat(f.Card)
		return err
	})
	if err != nil || whole["one"] != 1 || whole["two"] != 1 {
		t.Errorf("got %v, whole %v", err, whole)
	}

	deaf, calls, dir := errors.New("deaf"), 0, t.TempDir()
	err = Film(t.Context(), dir, takes, 1, func(Take, int, int, *Files) error {
		calls++
		return deaf
	})
	left, lerr := os.ReadDir(dir)
	if !errors.Is(err, deaf) || calls != 1 || lerr != nil || len(left) != 0 {
		t.Errorf("got %v after %d calls, and %d files left (%v)", err, calls, len(left), lerr)
	}
}
