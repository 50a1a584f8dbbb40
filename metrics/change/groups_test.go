package change

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
)

// attack is a clip of swings that have an attack angle and nothing else.
func attack(kind string, values ...metrics.Value) metrics.Result {
	r := metrics.Result{Card: metrics.Card{Kind: kind}}
	for i, v := range values {
		s := metrics.Swing{Index: i}
		s.Metrics[catalogue.PlaneAttackDeg] = v
		r.Swings = append(r.Swings, s)
	}
	return r
}

func got(v, sd float64) metrics.Value { return metrics.Got(v, v-z95*sd, v+z95*sd, "deg") }

func bare(v float64) metrics.Value { return metrics.Got(v, math.NaN(), math.NaN(), "deg") }

func one(r ...metrics.Result) []metrics.Result { return r }

// only is what Groups finds of the attack angle alone.
func only(t *testing.T, before, after []metrics.Result, mix bool) Outcome {
	t.Helper()
	o, err := Groups(before, after, GroupOptions{Mix: mix, Only: []string{"attack_deg"}})
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestGroups(t *testing.T) {
	t.Parallel()
	const noBall = "no pitch line"
	lacks := metrics.Lacking("deg", noBall)
	guess := got(4, 0.5).As(metrics.Assumed, "contact is a guess")
	for _, tc := range []struct {
		name          string
		before, after []metrics.Result
		want          Verdict
		value, half   float64
		swings        string
		missing       string
		status        metrics.Status
		why           string
	}{
		{
			"single swings that differ", one(attack("", got(4, 3))), one(attack("", got(104, 4))),
			SwingsOnly, 100, 5 * z95, "1 and 1", "0 and 0", metrics.Measured, "",
		},
		{
			"single swings that do not", one(attack("", got(4, 3))), one(attack("", got(6, 4))),
			NotTold, 2, 5 * z95, "1 and 1", "0 and 0", metrics.Measured, "",
		},
		{ // Table of Student's t, 97.5 %, 4 degrees: 2.7764; both variances are 1.
			"swings over several clips", one(attack("", bare(3)), attack("", bare(4), bare(5))), one(attack("", bare(8), bare(9), bare(10))),
			Real, 5, 2.7764 * math.Sqrt(2.0/3), "3 and 3", "0 and 0", metrics.Measured, "",
		},
		{ // The single swing borrows the other side's spread, 1, and its 2 degrees: 4.3027.
			"one swing against several", one(attack("", bare(3), bare(4), bare(5))), one(attack("", got(5, 0.1))),
			NotTold, 1, 4.3027 * math.Sqrt(1.0/3+1), "3 and 1", "0 and 0", metrics.Measured, "",
		},
		{
			"missing in one swing", one(attack("", lacks, got(4, 3))), one(attack("", got(104, 4))),
			SwingsOnly, 100, 5 * z95, "1 and 1", "1 and 0", metrics.Measured, "before: " + noBall,
		},
		{
			"assumed after", one(attack("", got(4, 3))), one(attack("", guess)),
			NotTold, 0, math.Hypot(3, 0.5) * z95, "1 and 1", "0 and 0", metrics.Assumed, "after: contact is a guess",
		},
		{
			"assumed in one of two before", one(attack("", guess, got(4.5, 3))), one(attack("", guess)),
			NotTold, -0.25, math.NaN(), "2 and 1", "0 and 0", metrics.Assumed, "contact is a guess",
		},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			o := only(t, tc.before, tc.after, false)
			if len(o.Changes) != 1 || len(o.LeftOut) != 0 {
				t.Fatalf("got %+v", o)
			}
			c := o.Changes[0]
			if c.Metric != "plane.attack_deg" || c.Unit != "deg" || c.Verdict != tc.want || c.Change.Status != tc.status || c.Change.Why != tc.why {
				t.Errorf("got %+v", c)
			}
			near(t, "difference", c.Change.Float(), tc.value, 1e-9)
			if !math.IsNaN(tc.half) {
				near(t, "detectable", c.Detectable, tc.half, 1e-4) // four places in the table
				near(t, "low", *c.Change.Low, tc.value-c.Detectable, 1e-9)
				near(t, "high", *c.Change.High, tc.value+c.Detectable, 1e-9)
			}
			if s := fmt.Sprintf("%d and %d", c.Before.Swings, c.After.Swings); s != tc.swings {
				t.Errorf("got %s swings, want %s", s, tc.swings)
			}
			if m := fmt.Sprintf("%d and %d", c.Before.Missing, c.After.Missing); m != tc.missing {
				t.Errorf("got %s missing, want %s", m, tc.missing)
			}
			if (c.Before.SD != nil) != (c.Before.Swings > 1) || (c.After.SD != nil) != (c.After.Swings > 1) {
				t.Errorf("a spread without several swings, or none with: %+v", c)
			}
		})
	}
}

