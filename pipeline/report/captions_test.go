package report_test

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/report"
)

func TestHostileCaptions(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	cues := []report.Cue{{From: 3, To: 9, Text: rude}, {From: 9, To: 12, Text: "plain"}}
	if err := report.WriteCaptions(&b, rude, 30, cues); err != nil {
		t.Fatal(err)
	}
	got := b.String()
	if n := strings.Count(got, "-->"); n != 2 {
		t.Errorf("%d arrows, want 2:\n%s", n, got)
	}
	blocks := strings.Split(strings.TrimRight(got, "\n"), "\n\n")
	if len(blocks) != 3 || !strings.HasPrefix(blocks[0], "WEBVTT ") || strings.Contains(blocks[0], "\n") {
		t.Fatalf("%d blocks, want a head and two cues:\n%s", len(blocks), got)
	}
	cue := regexp.MustCompile(`^\d\d:\d\d:\d\d\.\d{3} --> \d\d:\d\d:\d\d\.\d{3}\n[^\n<>]+$`)
	for _, c := range blocks[1:] {
		if !cue.MatchString(c) {
			t.Errorf("no cue: %q", c)
		}
	}
	if strings.ContainsAny(got, "<\r\x00\u202e\u2066") {
		t.Errorf("captions hold what they should not: %q", got)
	}
}

func TestCaptionTimes(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	if err := report.WriteCaptions(&b, "", 30, []report.Cue{{From: 1, To: 2, Text: "a"}, {From: 30 * 3723, To: 30*3723 + 1, Text: "b"}}); err != nil {
		t.Fatal(err)
	}
	const want = "WEBVTT\n\n00:00:00.033 --> 00:00:00.067\na\n\n01:02:03.000 --> 01:02:03.033\nb\n"
	if b.String() != want {
		t.Errorf("got %q, want %q", b.String(), want)
	}
}

// A cue lasts until the next key position, a moment, or the end of the video, and never
// less than a frame.
func TestCues(t *testing.T) {
	t.Parallel()
	s := marked()
	s.Marks = append([]report.Mark{{Name: "launch", TimeS: -0.2, Frame: 8}}, s.Marks[1:]...)
	s.Marks = append(s.Marks, report.Mark{Name: "lag", TimeS: 0.2, Frame: 99})
	got := report.Cues(result(invented()), video, []report.Swing{s})
	want := [][2]int{{8, 30}, {30, 42}, {38, 55}, {42, 80}, {80, 99}, {99, 100}}
	if len(got) != len(want) {
		t.Fatalf("%d cues, want %d", len(got), len(want))
	}
	for i, c := range got {
		if [2]int{c.From, c.To} != want[i] {
			t.Errorf("cue %d is shown from %d to %d, want %v", i, c.From, c.To, want[i])
		}
	}
	if more := report.Cues(result(), video, []report.Swing{s}); len(more) != 0 {
		t.Errorf("%d cues of no swing", len(more))
	}
}

// A contact that was not seen is called assumed, and so is what hangs on it.
func TestAssumedContactIsCalledSo(t *testing.T) {
	t.Parallel()
	sw := invented()
	sw.Keys.Contact.Status = metrics.Assumed
	sw.Metrics[catalogue.PlaneAttackDeg] = sw.Metrics[catalogue.PlaneAttackDeg].As(metrics.Assumed, "no ball was seen")
	sw.Metrics[catalogue.PitchDescentDeg] = metrics.Lacking("deg", "no ball was seen")
	for _, c := range report.Cues(result(sw), video, []report.Swing{marked()}) {
		const want = "Contact, assumed, barrel rising about 9.7°, barrel 31.0 m/s (69.3 mph)"
		if strings.HasPrefix(c.Text, "Contact") && c.Text != want {
			t.Errorf("got %q, want %q", c.Text, want)
		}
	}
}
