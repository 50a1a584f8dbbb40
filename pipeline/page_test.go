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
	"ashline/pipeline/follow"
	"ashline/pipeline/footage"
)

// keyAt is a key position so long after contact.
func keyAt(t float64) metrics.Key { return metrics.Key{TimeS: &t, Status: metrics.Measured} }

// A mark names the frame of the overlay in which its label first stands.
func TestMarksAreWhereLabelsAppear(t *testing.T) {
	t.Parallel()
	for _, fps := range []float64{30, 60, 120, 240, 480, 1000} {
		times := evenTimes(fps, 1)
		sw := metrics.Swing{Keys: metrics.Keys{Launch: keyAt(-0.16), Lag: keyAt(-0.05), Contact: keyAt(0), Finish: keyAt(0.19)}}
		sw.Keys.Slot = metrics.Key{Status: metrics.Missing, Why: "hidden"}
		sw.Zone.EnterS, sw.Zone.LeaveS = metrics.Got(-0.008, -0.009, -0.007, "s"), metrics.Got(0.010, 0.009, 0.011, "s")
		tr := &trace{cur: metrics.Curves{ContactS: 0.5 + 0.3/fps, Span: metrics.Span{From: 0, To: len(times)}}, frameS: 1 / fps}
		tr.times(sw, times)
		shots := plan(times, tr.moments)
		const before = 100
		marks := marksOf(tr, sw, times, shots, before)
		// The clip's time that each frame of the overlay shows.
		var shows []float64
		for _, s := range shots {
			for range s.times {
				shows = append(shows, times[s.frame])
			}
		}
		if len(marks) != 5 {
			t.Fatalf("%g fps: %d marks, want 5 (launch, lag, zone, contact, finish)", fps, len(marks))
		}
		last := before
		for _, m := range marks {
			n := m.Frame - before
			if m.Frame < last || n >= len(shows) {
				t.Fatalf("%g fps: %s at frame %d after %d of %d", fps, m.Name, m.Frame, last, len(shows))
			}
			last = m.Frame
			at := tr.cur.ContactS + m.TimeS
			if !tr.reached(at, shows[n]) || n > 0 && tr.reached(at, shows[n-1]) {
				t.Errorf("%g fps: %s at %.4f s: frame %d, which shows %.4f s, is not the first", fps, m.Name, at, m.Frame, shows[n])
			}
			if m.Name == "zone" && (m.Until <= m.Frame || m.Until > before+len(shows)) {
				t.Errorf("%g fps: the zone is shown from %d to %d", fps, m.Frame, m.Until)
			}
		}
	}
}

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
	still, overlay := readPNG(t, filepath.Join(o.dir, "stills", "contact.png")), filepath.Join(o.dir, overlayName)
	on, next, before := apart(still, frameOf(t, overlay, n)), apart(still, frameOf(t, overlay, n+1)), apart(still, frameOf(t, overlay, n-1))
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
	study := metrics.Measure(metrics.Track{TimesS: evenTimes(240, 1), Swings: []metrics.Span{{From: 0, To: 200}}}, metrics.Card{Hitter: "fh-017"}, nil)
	if err := writePage(Job{OutDir: dir}, follow.Sightings{Footage: footage.Footage{TimesS: evenTimes(240, 1), FPS: 240}}, study); err != nil {
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