// Weir's data through results: two single swings, each measured with his standard
// error of measurement, are told apart from his least detectable difference on.
func TestGroupsWeir(t *testing.T) {
	t.Parallel()
	var ref struct {
		SEM, MD95      float64
		Trial1, Trial2 []float64
		MeanDiff       float64 `json:"mean_diff"`
	}
	reference(t, "weir_a", &ref)
	for _, tc := range []struct {
		moved float64
		want  Verdict
	}{{ref.MD95 - 1e-6, NotTold}, {ref.MD95 + 1e-6, SwingsOnly}, {-ref.MD95 - 1e-6, SwingsOnly}} {
		c := only(t, one(attack("", got(150, ref.SEM))), one(attack("", got(150+tc.moved, ref.SEM))), false).Changes[0]
		near(t, "detectable", c.Detectable, ref.MD95, 1e-9)
		if c.Verdict != tc.want {
			t.Errorf("moved by %g: got %q, want %q", tc.moved, c.Verdict, tc.want)
		}
	}
	// His two trials as two groups: the mean difference, far below the spread of
	// the hitters.
	values := func(trial []float64) (out []metrics.Result) {
		for _, v := range trial {
			out = append(out, attack("", got(v, ref.SEM)))
		}
		return out
	}
	c := only(t, values(ref.Trial1), values(ref.Trial2), false).Changes[0]
	near(t, "mean difference", c.Change.Float(), ref.MeanDiff, 1e-9)
	if c.Verdict != NotTold || c.Before.Swings != len(ref.Trial1) {
		t.Errorf("got %+v", c)
	}
}

