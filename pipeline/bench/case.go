package bench

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"ashline/metrics"
	"ashline/pipeline"
	"ashline/pipeline/scene"
)

// Case is one scene to measure.
type Case struct {
	Family scene.Family
	Seed   uint64
}

// Outcome is what came of a case.
type Outcome struct {
	Case
	Err     error
	Result  metrics.Result
	Truth   scene.Truth
	Seconds float64
	// SeenPx and BridgedPx are the errors of the barrel's centre, px, in frames
	// around the swing where it was seen, and where it was not.
	SeenPx    []float64
	BridgedPx []float64
	// Wrong counts frames in which the barrel was said to be seen and is more
	// than 20 px and more than a barrel's breadth off.
	Wrong int
}

// Measure renders the case into dir, unless it is there, and measures it.
func (c Case) Measure(ctx context.Context, dir string) Outcome {
	out := Outcome{Case: c}
	name := fmt.Sprintf("%s-%d", c.Family, c.Seed)
	files := scene.Files{
		Clip: filepath.Join(dir, name+".mp4"), Card: filepath.Join(dir, name+".card.yaml"), Truth: filepath.Join(dir, name+".truth.json"),
	}
	if _, err := os.Stat(files.Truth); err != nil {
		if files, out.Err = scene.Write(ctx, dir, name, scene.Random(c.Seed, c.Family), scene.WriteOptions{}); out.Err != nil {
			return out
		}
	}
	text, err := os.ReadFile(files.Truth)
	if err == nil {
		err = json.Unmarshal(text, &out.Truth)
	}
	if err != nil {
		out.Err = err
		return out
	}
	results := filepath.Join(dir, name+".out")
	start := time.Now()
	out.Result, out.Err = pipeline.Run(ctx, pipeline.Job{Clip: files.Clip, Cards: []string{files.Card}, OutDir: results, NoOverlay: true})
	out.Seconds = time.Since(start).Seconds()
	if out.Err == nil {
		out.Err = out.track(filepath.Join(results, "track.csv"))
	}
	return out
}

// Around contact: the part of the swing whose track is judged, s.
const (
	judgeFromS = -0.25
	judgeToS   = 0.20
)

// track compares track.csv with the truth.
func (o *Outcome) track(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return err
	}
	col := map[string]int{}
	for i, n := range rows[0] {
		col[n] = i
	}
	for i, row := range rows[1:] {
		if i >= len(o.Truth.Frames) || row[col["barrel_how"]] == "" {
			continue
		}
		t := o.Truth.Frames[i]
		if t.TimeS < judgeFromS || t.TimeS > judgeToS {
			continue
		}
		x, _ := strconv.ParseFloat(row[col["barrel_x_px"]], 64)
		y, _ := strconv.ParseFloat(row[col["barrel_y_px"]], 64)
		e := math.Hypot(x-t.Barrel.XPx, y-t.Barrel.YPx)
		if row[col["barrel_how"]] != string(metrics.Filled) && e > math.Max(20, 0.066/o.Truth.Camera.MPerPx) {
			o.Wrong++
		}
		if row[col["barrel_how"]] == string(metrics.Seen) {
			o.SeenPx = append(o.SeenPx, e)
		} else {
			o.BridgedPx = append(o.BridgedPx, e)
		}
	}
	return nil
}
