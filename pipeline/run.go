package pipeline

import (
	"context"
	"fmt"

	"ashline/metrics"
	"ashline/pipeline/inspect"
	"ashline/pipeline/overlay"
)

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
	res := m.study.Result
	if job.Debug {
		if err := inspect.Write(ctx, m.seen, m.found, m.study, inspect.Options{Dir: job.OutDir, Program: res.Program, Report: job.Report}); err != nil {
			return metrics.Result{}, err
		}
	}
	if job.wants(OverlayProduct, StillsProduct, CleanProduct) {
		o := overlay.Options{
			Dir: job.OutDir, Pace: job.Pace, Report: job.Report,
			Drawn: job.wants(OverlayProduct), Clean: job.wants(CleanProduct), Stills: job.wants(StillsProduct),
		}
		if err := overlay.Write(ctx, m.seen.Footage, m.study, o); err != nil {
			return metrics.Result{}, err
		}
	}
	if !job.wants(ReportProduct, PlotsProduct, OverlayProduct) {
		return res, nil
	}
	return res, writePage(job, m.seen.Footage, m.study)
}
