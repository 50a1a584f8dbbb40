package inspect

import (
	"errors"
	"math"
	"strings"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/draw"
	"ashline/pipeline/follow"
	"ashline/pipeline/mark"
	"ashline/pipeline/media"
	"ashline/pipeline/steady"
	"ashline/pipeline/track"
)

func TestDebugFrames(t *testing.T) {
	t.Parallel()
	clip := func(n int, fps float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = float64(i) / fps
		}
		return out
	}
	span := func(from, to int) []metrics.Span { return []metrics.Span{{From: from, To: to}} }
	for _, tt := range []struct {
		name        string
		times       []float64
		spans       []metrics.Span
		n           int
		first, last int
		every       int
	}{
		{"short", clip(240, 240), span(100, 150), 240, 0, 239, 1},
		{"short without a swing", clip(240, 240), nil, 240, 0, 239, 1},
		// 0.3 s are 30 frames at 100 frames/s; the span's last frame is 399.
		{"long", clip(1000, 100), span(300, 400), 160, 270, 429, 1},
		{"long, swing at the start", clip(1000, 100), span(0, 100), 130, 0, 129, 1},
		{"long, two swings that touch", clip(1000, 100), []metrics.Span{{From: 200, To: 300}, {From: 320, To: 400}}, 260, 170, 429, 1},
		{"long without a swing", clip(1000, 100), nil, 1000, 0, 999, 1},
		{"too long without a swing", clip(7201, 240), nil, 2401, 0, 7200, 3},
		{"one frame", clip(1, 240), nil, 1, 0, 0, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, every := chooseFrames(tt.times, tt.spans)
			if len(got) != tt.n || got[0] != tt.first || got[len(got)-1] != tt.last || every != tt.every {
				t.Errorf("got %d frames %d…%d each %d, want %d frames %d…%d each %d", len(got), got[0], got[len(got)-1], every, tt.n, tt.first, tt.last, tt.every)
			}
		})
	}
}

func TestNiceStep(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ s, want float64 }{{0.03, 0.05}, {0.05, 0.05}, {0.11, 0.2}, {0.7, 1}, {3, 5}, {6, 10}, {0, 0.0001}} {
		if got := niceStep(tt.s); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("niceStep(%g) = %g, want %g", tt.s, got, tt.want)
		}
	}
}

