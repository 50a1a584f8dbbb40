package bench

import (
	"bytes"
	"encoding/json"
	"image"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/scene"
)

// small is a scene that renders in a second or two.
func small(hidden int) scene.Params {
	return scene.Params{
		Seed: 5, WidthPx: 960, HeightPx: 540, LeadInS: 0.32, RunOutS: 0.18, HideFrames: hidden, HideAtS: -0.07,
	}
}

// TestRunTrack measures two small scenes, one of which hides the barrel. The
// long form, over all families, is the command `ashline-lab bench track`.
func TestRunTrack(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	cases := []Case{{Family: scene.Clean, Seed: 5}, {Family: scene.Hidden12, Seed: 5}}
	for i, name := range []string{"clean-5", "hidden12-5"} {
		if _, err := scene.Write(t.Context(), dir, name, small(12*i), scene.WriteOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	told := 0
	outs, err := RunTrack(t.Context(), TrackOptions{Cases: cases, Dir: dir, Rivals: true, Each: func(TrackOutcome) { told++ }})
	if err != nil {
		t.Fatal(err)
	}
	if told != 2 {
		t.Errorf("told of %d outcomes, want 2", told)
	}
	for i, o := range outs {
		if o.Err != nil {
			t.Fatal(o.Err)
		}
		t.Log(o.Line())
		if got := len(o.AroundPx) + len(o.CarriedPx) + o.Empty; got != o.Frames || got < 70 {
			t.Errorf("case %d: %d frames judged of %d, want all and at least 70", i, got, o.Frames)
		}
		if len(o.Sides) != 4 || o.Sides[0].Name != ownName {
			t.Fatalf("case %d: sides %v", i, o.Sides)
		}
		if own := o.Sides[0]; own.Lost || own.CPUMS <= 0 {
			t.Errorf("case %d: lost %v, %.2f ms", i, own.Lost, own.CPUMS)
		}
		for _, s := range o.Sides {
			if s.Frames != o.Sides[0].Frames || len(s.TIoU) != s.Frames || len(s.ErrorsPx) != s.Known {
				t.Errorf("case %d, %s: %d frames, %d known, %d overlaps, %d errors", i, s.Name, s.Frames, s.Known, len(s.TIoU), len(s.ErrorsPx))
			}
		}
	}
	if n := len(outs[0].HiddenPx); n != 0 {
		t.Errorf("clean: %d hidden frames, want none", n)
	}
	if n := len(outs[1].HiddenPx) + outs[1].Empty; n < 10 {
		t.Errorf("hidden12: %d frames hidden or empty, want about 12", n)
	}
	checkReport(t, ReportTrack(outs))
}

func checkReport(t *testing.T, r TrackReport) {
	t.Helper()
	if len(r.Rows) != 3 || r.Rows[2].Family != "all" || r.Rows[2].Scenes != 2 || len(r.Sides) != 12 {
		t.Fatalf("got %d rows and %d sides, want clean, hidden12, all and four trackers each", len(r.Rows), len(r.Sides))
	}
	var text bytes.Buffer
	if err := r.Write(&text); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"wrong object", "hidden12", "CSRT", "KCF", "MIL", ownName} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("table without %q:\n%s", want, text.String())
		}
	}
	if _, err := json.Marshal(r); err != nil {
		t.Errorf("JSON: %v", err)
	}
}

// truthOf is the truth of a scene that is not rendered, and its path as spots.
func truthOf(t *testing.T, p scene.Params) (scene.Truth, []spot) {
	t.Helper()
	s, err := scene.New(p)
	if err != nil {
		t.Fatal(err)
	}
	truth := s.Truth()
	var spots []spot
	for _, f := range truth.Frames {
		spots = append(spots, spot{TimeS: f.TimeS - truth.Frames[0].TimeS, XPx: f.Barrel.XPx, YPx: f.Barrel.YPx, How: metrics.Seen})
	}
	return truth, spots
}

func TestOwnSideOfTheTruthIsPerfect(t *testing.T) {
	t.Parallel()
	truth, spots := truthOf(t, small(0))
	first, last, err := sideSpan(truth)
	if err != nil {
		t.Fatal(err)
	}
	if from := truth.Frames[first].TimeS; from < -0.2 || from > -0.19 {
		t.Errorf("span starts at %.4f s, want just after -0.2 s", from)
	}
	s := ownSide(truth, spots, truth.Params.ShutterS, first, last)
	// The true streak is a chord of a curved path, and impact kinks it.
	if s.Lost || s.Known != s.Frames || rms(s.ErrorsPx) > 1e-6 || mean(s.TIoU) < 0.99 {
		t.Errorf("lost %v, %d of %d known, %.3g px, TIoU %.4f", s.Lost, s.Known, s.Frames, rms(s.ErrorsPx), mean(s.TIoU))
	}
	still := ownSide(truth, spots, 0, first, last)
	if mean(still.TIoU) >= mean(s.TIoU) {
		t.Errorf("without motion in the exposure TIoU %.4f, not less than %.4f", mean(still.TIoU), mean(s.TIoU))
	}
	for i := range spots {
		spots[i].XPx += 3
		spots[i].YPx -= 4
	}
	if s = ownSide(truth, spots, truth.Params.ShutterS, first, last); math.Abs(rms(s.ErrorsPx)-5) > 1e-6 {
		t.Errorf("shifted by 5 px: %.6f px", rms(s.ErrorsPx))
	}
	// Discs 5 px apart, of a radius that changes little with depth.
	if want := discIoU(5, barrelRadiusPx(truth, truth.Frames[last])); math.Abs(mean(s.TIoU)-want) > 0.05 {
		t.Errorf("shifted by 5 px: TIoU %.3f, want about %.3f", mean(s.TIoU), want)
	}
}

