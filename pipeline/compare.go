package pipeline

import (
	"context"
	"fmt"
	"path/filepath"

	"ashline/pipeline/compare"
	"ashline/pipeline/progress"
)

// CompareJob is two clips to show side by side.
type CompareJob struct {
	// Clips are what came before and what came after, or a hitter's swing and the one to
	// hold it against. Of each, Clip, Cards, PoseDir, Rules and Words count.
	Clips [2]Job
	// OutDir receives compare.mp4, compare.html, compare.json, and a folder of metrics a
	// clip.
	OutDir string
	// Align is how the clips are put in step. Defaults to compare.AlignKeys.
	Align compare.Align
	// Mix compares swings of unlike kinds all the same. Defaults to false.
	Mix bool
	// Report is told how far the work has come. Defaults to nobody.
	Report progress.Report
}

// Compare measures two clips and shows them in step.
func Compare(ctx context.Context, job CompareJob) (compare.Comparison, error) {
	var clips [2]compare.Clip
	for i, j := range job.Clips {
		j.OutDir, j.Report = filepath.Join(job.OutDir, compare.Sides[i]), job.Report
		m, err := study(ctx, j)
		if err == nil {
			err = m.write()
		}
		if err != nil {
			return compare.Comparison{}, fmt.Errorf("%q: %w", j.Clip, err)
		}
		clips[i] = compare.Clip{Footage: m.seen.Footage, Card: m.card, Rules: m.rules, Study: m.study}
	}
	return compare.Write(ctx, clips, compare.Options{Dir: job.OutDir, Align: job.Align, Mix: job.Mix, Report: job.Report})
}
