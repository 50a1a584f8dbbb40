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
	// Cards is what the card knows of the scene. Defaults to ExactCards.
	Cards Cards
	// Bands are the joints that wear one, as in scene.Params. Defaults to what the seed
	// gives; "none" is none.
	Bands string
	// Fault is planted in the swing. Defaults to none.
	Fault string
	// PoseDir is the folder of the pose network; none without.
	PoseDir string
}

// Cards is how a scene's card is written.
type Cards string

// The three ways of writing cards.
const (
	ExactCards Cards = "exact" // everything as it is
	CoachCards Cards = "coach" // as a coach measures it, see scene.Card
	PlaneCards Cards = "plane" // exact, without the camera's distance: nothing is lifted out of the plane
)

// write puts the scene's card beside it, when it is not the one that was rendered
// with it, and returns its path.
func (c Cards) write(s *scene.Truth, rendered, base string) (string, error) {
	if c == "" || c == ExactCards {
		return rendered, nil
	}
	sc, err := scene.New(s.Params)
	if err != nil {
		return "", err
	}
	card := sc.Card(scene.Labels{}, c == CoachCards)
	if c == PlaneCards {
		card.Camera.DistanceM = 0
	}
	text, err := scene.CardYAML(card)
	if err != nil {
		return "", err
	}
	path := base + "." + string(c) + ".card.yaml"
	if err := os.WriteFile(path, text, 0o644); err != nil {
		return "", fmt.Errorf("bench: %w", err)
	}
	return path, nil
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

func (c Case) name() string {
	name := fmt.Sprintf("%s-%d", c.Family, c.Seed)
	if c.Bands != "" {
		name += "-" + c.Bands
	}
	if c.Fault != "" {
		name += "-" + c.Fault
	}
	return name
}

// params are the scene's.
func (c Case) params() scene.Params {
	p := scene.Random(c.Seed, c.Family)
	p.Fault = c.Fault
	switch c.Bands {
	case "":
	case "none":
		p.Bands = nil
	default:
		p.Bands = []string{c.Bands}
	}
	return p
}

// results is the folder of the case's results.
func (c Case) results(dir string) string {
	if c.Cards == "" || c.Cards == ExactCards {
		return filepath.Join(dir, c.name()+".out")
	}
	return filepath.Join(dir, c.name()+"."+string(c.Cards)+".out")
}

// Measure renders the case into dir, unless it is there, and measures it.
func (c Case) Measure(ctx context.Context, dir string) Outcome {
	out := Outcome{Case: c}
	name := c.name()
	files := scene.Files{
		Clip: filepath.Join(dir, name+".mp4"), Card: filepath.Join(dir, name+".card.yaml"), Truth: filepath.Join(dir, name+".truth.json"),
	}
	if _, err := os.Stat(files.Truth); err != nil {
		if files, out.Err = scene.Write(ctx, dir, name, c.params(), scene.WriteOptions{}); out.Err != nil {
			return out
		}
	}
	text, err := os.ReadFile(files.Truth)
	if err == nil {
		err = json.Unmarshal(text, &out.Truth)
	}
	if err == nil && out.Truth.Schema != scene.TruthSchema {
		err = fmt.Errorf("%s: truth of the form %q, want %q: render it again", files.Truth, out.Truth.Schema, scene.TruthSchema)
	}
	if err != nil {
		out.Err = err
		return out
	}
	if files.Card, out.Err = c.Cards.write(&out.Truth, files.Card, filepath.Join(dir, name)); out.Err != nil {
		return out
	}
	results := c.results(dir)
	start := time.Now()
	out.Result, out.Err = pipeline.Run(ctx, pipeline.Job{Clip: files.Clip, Cards: []string{files.Card}, OutDir: results, Products: []pipeline.Product{pipeline.TrackProduct}, PoseDir: c.PoseDir})
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
		if at := nearestContactS(o.Truth, t.TimeS); at < judgeFromS || at > judgeToS {
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
