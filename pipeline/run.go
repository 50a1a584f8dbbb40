package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"ashline/metrics"
	"ashline/metrics/finding"
	"ashline/pipeline/card"
	"ashline/pipeline/fault"
	"ashline/pipeline/follow"
	"ashline/pipeline/pose"
	"ashline/pipeline/progress"
	"ashline/pipeline/rules"
)

// Job is one clip to measure.
type Job struct {
	// Clip is the path of the file.
	Clip string
	// Cards are paths of cards, the later ones overriding the earlier ones field
	// by field. Defaults to the cards beside the clip.
	Cards []string
	// OutDir receives the results; it is made if missing.
	OutDir string
	// Products are the parts of the results that are wanted. Default to all but
	// CleanProduct.
	Products []Product
	// Pace is how fast the overlay shows what is not around contact. Defaults to
	// SlowPace.
	Pace Pace
	// PoseDir is the folder of the pose network, a second source of joints. Defaults
	// to none: joints are known by their bands alone.
	PoseDir string
	// Rules and Words are an academy's own rules of the findings, and their wording. Default
	// to the built-in ones.
	Rules, Words string
	// Debug also writes a video of candidates and uncertainty. Defaults to false.
	Debug bool
	// Report is told how far the work has come. Defaults to nobody.
	Report progress.Report
}

// Run measures one clip and writes its results.
func Run(ctx context.Context, job Job) (metrics.Result, error) {
	res, err := run(ctx, job)
	if err != nil {
		return metrics.Result{}, fmt.Errorf("%q: %w", job.Clip, err)
	}
	return res, nil
}

func run(ctx context.Context, job Job) (metrics.Result, error) {
	m, err := study(ctx, job)
	if err != nil {
		return metrics.Result{}, err
	}
	if err := m.write(); err != nil {
		return metrics.Result{}, err
	}
	if job.Debug {
		if err := debugVideo(ctx, job, m.seen, m.found, m.study); err != nil {
			return metrics.Result{}, err
		}
	}
	if job.wants(OverlayProduct, StillsProduct, CleanProduct) {
		if err := overlay(ctx, job, m.seen, m.study); err != nil {
			return metrics.Result{}, err
		}
	}
	if !job.wants(ReportProduct, PlotsProduct, OverlayProduct) {
		return m.study.Result, nil
	}
	if err := writePage(job, m.seen, m.study); err != nil {
		return metrics.Result{}, err
	}
	return m.study.Result, nil
}

// measured is a clip with what was seen in it and found out.
type measured struct {
	job   Job
	card  metrics.Card
	seen  follow.Sightings
	found follow.Found
	rules finding.Set
	study metrics.Study
}

// study measures a clip and writes nothing.
func study(ctx context.Context, job Job) (*measured, error) {
	sum, err := hashFile(job.Clip)
	if err != nil {
		return nil, err
	}
	paths := job.Cards
	if len(paths) == 0 {
		paths = card.Beside(job.Clip)
	}
	if len(paths) == 0 {
		return nil, fmt.Errorf("%w: no card given and none beside the clip", fault.ErrNoColour)
	}
	c, err := card.Load(paths...)
	if err != nil {
		return nil, err
	}
	if c.Marks.Barrel == nil {
		return nil, fmt.Errorf("%w: card %q has no marks.barrel.colour", fault.ErrNoColour, paths[len(paths)-1])
	}
	set, err := rules.Load(job.Rules, job.Words)
	if err != nil {
		return nil, err
	}
	program, err := job.Program()
	if err != nil {
		return nil, err
	}
	var net *pose.Net
	if job.PoseDir != "" {
		if net, err = pose.Load(job.PoseDir); err != nil {
			// As text: a missing network is not a missing clip.
			return nil, fmt.Errorf("%w in %q, which deploy/pose.sh fills: %s", fault.ErrPose, job.PoseDir, err.Error())
		}
		defer net.Close()
	}
	if err := os.MkdirAll(job.OutDir, 0o755); err != nil {
		// As text: a folder that cannot be made is not a missing clip.
		return nil, fmt.Errorf("results folder: %s", err.Error())
	}
	s, err := follow.Watch(ctx, job.Clip, c, job.Report)
	if err != nil {
		return nil, err
	}
	found, err := follow.Follow(ctx, s, c, net, job.Report)
	if err != nil {
		if job.Debug {
			err = errors.Join(err, debugFailure(ctx, job, s, found, err))
		}
		return nil, err
	}
	study := metrics.Measure(found.Track, c, func(done, total int) { job.Report.At("measure", done, total) })
	m := &measured{job: job, card: c, seen: s, found: found, rules: set, study: study}
	res := &m.study.Result
	res.Program = program
	res.Clip = clipOf(s, sum)
	res.Quality.SteadiedPx, _ = s.FarthestMoved()
	res.Quality.Notes = slices.Concat(res.Quality.Notes, s.Notes(), found.Notes())
	res.Findings = set.Judge(*res)
	return m, nil
}

// write writes metrics and track.
func (m *measured) write() error {
	if err := writeJSON(filepath.Join(m.job.OutDir, "metrics.json"), m.study.Result); err != nil {
		return err
	}
	if !m.job.wants(TrackProduct) {
		return nil
	}
	return writeTrack(filepath.Join(m.job.OutDir, "track.csv"), m.seen, m.found, m.study)
}

func hashFile(path string) (string, error) {
	st, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fault.ErrNoClip
	} else if err != nil {
		return "", fmt.Errorf("%w: %w", fault.ErrNoClip, errors.Unwrap(err))
	}
	if !st.Mode().IsRegular() {
		return "", fmt.Errorf("%w: it is not a file", fault.ErrNoClip)
	}
	f, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("%w: %w", fault.ErrNoClip, errors.Unwrap(err))
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("reading the clip: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func clipOf(s follow.Sightings, sum string) metrics.Clip {
	n := len(s.TimesS)
	return metrics.Clip{
		SHA256: sum, Width: s.Info.Width, Height: s.Info.Height, Frames: n,
		CaptureFPS: float64(n-1) / (s.TimesS[n-1] - s.TimesS[0]),
		FileFPS:    float64(n-1) / (s.FileS[n-1] - s.FileS[0]),
		DurationS:  s.TimesS[n-1], RotateDeg: s.Info.RotateDeg, Codec: s.Info.Codec,
	}
}

func writeJSON(path string, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return fmt.Errorf("%w: %w", fault.ErrBug, err)
	}
	if err := os.WriteFile(path, append(text, '\n'), 0o644); err != nil {
		return fmt.Errorf("writing results: %w", err)
	}
	return nil
}
