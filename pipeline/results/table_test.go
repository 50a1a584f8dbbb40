package results

import (
	"errors"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/metrics/change"
)

func TestWriteChange(t *testing.T) {
	t.Parallel()
	clip := func(hitter string, attack, enter, offset metrics.Value) metrics.Result {
		r := metrics.Result{Card: metrics.Card{Hitter: hitter, Kind: "tee", Session: "2026-04-11"}, Swings: []metrics.Swing{{}}}
		s := &r.Swings[0]
		s.Metrics[catalogue.PlaneAttackDeg], s.Metrics[catalogue.ZoneEnterS], s.Metrics[catalogue.PlaneOffsetM] = attack, enter, offset
		s.Metrics[catalogue.PlaneGapDeg] = metrics.Lacking("deg", "no pitch line")
		return r
	}
	enter := metrics.Got(-0.012, -0.013, -0.011, "s")
	offset := metrics.Got(0.01, 0, 0.02, "m")
	guess := metrics.Got(4, 3, 5, "deg").As(metrics.Assumed, "contact is a guess")
	before := []metrics.Result{
		clip("fh-001", guess, enter, offset),
		clip("fh-002", metrics.Got(4.2, 3.2, 5.2, "deg"), metrics.Lacking("s", "never near"), offset),
	}
	after := []metrics.Result{clip("fh-001", metrics.Got(12, 11, 13, "deg"), metrics.Got(-0.02, -0.021, -0.019, "s"), offset)}
	o, err := change.Groups(before, after, change.GroupOptions{Only: []string{"plane", "zone.enter_s"}})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := WriteChange(&b, o); err != nil {
		t.Fatal(err)
	}
	const want = `before  2 swings in 2 clips, fh-001 and fh-002, 2026-04-11, tee, bats right
after   1 swing in 1 clip, fh-001, 2026-04-11, tee, bats right

metric            before   after   change       95 % interval  unit  detectable
plane.attack_deg    *4.1    12.0     +7.9          [6.7, 9.1]  deg          1.2  real
plane.offset_m     0.010   0.010    0.000     [-0.012, 0.012]  m          0.012  not told from noise
zone.enter_s     -0.0120  -0.0200  -0.0080  [-0.0094, -0.0066]  s         0.0014  one swing each: between these swings only

* assumed
  before: contact is a guess
    plane.attack_deg

known in part
  before, 1 of 2 swings: never near
    zone.enter_s

left out
  both sides: no pitch line
    plane.gap_deg

note: hitter is unlike: before fh-001, fh-002; after fh-001
note: of metrics that did not change, about one in twenty reads as real by chance
`
	if got := b.String(); squeeze(got) != squeeze(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	// The columns stand under each other: every row's unit begins at one place.
	lines := strings.Split(b.String(), "\n")
	at := strings.Index(lines[3], "unit")
	for i, unit := range []string{"deg", "m", "s"} {
		if !strings.HasPrefix(lines[4+i][at:], unit+" ") {
			t.Errorf("unit of %q is not at %d", lines[4+i], at)
		}
	}
}

// squeeze takes runs of blanks as one.
func squeeze(s string) string {
	var lines []string
	for line := range strings.Lines(s) {
		lines = append(lines, strings.Join(strings.Fields(line), " "))
	}
	return strings.Join(lines, "\n")
}

func TestWriteChangeNothingInCommon(t *testing.T) {
	t.Parallel()
	r := []metrics.Result{{Swings: []metrics.Swing{{}}}}
	o, err := change.Groups(r, r, change.GroupOptions{Only: []string{"attack_deg"}})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := WriteChange(&b, o); err != nil || !strings.Contains(b.String(), "none of the metrics asked for is known on both sides") {
		t.Errorf("got %q, %v", b.String(), err)
	}
}

// full is a place to write that has no room.
type full struct{}

var errFull = errors.New("no room")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestWriteChangeSaysWhenItCannot(t *testing.T) {
	t.Parallel()
	if err := WriteChange(full{}, change.Outcome{}); !errors.Is(err, errFull) {
		t.Errorf("got %v, want %v", err, errFull)
	}
}

func TestNumber(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		v      float64
		places int
		want   string
	}{
		{9.8193, 1, "9.8"},
		{-0.04, 1, "0.0"},
		{-0.06, 1, "-0.1"},
		{0, 0, "0"},
		{100, 0, "100"},
		{-1e300, 0, "-1e+300"},
	} {
		if got := number(tc.v, tc.places); got != tc.want {
			t.Errorf("%g to %d places: got %q, want %q", tc.v, tc.places, got, tc.want)
		}
	}
}
