package pipeline

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/footage"
	"ashline/pipeline/media"
	"ashline/pipeline/scene"
)

// told is one call of a Report.
type told struct {
	stage       string
	done, total int
}

// overlaid is a small rendered swing with everything that a run made of it.
type overlaid struct {
	dir, clip string
	truth     scene.Truth
	result    metrics.Result
	shown     int // frames that the run said it drew
	total     int
}

// setupOverlay renders and measures a scene of 640 × 360 px.
func setupOverlay(t *testing.T) overlaid {
	t.Helper()
	p := scene.Random(1, scene.Clean)
	p.WidthPx, p.HeightPx, p.LeadInS, p.RunOutS = 640, 360, 0.45, 0.35
	dir := t.TempDir()
	files, err := scene.Write(t.Context(), dir, "swing", p, scene.WriteOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	sc, err := scene.New(p)
	if err != nil {
		t.Fatal(err)
	}
	o := overlaid{dir: filepath.Join(dir, "out"), clip: files.Clip, truth: sc.Truth()}
	var mu sync.Mutex
	last := map[string]told{}
	o.result, err = Run(t.Context(), Job{Clip: files.Clip, OutDir: o.dir, Report: func(stage string, done, total int) {
		mu.Lock()
		defer mu.Unlock()
		if x := last[stage]; done < x.done || done == x.done && stage != "draw" {
			t.Errorf("%s reported %d after %d", stage, done, x.done)
		}
		last[stage] = told{stage, done, total}
		if stage == "draw" {
			if done < o.shown || total <= 0 || done > total {
				t.Errorf("reported %d of %d after %d", done, total, o.shown)
			}
			o.shown, o.total = done, total
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	for _, stage := range []string{"watch", "follow", "measure", "plan", "draw", "page"} {
		if x := last[stage]; x.done == 0 || x.done != x.total {
			t.Errorf("%s reported %d of %d at last, want all", stage, x.done, x.total)
		}
	}
	return o
}

func TestOverlayOfScene(t *testing.T) {
	t.Parallel()
	o := setupOverlay(t)
	path := filepath.Join(o.dir, "overlay.mp4")
	info, err := media.Probe(t.Context(), path, media.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if info.Width != 640 || info.Height != 360 || info.Codec != "h264" || info.PixFmt != "yuv420p" {
		t.Errorf("overlay is %d × %d %s %s, want 640 × 360 h264 yuv420p", info.Width, info.Height, info.Codec, info.PixFmt)
	}
	if math.Abs(info.FileFPS-footage.ShownFPS) > 0.01 {
		t.Errorf("overlay has %g frames/s, want %g", info.FileFPS, footage.ShownFPS)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if index, pictures := bytes.Index(data, []byte("moov")), bytes.Index(data, []byte("mdat")); index < 0 || index > pictures {
		t.Errorf("index at byte %d, pictures at %d: a browser would have to wait for the whole file", index, pictures)
	}
	frames := 0
	dec, err := media.Open(t.Context(), path, info, media.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer dec.Close()
	for _, err := range dec.Frames() {
		if err != nil {
			t.Fatal(err)
		}
		frames++
	}
	if frames != o.shown || o.shown != o.total {
		t.Errorf("overlay has %d frames, %d of %d were reported", frames, o.shown, o.total)
	}
	if frames < 80 || frames > 250 {
		t.Errorf("overlay has %d frames, want 80 to 250", frames)
	}
	o.checkStills(t)
}

// checkStills compares the finish with the frame it was drawn on: by the truth
// of the scene the path must be there, and away from it nothing may have changed.
func (o overlaid) checkStills(t *testing.T) {
	t.Helper()
	for _, name := range []string{"launch", "contact", "finish", "strip"} {
		if _, err := os.Stat(filepath.Join(o.dir, "stills", name+".png")); err != nil {
			t.Error(err)
		}
	}
	keys := o.result.Swings[0].Keys
	if keys.Finish.Frame == nil || keys.Launch.Frame == nil {
		t.Fatal("no launch or finish in the result")
	}
	at := int(math.Round(*keys.Finish.Frame))
	before, after := frameOf(t, o.clip, at), readPNG(t, filepath.Join(o.dir, "stills", "finish.png"))
	same := 0
	for y := range 360 {
		for x := range 640 {
			if before.RGBAAt(x, y) == rgbaAt(after, x, y) {
				same++
			}
		}
	}
	if share := float64(same) / (640 * 360); share < 0.7 || share > 0.98 {
		t.Errorf("%.1f %% of the pixels are as filmed, want 70 to 98", 100*share)
	}
	// The barrel's true places, a pixel being as fine as the drawn line is thick.
	on, all := 0, 0
	first, last := int(*keys.Launch.Frame)+3, at-3
	for i := first; i < last; i++ {
		b := o.truth.Frames[i].Barrel
		if b.Visible < 0.9 {
			continue
		}
		all++
		x, y := int(math.Round(b.XPx)), int(math.Round(b.YPx))
		if before.RGBAAt(x, y) != rgbaAt(after, x, y) {
			on++
		}
	}
	if all < 30 || float64(on) < 0.95*float64(all) {
		t.Errorf("the path covers the barrel's true place in %d of %d frames", on, all)
	}
	// The turf in front of the plate holds neither path nor line.
	for y := 330; y < 360; y++ {
		for x := 200; x < 440; x++ {
			if before.RGBAAt(x, y) != rgbaAt(after, x, y) {
				t.Fatalf("pixel (%d, %d) far from everything drawn has changed", x, y)
			}
		}
	}
}

// frameOf decodes one frame of a clip.
func frameOf(t *testing.T, path string, index int) *image.RGBA {
	t.Helper()
	info, err := media.Probe(t.Context(), path, media.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	dec, err := media.Open(t.Context(), path, info, media.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer dec.Close()
	for f, err := range dec.Frames() {
		if err != nil {
			t.Fatal(err)
		}
		if f.Index == index {
			return f.RGBA(info.Space())
		}
	}
	t.Fatalf("%q has no frame %d", path, index)
	return nil
}

func readPNG(t *testing.T, path string) image.Image {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// rgbaAt is the pixel of an opaque picture.
func rgbaAt(img image.Image, x, y int) color.RGBA {
	return color.RGBAModel.Convert(img.At(x, y)).(color.RGBA)
}
