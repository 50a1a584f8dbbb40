package overlay

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"ashline/metrics"
	"ashline/metrics/catalogue"
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
		sw.Metrics[catalogue.ZoneEnterS], sw.Metrics[catalogue.ZoneLeaveS] = metrics.Got(-0.008, -0.009, -0.007, "s"), metrics.Got(0.010, 0.009, 0.011, "s")
		cur := metrics.Curves{Known: true, ContactS: 0.5 + 0.3/fps, Span: metrics.Span{From: 0, To: len(times)}}
		study := metrics.Study{Swings: []metrics.Curves{cur}, Result: metrics.Result{Swings: []metrics.Swing{sw}}}
		parts := Parts(footage.Footage{FPS: fps, TimesS: times}, study, SlowPace)
		if len(parts) != 1 {
			t.Fatalf("%g fps: %d parts, want 1", fps, len(parts))
		}
		const before = 100
		p := parts[0]
		p.From = before
		marks := p.Marks(sw)
		// The clip's time that each frame of the overlay shows.
		var shows []float64
		for _, s := range p.shots {
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
			at := cur.ContactS + m.TimeS
			if !reached(at, shows[n], p.frameS) || n > 0 && reached(at, shows[n-1], p.frameS) {
				t.Errorf("%g fps: %s at %.4f s: frame %d, which shows %.4f s, is not the first", fps, m.Name, at, m.Frame, shows[n])
			}
			if m.Name == "zone" && (m.Until <= m.Frame || m.Until > before+len(shows)) {
				t.Errorf("%g fps: the zone is shown from %d to %d", fps, m.Frame, m.Until)
			}
		}
	}
}

func TestOverlayWithoutKnownSwing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	study := metrics.Study{Swings: make([]metrics.Curves, 1), Result: metrics.Result{Swings: make([]metrics.Swing, 1)}}
	if err := Write(t.Context(), footage.Footage{Path: "absent.mp4"}, study, Options{Dir: dir, Drawn: true, Stills: true}); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "overlay.mp4")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("overlay of no swing: %v, want no file", err)
	}
}
