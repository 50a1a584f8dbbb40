package pipeline

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"ashline/metrics"
	"ashline/pipeline/compare"
	"ashline/pipeline/media"
	"ashline/pipeline/overlay"
	"ashline/pipeline/scene"
)

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
		files, err := scene.Write(t.Context(), dir, compare.Sides[i], p, scene.WriteOptions{Workers: 2})
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
	for i, side := range compare.Sides {
		var r metrics.Result
		text, err := os.ReadFile(filepath.Join(job.OutDir, side, "metrics.json"))
		if err == nil {
			err = json.Unmarshal(text, &r)
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range out.Keys {
			// The frame of the video that shows the clip's frame nearest to the key position.
			want, best := -1, math.Inf(1)
			for j, f := range out.Shown {
				if d := math.Abs(float64(f[i]) - *r.Swings[0].Keys.Of(k.Name).Frame); d < best {
					want, best = j, d
				}
			}
			if best > 0.51 || k.Frame < want-1 || k.Frame > want+1+overlay.KeyHold {
				t.Errorf("%s: clip %d shows it on frame %d of the video, the comparison says %d", k.Name, i, want, k.Frame)
			}
		}
	}
	text, err := os.ReadFile(filepath.Join(job.OutDir, "compare.json"))
	if err != nil {
		t.Fatal(err)
	}
	var back compare.Comparison
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
	for _, err := range dec.Frames() {
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	if n != out.Frames {
		t.Errorf("%d frames in the video, want %d", n, out.Frames)
	}
}