func TestGroupsLeftOut(t *testing.T) {
	t.Parallel()
	lacks := func(why string) metrics.Value { return metrics.Lacking("deg", why) }
	metres := got(4, 1)
	metres.Unit = "m"
	for _, tc := range []struct {
		name          string
		before, after metrics.Value
		want          []LeftOut
	}{
		{"before", lacks("no line"), got(4, 1), []LeftOut{{"plane.attack_deg", "before", "no line"}}},
		{"after", got(4, 1), lacks("no line"), []LeftOut{{"plane.attack_deg", "after", "no line"}}},
		{"both, one reason", lacks("no line"), lacks("no line"), []LeftOut{{"plane.attack_deg", "both", "no line"}}},
		{
			"both, two reasons", lacks("no line"), lacks("no scale"),
			[]LeftOut{{"plane.attack_deg", "before", "no line"}, {"plane.attack_deg", "after", "no scale"}},
		},
		{"not in the file", metrics.Value{}, got(4, 1), []LeftOut{{"plane.attack_deg", "before", "the file does not hold it"}}},
		{"units", metres, got(4, 1), []LeftOut{{"plane.attack_deg", "both", "units are unlike: m and deg"}}},
		{
			"no interval", bare(1), bare(2),
			[]LeftOut{{"plane.attack_deg", "both", "nothing says how uncertain it is: neither an interval nor swings that differ"}},
		},
		{"too large", got(-1e308, 1e307), got(1e308, 1e307), []LeftOut{{"plane.attack_deg", "both", "the values are too large to be compared"}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			o := only(t, one(attack("", tc.before)), one(attack("", tc.after)), false)
			if len(o.Changes) != 0 || !slices.Equal(o.LeftOut, tc.want) {
				t.Errorf("got %+v, want %+v", o, tc.want)
			}
			if _, err := json.Marshal(o); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestGroupsKinds(t *testing.T) {
	t.Parallel()
	tee, live := attack("tee", got(4, 1)), attack("live", got(5, 1))
	for _, tc := range []struct {
		name          string
		before, after []metrics.Result
		a, b          string
	}{
		{"between the groups", one(tee), one(live), "tee", "live"},
		{"left to the default", one(tee), one(attack("", got(5, 1))), "tee", "live"},
		{"within a group", one(live, tee), one(live), "live, tee", "live"},
		{"the same two on both sides", one(live, tee), one(live, tee), "live, tee", "live, tee"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			_, err := Groups(tc.before, tc.after, GroupOptions{})
			var unlike *UnlikeError
			if !errors.As(err, &unlike) || !errors.Is(err, ErrUnlike) || unlike.Field != "kind" || unlike.A != tc.a || unlike.B != tc.b {
				t.Fatalf("got %v", err)
			}
			o := only(t, tc.before, tc.after, true)
			if !o.MixedKinds || len(o.Changes) != 1 || len(o.Notes) == 0 || !strings.HasPrefix(o.Notes[0], "kind is unlike: before "+tc.a) {
				t.Errorf("got %+v", o)
			}
		})
	}
	if o := only(t, one(live), one(attack("", got(5, 1))), true); o.MixedKinds || len(o.Notes) > 0 {
		t.Errorf("alike kinds where mixing is allowed: got %+v", o)
	}
}

func TestGroupsNotes(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		with func(r *metrics.Result)
		want string // "" for none
	}{
		{"alike", func(*metrics.Result) {}, ""},
		{"hitter", func(r *metrics.Result) { r.Card.Hitter = "fh-002" }, "hitter is unlike: before fh-001; after fh-002"},
		{"no hitter", func(r *metrics.Result) { r.Card.Hitter = "" }, "hitter is unlike: before fh-001; after not given"},
		{"left", func(r *metrics.Result) { r.Card.Bats = "left" }, "bats is unlike: before right; after left"},
		{"right said", func(r *metrics.Result) { r.Card.Bats = "right" }, ""},
		{"side", func(r *metrics.Result) { r.Card.Camera.Side = "closed" }, "camera side is unlike: before open; after closed"},
		{"zone", func(r *metrics.Result) { r.Card.Tolerances.DirectionDeg = 5 }, "limits of zone and solid contact is unlike: before 10°"},
		{"zone said", func(r *metrics.Result) { r.Card.Tolerances.DirectionDeg = 10 }, ""},
		{"depth", func(r *metrics.Result) { r.Quality.Frame = "plane" }, "depth is unlike: before lifted; after plane"},
		{"program", func(r *metrics.Result) { r.Program = "2" }, "program is unlike: before 1; after 2"},
		{"clip", func(r *metrics.Result) { r.Clip.SHA256 = "aa" }, "clip aa is on both sides"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			filmed := func(sum string) metrics.Result {
				r := attack("", got(4, 1))
				r.Card.Hitter, r.Quality.Frame, r.Program, r.Clip.SHA256 = "fh-001", "lifted", "1", sum
				return r
			}
			after := filmed("bb")
			tc.with(&after)
			o := only(t, one(filmed("aa")), one(after), false)
			if tc.want == "" && len(o.Notes) > 0 || tc.want != "" && (len(o.Notes) != 1 || !strings.HasPrefix(o.Notes[0], tc.want)) {
				t.Errorf("got %q, want %q", o.Notes, tc.want)
			}
		})
	}
}

func TestGroupsRefuse(t *testing.T) {
	t.Parallel()
	full := one(attack("", got(4, 1)))
	for _, empty := range [][]metrics.Result{nil, one(attack(""))} {
		if _, err := Groups(empty, full, GroupOptions{}); !errors.Is(err, ErrEmpty) {
			t.Errorf("before: got %v", err)
		}
		if _, err := Groups(full, empty, GroupOptions{}); !errors.Is(err, ErrEmpty) {
			t.Errorf("after: got %v", err)
		}
	}
	var unknown *UnknownError
	if _, err := Groups(full, full, GroupOptions{Only: []string{"atack"}}); !errors.As(err, &unknown) {
		t.Errorf("got %v", err)
	}
}

// Groups is Compare for every metric, and leaves its inputs as they are.
func TestGroupsAllMetrics(t *testing.T) {
	t.Parallel()
	full := func(by float64) metrics.Result {
		var s metrics.Swing
		for m := range s.Metrics {
			s.Metrics[m] = got(by, 1)
		}
		return metrics.Result{Swings: []metrics.Swing{s}}
	}
	before, after := one(full(1)), one(full(11))
	was, err := json.Marshal(before)
	if err != nil {
		t.Fatal(err)
	}
	o, err := Groups(before, after, GroupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, c := range o.Changes {
		names = append(names, c.Metric)
		near(t, c.Metric, c.Change.Float(), 10, 1e-9)
	}
	if !slices.Equal(names, catalogue.Paths()) {
		t.Errorf("got %q, want %q", names, catalogue.Paths())
	}
	if len(o.Notes) != 1 || o.Notes[0] != chance {
		t.Errorf("got %q", o.Notes)
	}
	if is, err := json.Marshal(before); err != nil || !bytes.Equal(is, was) {
		t.Errorf("the input was changed: %v", err)
	}
}

func TestChoose(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		words   string
		want    string
		nearest string // for an unknown word
	}{
		{"plane.attack_deg", "plane.attack_deg", ""},
		{"attack_deg", "plane.attack_deg", ""},
		{"plane", "plane.attack_deg plane.gap_deg plane.offset_m", ""},
		{"zone.near", "zone.near.enter_s zone.near.leave_s zone.near.duration_s", ""},
		{"enter_s", "zone.enter_s zone.near.enter_s zone.along.enter_s", ""},
		{"tempo.lag_contact_s plane attack_deg", "plane.attack_deg plane.gap_deg plane.offset_m tempo.lag_contact_s", ""},
		{"atack", "", "attack_deg"},
		{"attack_degg", "", "attack_deg"},
		{"zoen", "", "zone"},
		{"ATTACK_DEG", "", "attack_deg"},
		{"speed.barrel", "", "speed.barrel_peak_mps"},
		{"plane.", "", "plane.gap_deg"},
		{"plane zonne", "", "zone"},
	} {
		t.Run(tc.words, func(t *testing.T) {
			t.Parallel()
			chosen, err := Choose(strings.Fields(tc.words))
			names := make([]string, len(chosen))
			for i, m := range chosen {
				names[i] = m.Path()
			}
			var unknown *UnknownError
			switch {
			case tc.nearest != "" && (!errors.As(err, &unknown) || unknown.Nearest != tc.nearest):
				t.Errorf("got %v, want nearest %q", err, tc.nearest)
			case tc.nearest == "" && (err != nil || strings.Join(names, " ") != tc.want):
				t.Errorf("got %q, %v", names, err)
			}
		})
	}
	if all, err := Choose(nil); err != nil || len(all) != len(catalogue.Paths()) {
		t.Errorf("got %v, %v", all, err)
	}
	// However odd the word, something is named.
	for _, w := range []string{"", "?", strings.Repeat("x", 1000), "é\xff"} {
		var unknown *UnknownError
		if _, err := Choose([]string{w}); !errors.As(err, &unknown) || unknown.Nearest == "" {
			t.Errorf("%q: got %v", w, err)
		}
	}
}

// The field names are a contract: they keep their names.
func TestOutcomeJSON(t *testing.T) {
	t.Parallel()
	before := attack("tee", got(4, 1), got(5, 1), metrics.Lacking("deg", "no line"))
	o, err := Groups(one(before), one(attack("tee", got(9, 1))), GroupOptions{Only: []string{"attack_deg", "gap_deg"}})
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	var tree map[string]any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	keys := func(at any) string {
		m, ok := at.(map[string]any)
		if !ok {
			t.Fatalf("not an object: %v", at)
		}
		return strings.Join(slices.Sorted(maps.Keys(m)), " ")
	}
	first := func(at any) any { return at.([]any)[0] }
	c := first(tree["changes"]).(map[string]any)
	for _, tc := range []struct {
		what string
		at   any
		want string
	}{
		{"outcome", tree, "after before changes left_out mixed_kinds notes program schema"},
		{"group", tree["before"], "clips swings"},
		{"clip", first(tree["before"].(map[string]any)["clips"]), "bats hitter kind label session sha256 swings"},
		{"change", c, "after before change detectable metric unit verdict"},
		{"mean", c["before"], "missing_swings sd status swings value why"},
		{"mean of one swing", c["after"], "missing_swings sd status swings value"},
		{"value", c["change"], "high low status unit value why"},
		{"left out", first(tree["left_out"]), "metric side why"},
	} {
		if got := keys(tc.at); got != tc.want {
			t.Errorf("%s: got %q, want %q", tc.what, got, tc.want)
		}
	}
	if tree["schema"] != "ashline.change/1.0" || c["verdict"] != "real" || c["after"].(map[string]any)["sd"] != nil {
		t.Errorf("got %s", text)
	}
}

// Readings that agree to the last digit, and values at the ends of the range of
// numbers, must give numbers or an error.
func TestCompareAtTheEdges(t *testing.T) {
	t.Parallel()
	for _, v := range [][2][]Reading{
		{plain(1, 1), plain(2, 2)},
		{plain(1, 1), plain(2)},
		{plain(1e-200, 2e-200), plain(3e-200, 5e-200)},
		{plain(1e200, 2e200), plain(3e200, 5e200)},
		{plain(1, 1), plain(2, 3)},
	} {
		d, err := Compare(v[0], v[1], Options{})
		if errors.Is(err, ErrNoSpread) {
			continue
		}
		if err != nil || math.IsNaN(d.DoF) || d.DoF <= 0 || math.IsNaN(d.Detectable) {
			t.Errorf("%v: got %+v, %v", v, d, err)
		}
	}
	if _, err := Compare(plain(1, 1), plain(2, 2), Options{}); !errors.Is(err, ErrNoSpread) {
		t.Errorf("got %v, want %v", err, ErrNoSpread)
	}
}
