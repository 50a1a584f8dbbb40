package pipeline

import (
	"image"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/footage"
	"ashline/pipeline/overlay"
)

func TestPageOfScene(t *testing.T) {
	t.Parallel()
	o := setupOverlay(t)
	page := outputText(t, o.dir, "report.html")
	for _, name := range []string{"plots/path.svg", "plots/zone.svg", "plots/timing.svg"} {
		svg := outputText(t, o.dir, name)
		if !strings.HasPrefix(svg, "<svg ") || !strings.Contains(page, svg) {
			t.Errorf("%s is not on the page", name)
		}
	}
	if n := strings.Count(page, `data-frames="`+strconv.Itoa(o.shown)+`"`); n != 1 {
		t.Errorf("the page does not say that the video has %d frames", o.shown)
	}
	for _, src := range regexp.MustCompile(`src="\./([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if _, err := os.Stat(filepath.Join(o.dir, src[1])); err != nil {
			t.Errorf("the page shows what is not there: %v", err)
		}
	}
	// The frame that the page calls contact is the first of the overlay to look like
	// the still of it.
	jump := regexp.MustCompile(`data-frame="(\d+)"><bdi>Contact<`).FindStringSubmatch(page)
	if jump == nil {
		t.Fatal("no button to contact")
	}
	n, err := strconv.Atoi(jump[1])
	if err != nil {
		t.Fatal(err)
	}
	still, film := readPNG(t, filepath.Join(o.dir, "stills", "contact.png")), filepath.Join(o.dir, overlay.Name)
	on, next, before := apart(still, frameOf(t, film, n)), apart(still, frameOf(t, film, n+1)), apart(still, frameOf(t, film, n-1))
	t.Logf("mean difference from the still: frame before %.2f, contact %.2f, frame after %.2f", before, on, next)
	if on > 3 || next > 1.3*on || before < 1.5*on {
		t.Errorf("frame %d is not the first of contact: differences %.2f before it, %.2f on it, %.2f after it", n, before, on, next)
	}
	captions := outputText(t, o.dir, "captions.vtt")
	if !strings.HasPrefix(captions, "WEBVTT") || strings.Count(captions, "-->") < 4 {
		t.Errorf("captions:\n%s", captions)
	}

	bare := filepath.Join(t.TempDir(), "bare")
	if _, err := Run(t.Context(), Job{Clip: o.clip, OutDir: bare, Products: Without(nil, OverlayProduct, StillsProduct)}); err != nil {
		t.Fatal(err)
	}
	if page := outputText(t, bare, "report.html"); strings.Contains(page, "<video") || strings.Contains(page, "<img") || !strings.Contains(page, "No video was made") {
		t.Error("a page without overlay shows one")
	}
	if _, err := os.Stat(filepath.Join(bare, "captions.vtt")); !os.IsNotExist(err) {
		t.Errorf("captions of no video: %v", err)
	}
}

// A clip whose swing could not be measured gets a page that says so.
func TestPageWithoutKnownSwing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	times := make([]float64, 240)
	for i := range times {
		times[i] = float64(i) / 240
	}
	study := metrics.Measure(metrics.Track{TimesS: times, Swings: []metrics.Span{{From: 0, To: 200}}}, metrics.Card{Hitter: "fh-017"}, nil)
	if err := writePage(Job{OutDir: dir}, footage.Footage{TimesS: times, FPS: 240}, study); err != nil {
		t.Fatal(err)
	}
	page := outputText(t, dir, "report.html")
	if !strings.Contains(page, "too few sightings of the barrel in this swing") || strings.Contains(page, "<video") {
		t.Error("the page does not say why nothing was measured")
	}
	if files, err := fs.Glob(os.DirFS(dir), "plots/*.svg"); err != nil || len(files) != 3 {
		t.Errorf("%v, %v", files, err)
	}
}

func outputText(t *testing.T, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// apart is the mean difference of two pictures, levels of 255.
func apart(a image.Image, b *image.RGBA) float64 {
	sum, n := 0.0, 0
	for y := b.Rect.Min.Y; y < b.Rect.Max.Y; y++ {
		for x := b.Rect.Min.X; x < b.Rect.Max.X; x++ {
			p, q := rgbaAt(a, x, y), b.RGBAAt(x, y)
			sum += math.Abs(float64(p.R)-float64(q.R)) + math.Abs(float64(p.G)-float64(q.G)) + math.Abs(float64(p.B)-float64(q.B))
			n += 3
		}
	}
	return sum / float64(n)
}