func TestSideLost(t *testing.T) {
	t.Parallel()
	truth, _ := truthOf(t, small(0))
	f := truth.Frames[50]
	here := Glide{f.Barrel.XPx, f.Barrel.YPx, f.Barrel.XPx, f.Barrel.YPx}
	away := Glide{here.FromX + 100, here.FromY, here.ToX + 100, here.ToY}
	tests := []struct {
		name  string
		steps string // o on the barrel, x off it, - no place
		want  bool
	}{
		{"held", "oooooo", false},
		{"off and back", "oxxxxo", false},
		{"two at the end", "ooooxx", false},
		{"off to the end", "oooxxx", true},
		{"no place to the end", "oox---", true},
		{"never on it", "xxxxxx", true},
	}
	for _, tt := range tests {
		var s Side
		for _, c := range tt.steps {
			if c == 'x' {
				s.add(truth, f, away, true)
			} else {
				s.add(truth, f, here, c == 'o')
			}
		}
		if s.Lost != tt.want || s.Frames != len(tt.steps) {
			t.Errorf("%s: lost %v in %d frames, want %v", tt.name, s.Lost, s.Frames, tt.want)
		}
	}
}

func TestBandBox(t *testing.T) {
	t.Parallel()
	truth, _ := truthOf(t, small(0))
	picture := image.Rect(0, 0, truth.Params.WidthPx, truth.Params.HeightPx)
	for _, i := range []int{20, 60, 100} {
		f := truth.Frames[i]
		box := bandBox(truth, f)
		x, y := float64(box.Min.X+box.Max.X-1)/2, float64(box.Min.Y+box.Max.Y-1)/2
		if e := math.Hypot(x-f.Barrel.XPx, y-f.Barrel.YPx); e > 1 || !box.In(picture) {
			t.Errorf("frame %d: box %v is %.2f px off the band", i, box, e)
		}
		if r := barrelRadiusPx(truth, f); float64(box.Dx()) < 2*r || float64(box.Dx()) > 8*r {
			t.Errorf("frame %d: box %v does not suit a radius of %.1f px", i, box, r)
		}
	}
}

func TestSideSpanNeedsTheBand(t *testing.T) {
	t.Parallel()
	truth, _ := truthOf(t, small(0))
	for i := range truth.Frames {
		truth.Frames[i].Barrel.Visible = 0.4
	}
	if _, _, err := sideSpan(truth); err == nil {
		t.Error("a span without the band in sight")
	}
}

func TestReadSpots(t *testing.T) {
	t.Parallel()
	const head = "frame,t_s,barrel_x_px,barrel_y_px,barrel_sd_px,barrel_how\n"
	tests := []struct {
		name, text string
		want       []spot
		bad        bool
	}{
		{"two rows", head + "0,0.000,1.5,2.5,0.3,seen\n1,0.004,,,,\n", []spot{{0, 1.5, 2.5, metrics.Seen}, {TimeS: 0.004}}, false},
		{"no column", "frame,t_s\n0,0\n", nil, true},
		{"no number", head + "0,0.000,x,2.5,0.3,seen\n", nil, true},
		{"empty", "", nil, true},
	}
	for _, tt := range tests {
		path := filepath.Join(t.TempDir(), "track.csv")
		if err := os.WriteFile(path, []byte(tt.text), 0o600); err != nil {
			t.Fatal(err)
		}
		got, err := readSpots(path)
		if (err != nil) != tt.bad || len(got) != len(tt.want) {
			t.Errorf("%s: got %v, %v", tt.name, got, err)
			continue
		}
		for i := range got {
			if got[i] != tt.want[i] {
				t.Errorf("%s: row %d: got %v, want %v", tt.name, i, got[i], tt.want[i])
			}
		}
	}
}

func TestGlide(t *testing.T) {
	t.Parallel()
	spots := []spot{{0, 10, 0, metrics.Seen}, {0.004, 14, 2, metrics.Flow}, {0.008, 18, 4, metrics.Filled}, {TimeS: 0.012}}
	// 1000 px/s and 500 px/s, over half a millisecond to either side.
	if g, ok := glide(spots, 1, 0.001); !ok || math.Abs(g.FromX-13.5) > 1e-9 || math.Abs(g.ToX-14.5) > 1e-9 || math.Abs(g.ToY-2.25) > 1e-9 {
		t.Errorf("got %v, %v", g, ok)
	}
	if g, ok := glide(spots, 2, 0.001); !ok || math.Abs(g.ToX-18.5) > 1e-9 {
		t.Errorf("one neighbour: got %v, %v", g, ok)
	}
	if _, ok := glide(spots, 3, 0.001); ok {
		t.Error("a place where none is known")
	}
}
