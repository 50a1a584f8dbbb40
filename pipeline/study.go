package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"

	"ashline/metrics"
	"ashline/metrics/finding"
	"ashline/pipeline/card"
	"ashline/pipeline/fault"
	"ashline/pipeline/follow"
	"ashline/pipeline/footage"
	"ashline/pipeline/inspect"
	"ashline/pipeline/outfile"
	"ashline/pipeline/pose"
	"ashline/pipeline/rules"
)

// measured is a clip with its sightings, paths and figures.
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
	if err := outfile.Folder(job.OutDir); err != nil {
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
			err = errors.Join(err, inspect.Write(ctx, s, found, metrics.Study{}, inspect.Options{Dir: job.OutDir, Program: program, Cause: err, Report: job.Report}))
		}
		return nil, err
	}
	c = found.Card
	study := metrics.Measure(found.Track, c, func(done, total int) { job.Report.At("measure", done, total) })
	m := &measured{job: job, card: c, seen: s, found: found, rules: set, study: study}
	res := &m.study.Result
	res.Program = program
	res.Clip = clipOf(s.Footage, sum)
	res.Quality.SteadiedPx, _ = s.FarthestMoved()
	res.Quality.Notes = slices.Concat(res.Quality.Notes, s.Notes(), found.Notes())
	res.Findings = set.Judge(*res)
	return m, nil
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

func clipOf(s footage.Footage, sum string) metrics.Clip {
	n := len(s.TimesS)
	return metrics.Clip{
		SHA256: sum, Width: s.Info.Width, Height: s.Info.Height, Frames: n,
		CaptureFPS: float64(n-1) / (s.TimesS[n-1] - s.TimesS[0]),
		FileFPS:    float64(n-1) / (s.FileS[n-1] - s.FileS[0]),
		DurationS:  s.TimesS[n-1], RotateDeg: s.Info.RotateDeg, Codec: s.Info.Codec,
	}
}