// setupInspection is a clip of 60 frames of 320 × 240 px with one mark: seen to
// frame 19, a gap with patches to 24, flow to 29, filled to 34, then nothing.
func setupInspection(t *testing.T) *inspection {
	t.Helper()
	const n = 60
	s := follow.Sightings{Names: []string{"barrel"}, Blobs: make([][]track.Blob, n)}
	s.Info, s.FPS = media.Info{Width: 320, Height: 240}, 240
	path := follow.Path{Mark: "barrel"}
	for f := range n {
		s.TimesS = append(s.TimesS, float64(f)/240)
		s.FileS = append(s.FileS, float64(f)/240)
		s.Moves = append(s.Moves, steady.Transform{XX: 1, YY: 1, TX: -float64(f) / 10})
		smp := metrics.Sample{Frame: f, TimeS: s.TimesS[f], XPx: float64(50 + f), YPx: 100, VarXX: 1, VarYY: 1}
		var cands []mark.Candidate
		pick := -1
		switch {
		case f < 20:
			smp.How, pick = metrics.Seen, 0
		case f < 25:
			smp.How = ""
		case f < 30:
			smp.How = metrics.Flow
		case f < 35:
			smp.How = metrics.Filled
		default:
			smp.How = ""
		}
		if f < 25 {
			cands = []mark.Candidate{{X: smp.XPx, Y: 100, Mass: 80, Mean: 0.9, Still: 0.3}}
		}
		if smp.How != "" {
			path.Samples = append(path.Samples, smp)
		}
		path.Offered = append(path.Offered, cands)
		path.Chosen = append(path.Chosen, pick)
	}
	found := follow.Found{Ruler: follow.NewRuler(metrics.Card{}, 320, 240), Paths: follow.Paths{path}}
	in, err := newInspection(s, found, metrics.Study{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

func TestInspectionCounts(t *testing.T) {
	t.Parallel()
	in := setupInspection(t)
	m := &in.marks[0]
	if want := [foundKinds]int{25, 5, 5, 5, 20}; m.count != want {
		t.Errorf("got counts %v of %v, want %v", m.count, foundNames, want)
	}
	if before, n := in.largestGap(m); before != 19 || n != 5 {
		t.Errorf("largest gap %d after %d, want 5 after 19", n, before)
	}
	if dx, dy := in.s.MiddleMoved(50); math.Abs(dx-5) > 1e-9 || math.Abs(dy) > 1e-9 {
		t.Errorf("camera moved (%g, %g) px in frame 50, want (5, 0)", dx, dy)
	}
}

// A cause of a failure may be longer than a line, and the strip holds on clips of
// any width.
func TestStripWraps(t *testing.T) {
	t.Parallel()
	for _, width := range []int{640, 1080, 1920, 3840} {
		in := setupInspection(t)
		in.cause = errors.New(strings.TrimSpace(strings.Repeat("the barrel was lost ", 20)))
		c := draw.New(media.ColourSpace{Matrix: "bt709"})
		frames, every := chooseFrames(in.s.TimesS, nil)
		st := newStrip(c, in, frames, every, width, 240)
		c.On(media.NewFrame(width, 240))
		lines := st.wrap(c)
		if got, want := strings.Join(lines, " "), "not measured: "+in.cause.Error(); got != want {
			t.Errorf("width %d: got %q, want %q", width, got, want)
		}
		for _, l := range lines {
			if w := c.Measure(l, draw.TextStyle{SizePx: st.textPx, Bold: true}).W(); w > st.right-st.left {
				t.Errorf("width %d: line of %.0f px, want at most %.0f", width, w, st.right-st.left)
			}
		}
		l, _ := placeLegend(c, st.textPx, st.left, st.right, 0, 20)
		for i, it := range l.items {
			if x := l.at[i].X + legendSign*st.textPx + c.Measure(it.text, draw.TextStyle{SizePx: l.textPx}).W(); x > float64(width) {
				t.Errorf("width %d: legend's %q ends at %.0f px", width, it.text, x)
			}
		}
		if st.x1-st.x0 < float64(width)/4 {
			t.Errorf("width %d: the course is %.0f px wide, want a quarter", width, st.x1-st.x0)
		}
	}
}

func TestFlightRMS(t *testing.T) {
	t.Parallel()
	in := setupInspection(t)
	ppm := in.found.Ruler.PxPerM()
	flight := func(off float64) []metrics.Sample {
		var out []metrics.Sample
		for k := range 12 {
			x := float64(k) / 240
			out = append(out, metrics.Sample{Frame: k, TimeS: x, XPx: 10 + 3000*x, YPx: 50 + 100*x + 9.81*ppm*x*x/2 + off*float64(k%2*2-1)})
		}
		return out
	}
	still, seesaw := newFlight(0, false, flight(0), in.found.Ruler), newFlight(0, true, flight(2), in.found.Ruler)
	if got := still.rms; got > 1e-6 {
		t.Errorf("a parabola is off itself by %g px", got)
	}
	// Seesawing by 2 px: a parabola takes up hardly any of it.
	if got := seesaw.rms; got < 1.9 || got > 2 {
		t.Errorf("RMS %g px, want a little under 2", got)
	}
	if got := still.fit.Speed(); math.Abs(got-3000) > 10 {
		t.Errorf("speed %g px/s, want about 3000", got)
	}
}

func TestCopyPart(t *testing.T) {
	t.Parallel()
	from, to := media.NewFrame(7, 5), media.NewFrame(12, 10)
	from.Fill(9, 8, 7)
	copyPart(to, from, 0, 0, 7, 5)
	sum := func(b []byte) (n int) {
		for _, v := range b {
			n += int(v)
		}
		return n
	}
	if y, u, v := sum(to.Y), sum(to.U), sum(to.V); y != 9*35 || u != 8*12 || v != 7*12 {
		t.Errorf("got sums %d, %d, %d, want %d, %d, %d", y, u, v, 9*35, 8*12, 7*12)
	}
}

func TestStepHow(t *testing.T) {
	t.Parallel()
	s := []metrics.Sample{{How: metrics.Seen}, {How: metrics.Seen}, {How: metrics.Flow}, {How: metrics.Filled}, {How: metrics.Seen}}
	want := []metrics.How{metrics.Seen, metrics.Flow, metrics.Filled, metrics.Filled}
	for i := 1; i < len(s); i++ {
		if got := stepHow(s, i); got != want[i-1] {
			t.Errorf("step to %d is %q, want %q", i, got, want[i-1])
		}
	}
}
