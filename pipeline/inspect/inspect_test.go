package inspect

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/card"
	"ashline/pipeline/draw"
	"ashline/pipeline/fault"
	"ashline/pipeline/follow"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/scene"
)

// debugged is a small rendered swing as far as it was followed.
type debugged struct {
	clip  string
	truth scene.Truth
	s     follow.Sightings
	found follow.Found
	study metrics.Study
}

func setupDebug(t *testing.T) debugged {
	t.Helper()
	p := scene.Random(1, scene.Clean)
	p.WidthPx, p.HeightPx, p.LeadInS, p.RunOutS = 640, 360, 0.3, 0.2
	files, err := scene.Write(t.Context(), t.TempDir(), "swing", p, scene.WriteOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	sc, err := scene.New(p)
	if err != nil {
		t.Fatal(err)
	}
	c, err := card.Load(card.Beside(files.Clip)...)
	if err != nil {
		t.Fatal(err)
	}
	d := debugged{clip: files.Clip, truth: sc.Truth()}
	if d.s, err = follow.Watch(t.Context(), d.clip, c, nil); err != nil {
		t.Fatal(err)
	}
	if d.found, err = follow.Follow(t.Context(), d.s, c, nil, nil); err != nil {
		t.Fatal(err)
	}
	d.study = metrics.Measure(d.found.Track, c, nil)
	return d
}

func TestDebugOfScene(t *testing.T) {
	t.Parallel()
	d := setupDebug(t)
	t.Run("measured", func(t *testing.T) {
		t.Parallel()
		dir := filepath.Join(t.TempDir(), "out")
		if err := Write(t.Context(), d.s, d.found, d.study, Options{Dir: dir}); err != nil {
			t.Fatal(err)
		}
		checkDebugVideo(t, dir, len(d.s.TimesS))
		text := readText(t, filepath.Join(dir, "debug.txt"))
		in := d.found.Track.Balls[0].In
		for _, want := range []string{
			"mark barrel", "mark hands", "640 × 360 px upright", "where the ball's path turns", "points;", "ms from streaks",
			fmt.Sprintf("%d sightings, frames %d to %d", len(in), in[0].Frame, in[len(in)-1].Frame),
		} {
			if !strings.Contains(text, want) {
				t.Errorf("debug.txt lacks %q:\n%s", want, text)
			}
		}
	})
	t.Run("not measured", func(t *testing.T) {
		t.Parallel()
		dir := t.TempDir()
		cause := fmt.Errorf("%w: the colour leads nowhere", fault.ErrNoMark)
		if err := Write(t.Context(), d.s, follow.Found{}, metrics.Study{}, Options{Dir: dir, Cause: cause}); err != nil {
			t.Fatal(err)
		}
		checkDebugVideo(t, dir, len(d.s.TimesS))
		text := readText(t, filepath.Join(dir, "debug.txt"))
		for _, want := range []string{"not measured: " + cause.Error(), "none looked for", "patches"} {
			if !strings.Contains(text, want) {
				t.Errorf("debug.txt lacks %q:\n%s", want, text)
			}
		}
	})
	t.Run("pictures", func(t *testing.T) {
		t.Parallel()
		d.checkPictures(t)
	})
}

func readText(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func checkDebugVideo(t *testing.T, dir string, frames int) {
	t.Helper()
	path := filepath.Join(dir, "debug.mp4")
	info, err := media.Probe(t.Context(), path, media.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if info.Width != 640 || info.Height <= 360 || math.Abs(info.FileFPS-footage.ShownFPS) > 0.01 {
		t.Errorf("got %d × %d at %g frames/s, want 640 px wide, more than 360 high, %g", info.Width, info.Height, info.FileFPS, footage.ShownFPS)
	}
	dec, err := media.Open(t.Context(), path, info, media.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer dec.Close()
	n := 0
	for _, err := range dec.Frames() {
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	if n != frames {
		t.Errorf("got %d frames, want %d", n, frames)
	}
}

// checkPictures compares the drawn frames with the scene's truth: where the band
// truly is something was drawn, the far turf is as filmed, and the strip's pointer
// stands at the frame.
func (d debugged) checkPictures(t *testing.T) {
	in, err := newInspection(d.s, d.found, d.study, nil)
	if err != nil {
		t.Fatal(err)
	}
	frames, every := chooseFrames(d.s.TimesS, in.spans)
	sh := newSheet(in, frames, every)
	y, u, v := d.s.Info.Space().YUV(draw.PitchLine.R, draw.PitchLine.G, draw.PitchLine.B)
	if every != 1 || len(frames) != len(d.s.TimesS) {
		t.Fatalf("%d frames, each %dth, want all %d", len(frames), every, len(d.s.TimesS))
	}
	var plain media.Frame
	dec, err := media.Open(t.Context(), d.clip, d.s.Info, media.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer dec.Close()
	at, on, all := 0, 0, 0
	err = sh.play(t.Context(), nil, func(f *media.Frame) error {
		if err := dec.Next(&plain); err != nil {
			return err
		}
		if b := d.truth.Frames[at].Barrel; b.Visible > 0.9 {
			all++
			if drawnOver(f, &plain, int(math.Round(b.XPx)), int(math.Round(b.YPx)), 6) {
				on++
			}
		}
		if drawnOver(f, &plain, 320, 345, 10) {
			t.Errorf("frame %d: the turf below everything was drawn on", at)
		}
		x, row := int(math.Round(sh.strip.x(float64(at)))), int(sh.strip.rowsY[0])
		i, j := row*f.W+x, row/2*f.ChromaW()+x/2
		if near := func(a, b uint8) bool { return math.Abs(float64(a)-float64(b)) < 40 }; !near(f.Y[i], y) || !near(f.U[j], u) || !near(f.V[j], v) {
			t.Errorf("frame %d: pointer's pixel (%d, %d) is %d %d %d, want about %d %d %d", at, x, row, f.Y[i], f.U[j], f.V[j], y, u, v)
		}
		at++
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if all < 50 || float64(on) < 0.98*float64(all) {
		t.Errorf("drawn at the band's true place in %d of %d frames", on, all)
	}
}

// drawnOver reports whether any luma within reach of a pixel differs.
func drawnOver(a, b *media.Frame, x, y, reach int) bool {
	for j := max(0, y-reach); j <= min(b.H-1, y+reach); j++ {
		for i := max(0, x-reach); i <= min(b.W-1, x+reach); i++ {
			if a.Y[j*a.W+i] != b.Y[j*b.W+i] {
				return true
			}
		}
	}
	return false
}
