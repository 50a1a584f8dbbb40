package catalogue_test

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ashline/metrics/catalogue"
)

// endings are how a path's last part ends by its unit.
var endings = map[string]string{"s": "_s", "m": "_m", "m/s": "_mps", "deg": "_deg", "1": ""}

func TestRowsAreWhole(t *testing.T) {
	t.Parallel()
	sentence := regexp.MustCompile("^[A-Z0-9`].*[.?]$")
	clause := regexp.MustCompile(`^([a-z].*[^.])?$`)
	names := map[string]bool{}
	check := func(path string, w catalogue.Words) {
		for _, s := range []string{w.Plain, w.Frame, w.How} {
			if !sentence.MatchString(s) {
				t.Errorf("%s: %q is no sentence", path, s)
			}
		}
		if !clause.MatchString(w.Never) {
			t.Errorf("%s: %q is no clause", path, w.Never)
		}
		if w.Name == "" || names[w.Name] {
			t.Errorf("%s: its name %q is none of its own", path, w.Name)
		}
		names[w.Name] = true
	}
	for m := range catalogue.NumMetrics {
		r := m.Row()
		check(r.Path, r.Words)
		ending, ok := endings[r.Unit]
		for unit, other := range endings {
			if other != "" && strings.HasSuffix(r.Path, other) && unit != r.Unit {
				ok = false
			}
		}
		if !ok || !strings.HasSuffix(r.Path, ending) {
			t.Errorf("%s: its unit %q is not the one of its name", r.Path, r.Unit)
		}
		if found, ok := catalogue.Find(r.Path); !ok || found != m {
			t.Errorf("%s: found %d, want %d", r.Path, found, m)
		}
		if r.Moment && r.Unit != "s" || r.WidestDeg > 0 && r.Unit != "deg" {
			t.Errorf("%s: unit %q", r.Path, r.Unit)
		}
	}
	for k := range catalogue.NumKeys {
		check(k.Path(), k.Row().Words)
		if found, ok := catalogue.FindKey(k.Path()); !ok || found != k {
			t.Errorf("%s: found %d, want %d", k.Path(), found, k)
		}
	}
	if _, ok := catalogue.Find("plane"); ok {
		t.Error("a group was found as a metric")
	}
}

// JSON writes an object at once: the rows of a group stand together, and a group's own
// metrics stand before those of the groups within it.
func TestRowsStandInOrder(t *testing.T) {
	t.Parallel()
	var order, groups []string
	for _, p := range catalogue.Paths() {
		object := p[:strings.LastIndex(p, ".")]
		if len(order) == 0 || order[len(order)-1] != object {
			if slices.Contains(order, object) {
				t.Errorf("%s stands apart from its group", p)
			}
			order = append(order, object)
		}
		if head, _, _ := strings.Cut(p, "."); !slices.Contains(groups, head) {
			groups = append(groups, head)
		}
	}
	for i, g := range catalogue.Groups {
		if i >= len(groups) || groups[i] != g.Path || g.Title == "" || g.Lead == "" {
			t.Errorf("group %d is %+v, the rows' groups are %q", i, g, groups)
		}
	}
	if len(catalogue.Groups) != len(groups) {
		t.Errorf("%d groups, want %d", len(catalogue.Groups), len(groups))
	}
}

func TestBounds(t *testing.T) {
	t.Parallel()
	if b := (catalogue.Bounds{}); b.Clip(-5) != -5 || b.Clip(math.MaxFloat64) != math.MaxFloat64 {
		t.Error("no bounds bound something")
	}
	b := catalogue.BodyLeadElbowLagDeg.Row().Bounds
	if b.Clip(-1) != 0 || b.Clip(181) != 180 || b.Clip(90) != 90 || !math.IsNaN(b.Clip(math.NaN())) {
		t.Errorf("got %g, %g, %g", b.Clip(-1), b.Clip(181), b.Clip(90))
	}
}

// What a metric rests on holds what its key positions rest on.
func TestNeedsRestOnKeys(t *testing.T) {
	t.Parallel()
	for m := range catalogue.NumMetrics {
		rest := m.Row().Needs.Rest()
		if timed := slices.Contains(rest.At, catalogue.Contact); timed == strings.HasPrefix(m.Path(), "pitch.") {
			t.Errorf("%s: rests on contact: %v", m.Path(), timed)
		}
	}
	rest := catalogue.BodyShoulderOpenDeg.Row().Needs.Rest()
	if !slices.Contains(rest.Joints, catalogue.BackShoulder) || !rest.Of.Has(catalogue.Hands) || !slices.Contains(rest.At, catalogue.Lag) {
		t.Errorf("shoulders opening to slot rest on %+v", rest)
	}
	if !catalogue.TempoLagContactS.Row().Needs.Rest().Of.Has(catalogue.Hands) {
		t.Error("lag to contact does not rest on the hands")
	}
	if got := (catalogue.Scale | catalogue.Hands).Each(); !slices.Equal(got, []catalogue.Things{catalogue.Scale, catalogue.Hands}) {
		t.Errorf("got %v", got)
	}
}
