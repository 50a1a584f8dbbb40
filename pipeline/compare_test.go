package pipeline

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/media"
	"ashline/pipeline/scene"
)

// keysAt are key positions at times from contact.
func keysAt(launch, lag, finish float64) metrics.Keys {
	key := func(s float64) metrics.Key { return metrics.Key{TimeS: &s, Status: metrics.Measured} }
	return metrics.Keys{Launch: key(launch), Lag: key(lag), Contact: key(0), Finish: key(finish)}
}

// slower is a swing whose times from contact are k times as long, at another time of
// its clip.
func slower(k float64) moments {
	m := usualSwing()
	from := func(t float64) float64 { return 1.7 + k*(t-m.contactS) }
	return moments{
		startS: from(m.startS), launchS: from(m.launchS), contactS: 1.7, finishS: from(m.finishS), endS: from(m.endS),
		zoneFromS: from(m.zoneFromS), zoneToS: from(m.zoneToS),
	}
}

func TestInStep(t *testing.T) {
	t.Parallel()
	a, b := usualSwing(), slower(1.4)
	keys := [2]metrics.Keys{keysAt(-0.16, -0.05, 0.19), keysAt(-0.21, -0.06, 0.25)}
	frames, shared := inStep(a, anchors(AlignKeys, [2]moments{a, b}, keys))
	if len(shared) != 4 {
		t.Fatalf("shared key positions %v", shared)
	}
	// What each frame of the video shows.
	var video []pair
	for _, p := range frames {
		for range 1 + p.hold {
			video = append(video, p)
		}
	}
	for _, k := range shared {
		for i, m := range []moments{a, b} {
			if got, want := video[k.Frame].at[i], m.contactS+*keys[i].Of(k.Name).TimeS; math.Abs(got-want) > 1e-12 {
				t.Errorf("%s of clip %d: frame %d shows %.4f s, want %.4f", k.Name, i, k.Frame, got, want)
			}
		}
	}
	for i := 1; i < len(frames); i++ {
		for side := range 2 {
			if frames[i].at[side] <= frames[i-1].at[side] {
				t.Fatalf("clip %d: frame %d shows %.4f s after %.4f", side, i, frames[i].at[side], frames[i-1].at[side])
			}
		}
	}
	if first, last := frames[0], frames[len(frames)-1]; first.at[0] > a.startS+1e-9 || first.at[1] > b.startS+1e-9 || last.at[0] < a.endS-1e-9 || last.at[1] < b.endS-1e-9 {
		t.Errorf("from %v to %v leaves out a part of a swing", first.at, last.at)
	}
}

func TestAlignedAtContact(t *testing.T) {
	t.Parallel()
	a, b := usualSwing(), slower(1.4)
	keys := [2]metrics.Keys{keysAt(-0.16, -0.05, 0.19), keysAt(-0.21, -0.06, 0.25)}
	frames, shared := inStep(a, anchors(AlignContact, [2]moments{a, b}, keys))
	if len(shared) != 1 || shared[0].Name != "contact" {
		t.Fatalf("shared key positions %v, want contact alone", shared)
	}
	for _, p := range frames {
		if d := (p.at[0] - a.contactS) - (p.at[1] - b.contactS); math.Abs(d) > 1e-12 {
			t.Fatalf("%.4f s and %.4f s from contact on one frame", p.at[0]-a.contactS, p.at[1]-b.contactS)
		}
	}
}

// A key position that one clip lacks, or has in another order, is left out of the step.
func TestAnchorsNeedBothClips(t *testing.T) {
	t.Parallel()
	a, b := usualSwing(), slower(1)
	without := keysAt(-0.16, -0.05, 0.19)
	without.Launch = metrics.Key{Status: metrics.Missing}
	for _, c := range []struct {
		name  string
		other metrics.Keys
		want  int
	}{{"all", keysAt(-0.2, -0.1, 0.2), 4}, {"no launch", without, 3}, {"lag before launch", keysAt(-0.1, -0.12, 0.2), 3}} {
		_, shared := inStep(a, anchors(AlignKeys, [2]moments{a, b}, [2]metrics.Keys{keysAt(-0.16, -0.05, 0.19), c.other}))
		if len(shared) != c.want {
			t.Errorf("%s: %v, want %d key positions", c.name, shared, c.want)
		}
	}
}

// Two rendered hitters of either side, at rates of their own.
func TestCompareScenes(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	job := CompareJob{OutDir: filepath.Join(dir, "out"), Mix: true}
	for i, p := range []scene.Params{scene.Random(1, scene.Clean), scene.Random(2, scene.Left)} {
		p.WidthPx, p.HeightPx, p.LeadInS, p.RunOutS, p.Side = 640, 360, 0.45, 0.35, "open"
		p.Bats = "right"
		if i == 1 {
			p.Bats = "left"
			p.FPS, p.FileFPS = 180, 180
		}
		files, err := scene.Write(t.Context(), dir, sideNames[i], p, scene.WriteOptions{Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		job.Clips[i] = Job{Clip: files.Clip}
	}
	out, err := Compare(t.Context(), job)
	if err != nil {
		t.Fatal(err)
	}
	if !out.Mirrored || len(out.Keys) < 3 {
		t.Errorf("mirrored %v, key positions %v", out.Mirrored, out.Keys)
	}
	for i, r := range out.results {
		for _, k := range out.Keys {
			// The frame of the video that shows the clip's frame nearest to the key position.
			want, best := -1, math.Inf(1)
			for j, f := range out.Shown {
				if d := math.Abs(float64(f[i]) - *r.Swings[0].Keys.Of(k.Name).Frame); d < best {
					want, best = j, d
				}
			}
			if best > 0.51 || k.Frame < want-1 || k.Frame > want+1+keyHold {
				t.Errorf("%s: clip %d shows it on frame %d of the video, the comparison says %d", k.Name, i, want, k.Frame)
			}
		}
	}
	text, err := os.ReadFile(filepath.Join(job.OutDir, "compare.json"))
	if err != nil {
		t.Fatal(err)
	}
	var back Comparison
	if err := json.Unmarshal(text, &back); err != nil || back.Frames != out.Frames {
		t.Errorf("compare.json: %v, %d frames, want %d", err, back.Frames, out.Frames)
	}
	path := filepath.Join(job.OutDir, "compare.mp4")
	info, err := media.Probe(t.Context(), path, media.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	dec, err := media.Open(t.Context(), path, info, media.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer dec.Close()
	n := 0
	var f media.Frame
	for ; ; n++ {
		if err := dec.Next(&f); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if n != out.Frames {
		t.Errorf("%d frames in the video, want %d", n, out.Frames)
	}
}

func TestTitles(t *testing.T) {
	t.Parallel()
	of := func(label, hitter string) *side {
		return &side{measured: &measured{card: metrics.Card{Label: label, Hitter: hitter}}}
	}
	for _, c := range []struct {
		a, b *side
		want [2]string
	}{
		{of("april", "fh-1"), of("june", "fh-1"), [2]string{"april", "june"}},
		{of("", "fh-1"), of("", "fh-2"), [2]string{"fh-1", "fh-2"}},
		{of("swing", "fh-1"), of("swing", "fh-1"), sideNames},
		{of("a\x1b[2J\nb", ""), of("a very long label that nobody can read", ""), [2]string{"a[2J b", "a very long label t…"}},
	} {
		if got := titles([2]*side{c.a, c.b}); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
